"""Why each part and what each limit costs, in words: for the page and for the terminal."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Alternative, Plan
from webapp.present.told import joined, told, told_choice, told_sentence
from webapp.present.ways_out import worth
from webapp.present.words import capital
from webapp.texts import N_, _, bound

KINDS = {
    "feed": N_("Feed"),
    "lead": N_("Lead"),
    "conductor": N_("Conductors"),
    "fuse": N_("Fuse"),
    "sharing": N_("Circuit"),
    "bank": N_("Battery"),
    "purchases": N_("Buying"),
    "offer": N_("Bought"),
    "seller": N_("Seller"),
}
SECTIONS = {"purchases": "buying", "bank": "bank", "offer": "buying", "seller": "buying"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyRow:
    """One choice of the plan."""

    head: str  # "Fuse: a fuse of 5 A"
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRow:
    text: str
    worth: str


def why_by_section(job: Job, catalogue: Catalogue, plan: Plan) -> Mapping[str, tuple[WhyRow, ...]]:
    """By where it stands on the page: a circuit by id, with its feeds; "outlets", "bank" and "buying"."""
    circuits = {load: circuit.id for circuit in plan.circuits for load in circuit.loads}
    names = _names(job, catalogue)
    rows: dict[str, dict[str, list[Alternative]]] = defaultdict(lambda: defaultdict(list))
    for each in plan.alternatives:
        kind, __, whose = each.subject.partition(" ")
        section = SECTIONS.get(kind) or (circuits.get(whose, "outlets") if kind in ("feed", "lead") else whose)
        rows[section][each.subject].append(each)
    return {
        section: tuple(_row(job, names, found) for found in by_subject.values()) for section, by_subject in rows.items()
    }


def _names(job: Job, catalogue: Catalogue) -> list[str]:
    """What loads, places, parts and sellers are called."""
    there = [each.label for each in job.loads] + [each.label for each in job.places]
    on_offer = [each.label for each in catalogue.parts] + [each.name for each in catalogue.sellers]
    return there + on_offer


def _row(job: Job, names: Sequence[str], found: list[Alternative]) -> WhyRow:
    kind, __, whose = found[0].subject.partition(" ")
    named = _(KINDS[kind]) if kind in KINDS else kind
    if kind in ("feed", "lead") and whose in job.load_by_id:
        named = _("%(kind)s of %(load)s", kind=named, load=job.load_by_id[whose].label)
    texts = tuple(told_sentence(each.text, names) for each in found)
    return WhyRow(head=joined(": ", (named, told_choice(found[0].chosen, names))), texts=texts)


def limit_rows(plan: Plan) -> tuple[LimitRow, ...]:
    """What each limit costs, what saves most first; steps that make no difference together in one row at the end."""
    same = [each for each in plan.binding if each.saves_cents == 0 and each.status == "optimal"]
    rows = [LimitRow(text=told(e.text), worth=capital(worth(e))) for e in plan.binding if e not in same]
    if same:
        rows.append(LimitRow(text=_("Costs the same"), worth=joined("; ", (told(each.text) for each in same))))
    return tuple(rows)


def why_lines(plan: Plan) -> list[str]:
    """The same for a terminal, one choice a line."""
    shown = [f"- {each.subject}, {bound(each.chosen)}: {bound(each.text)}" for each in plan.alternatives]
    return ["Why these parts:", *shown]
