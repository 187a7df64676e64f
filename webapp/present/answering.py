"""Who answers for a plan that asks for a qualified person, and why it does."""

from __future__ import annotations

from dataclasses import dataclass, replace

from optimizer.catalogue import Catalogue
from optimizer.escalations import escalations
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.present.labels import Label
from webapp.present.told import told_sentence
from webapp.present.words import listed
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Answering:
    """Why a qualified person has to answer for a plan, and who does."""

    reasons: tuple[str, ...]  # nothing is bought, cut or built before
    beside: tuple[str, ...]  # work beside the plan that asks for one, whatever is done with the plan
    name: str  # empty: nobody yet
    asks_setting: bool = False  # some of the reasons fall away where the job is on no boat, which nobody has said
    short: str  # the reasons as a label has room for them

    @property
    def waits(self) -> bool:
        """Whether somebody has to be named first."""
        return bool(self.reasons) and not self.name

    def closes(self, part: str) -> bool:
        """Whether a page of the plan stays closed until then."""
        return self.waits and part not in OPEN_PARTS


def answering(job: Job, catalogue: Catalogue, plan: Plan, name: str) -> Answering:
    """What stands on every page of a plan, on its prints and labels."""
    found = escalations(job, catalogue, plan)
    kinds = dict.fromkeys(each.kind for each in found if each.blocks)
    return Answering(
        reasons=tuple(told_sentence(each.text) for each in found if each.blocks),
        beside=tuple(told_sentence(each.text) for each in found if not each.blocks),
        name=name if kinds else "",
        short=listed([_(IN_SHORT[kind]) for kind in kinds]),
        asks_setting=job.setting is None and any(kind in kinds for kind in OF_BOATS),
    )


def person_label(answer: Answering) -> tuple[Label, ...]:
    """The label that says who answers for the installation; none where nobody has to."""
    if not answer.name:
        return ()
    lines = (_("Answered for by %(name)s", name=answer.name), answer.short)
    return (Label(head="!", figure="", lines=lines, tape=f"! {lines[0]}: {answer.short}"),)


# -- on the command line, in English ------------------------------------------------------------------------------

ANSWERS = " answers for this plan."
NOBODY = "Nobody answers for this plan yet: buy, cut and build nothing from it. --person NAME records who does."


def with_person(job: Job, catalogue: Catalogue, plan: Plan, name: str) -> Plan:
    """The plan with the name of who answers for it among its cautions, where somebody has to."""
    name = " ".join(name.split())  # nobody is named by spaces alone
    waits = any(each.blocks for each in escalations(job, catalogue, plan))
    return replace(plan, cautions=(*plan.cautions, f"{name}{ANSWERS}")) if name and waits else plan


def person_lines(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """Why a qualified person has to answer for a plan, and who does."""
    if not plan.has_answer:
        return ()
    found = escalations(job, catalogue, plan)
    named = [caution for caution in plan.cautions if caution.endswith(ANSWERS)]
    who = (named or [NOBODY]) if any(each.blocks for each in found) else []
    return (*(f"Qualified person: {each.text}" for each in found), *who)
