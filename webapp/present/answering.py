"""Who answers for a plan that asks for a qualified person, and why it does."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from optimizer.catalogue import Catalogue
from optimizer.escalations import escalations
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.present.labels import Label
from webapp.present.told import told_sentence
from webapp.present.words import listed
from webapp.schemas.ranges import PERSON_CHARS
from webapp.texts import N_, _

KEY = "person/name"
OPEN_PARTS = ("show_plan", "proof")  # the design is shown; what is done with it waits
OF_BOATS = ("voltage", "lithium")
IN_SHORT = {
    "voltage": N_("above 50 V DC"),
    "current": N_("above 200 A"),
    "conductor": N_("above 95 mm²"),
    "lithium": N_("lithium above 500 Wh"),
    "cold": N_("charged below 0 °C"),
    "wet": N_("wet, above 30 V DC"),
    "mains": N_("mains in a wet place"),
    "fuel": N_("petrol or gas"),
    "health": N_("health depends on it"),
    "vehicle": N_("safety of vehicle or boat"),
}


BESIDE_IN_SHORT = {"outdoors": N_("Surge protection and bonding: have a qualified person do it.")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Answering:
    """Why a qualified person has to answer for a plan, and who does."""

    reasons: tuple[str, ...]  # nothing is bought, cut or built before
    beside: tuple[str, ...]  # work beside the plan that asks for one, whatever is done with the plan
    beside_in_short: tuple[str, ...]
    name: str  # empty: nobody yet
    asks_setting: bool = False  # some of the reasons fall away where the job is on no boat, which nobody has said
    short: str  # the reasons as a label has room for them

    @property
    def waits(self) -> bool:
        """Whether somebody has to be named first."""
        return bool(self.reasons) and not self.name

    @property
    def most_chars(self) -> int:
        """Characters that a name has room for."""
        return PERSON_CHARS

    def closes(self, part: str) -> bool:
        """Whether a page of the plan stays closed until then."""
        return self.waits and part not in OPEN_PARTS


def answering(job: Job, catalogue: Catalogue, plan: Plan, name: str) -> Answering:
    """What stands on every page of a plan, on its prints and labels."""
    found = escalations(job, catalogue, plan)
    kinds = dict.fromkeys(each.kind for each in found if each.blocks)
    return Answering(
        reasons=tuple(told_sentence(each.text) for each in found if each.blocks),
        beside=tuple(_with_person(told_sentence(each.text)) for each in found if not each.blocks),
        beside_in_short=tuple(_(BESIDE_IN_SHORT[each.kind]) for each in found if not each.blocks),
        name=name if kinds else "",
        short=listed([_(IN_SHORT[kind]) for kind in kinds]),
        asks_setting=job.setting is None and any(kind in kinds for kind in OF_BOATS),
    )


def _with_person(work: str) -> str:
    return " ".join((work, _("Have a qualified person do that work.")))


def waits_for(kinds: Iterable[str]) -> str:
    """What a plan waits for, in a line of a list."""
    return _("Waits for a qualified person: %(why)s", why=listed([_(IN_SHORT[kind]) for kind in kinds]))


def person_label(answer: Answering) -> tuple[Label, ...]:
    """The label that says who answers for the installation; none where nobody has to."""
    if not answer.name:
        return ()
    lines = (_("Answered for by %(name)s", name=answer.name), answer.short)
    return (Label(head="!", figure="", lines=lines, tape=f"! {lines[0]}: {answer.short}"),)


# -- for the command line and programs, in English ---------------------------------------------------------------------

NOBODY = (
    "This plan waits for a qualified person. Nobody answers for it yet: buy, cut and build nothing from it. Once "
    "somebody does: thriftloom plan JOB CATALOGUE --finished PLAN --person NAME --out PLAN"
)


def reasons_to_answer(job: Job, catalogue: Catalogue, plan: Plan) -> list[str]:
    """Why a qualified person has to answer for a plan; nothing where nobody has to."""
    return [each.text for each in escalations(job, catalogue, plan) if each.blocks] if plan.has_answer else []


def with_person(job: Job, catalogue: Catalogue, plan: Plan, name: str | None) -> Plan:
    """The plan with who answers for it, where somebody has to: the one named, or who was named before."""
    asked = bool(reasons_to_answer(job, catalogue, plan))
    return replace(plan, answered_by=(name or plan.answered_by) if asked else None)


def person_lines(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """Why a qualified person has to answer for a plan, and who does. What its cautions say names nobody."""
    if not plan.has_answer:
        return ()
    found = escalations(job, catalogue, plan)
    who = f"{plan.answered_by} answers for this plan." if plan.answered_by else NOBODY
    asked = any(each.blocks for each in found)
    return (*(f"Qualified person: {each.text}" for each in found), *([who] if asked else []))
