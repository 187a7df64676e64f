"""The proof: every check with its state in a word and a shape, trouble first."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Check, Plan
from webapp.present.words import count, quantity, signed

ORDER = ("fails", "tight", "not_checked", "holds")
WORDS = {"holds": "Holds", "tight": "Tight", "fails": "Fails", "not_checked": "Not checked"}
SHAPES = {"holds": "●", "tight": "▲", "fails": "✕", "not_checked": "○"}


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckView:
    state: str
    word: str
    shape: str
    title: str
    subject: str
    value: str
    limit: str
    margin: str
    source: str
    formula: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckGroup:
    state: str
    word: str
    shape: str
    checks: tuple[CheckView, ...]
    heading: str


def check_groups(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[CheckGroup, ...]:
    """Fails, Tight, Not checked, Holds; states without a check are left out."""
    names = _names(job, catalogue)
    groups = []
    for state in ORDER:
        members = tuple(_view(check, names) for check in plan.checks if check.state == state)
        if members:
            groups.append(
                CheckGroup(
                    state=state,
                    word=WORDS[state],
                    shape=SHAPES[state],
                    checks=members,
                    heading=count(len(members), "check"),
                )
            )
    return tuple(groups)


def verdict(plan: Plan) -> str:
    """All checks in one line."""
    if not plan.checks:
        return "No check has been made: do not build from this page."
    counted = {state: sum(check.state == state for check in plan.checks) for state in ORDER}
    if not any(counted[state] for state in ORDER[:3]):
        return f"All {counted['holds']} checks hold."
    said = [f"{counted[state]} {WORDS[state].lower()}" for state in ORDER if counted[state]]
    return f"{len(plan.checks)} checks: {', '.join(said)}."


def may_build(plan: Plan) -> bool:
    """Whether a price may be shown: there are checks and none fails."""
    return bool(plan.checks) and all(check.state != "fails" for check in plan.checks)


def _view(check: Check, names: dict[str, str]) -> CheckView:
    return CheckView(
        state=check.state,
        word=WORDS[check.state],
        shape=SHAPES[check.state],
        title=check.rule[:1].upper() + check.rule[1:],
        subject=_subject(check.subject, names),
        value=_amount(check.value, check.unit),
        limit=_amount(check.limit, check.unit),
        margin="" if check.margin is None else signed(check.margin, check.unit),
        source=check.source,
        formula=check.formula,
    )


def _amount(value: float | None, unit: str) -> str:
    return "" if value is None else quantity(value, unit, 4)


def _names(job: Job, catalogue: Catalogue) -> dict[str, str]:
    """What an id in a check's subject is called on the page."""
    names = {part.id: part.label for part in catalogue.parts}
    names |= {seller.id: seller.name for seller in catalogue.sellers}
    names |= {place.id: place.label for place in job.places}
    return names | {load.id: load.label for load in job.loads}


def _subject(subject: str, names: dict[str, str]) -> str:
    return names.get(subject, subject)
