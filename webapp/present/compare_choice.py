"""The plans that can be set side by side, by their jobs, to tick."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from webapp.present.plan_page import STATUS
from webapp.present.words import counted, moment, money
from webapp.texts import N_, _

MOST_OFFERED = 30
HOW_FEW = {
    0: N_("No job has a plan yet. Once two are planned, they can be compared here."),
    1: N_(
        "There is one plan so far. Duplicate its job in the list of jobs, change the copy, and plan it too; or tap "
        "“What if” below the plan, which does all of that."
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTick:
    """One plan to tick."""

    id: str
    total: str
    fact: str
    made: Markup
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JobChoice:
    """The plans of one job, the newest first."""

    title: str
    plans: tuple[PlanTick, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What the page offers."""

    jobs: tuple[JobChoice, ...]
    enough: bool
    how_few: str  # what to do where there are too few
    searchable: bool  # there are more than are offered
    words: str  # searched for
    count: str  # how many were found


def choice(offered: Any, ticked: Collection[str], words: str, waits_for: Mapping[str, str]) -> Choice:
    """The plans that are offered, by job.

    Args:
        offered: Plans with an answer, and how many there are: at most MOST_OFFERED of them.
        words: What was searched for.
        waits_for: The qualified person that plans wait for, by the id of those that do.
    """
    jobs: dict[str, list[Any]] = {}
    for each in offered.plans:
        jobs.setdefault(each.job_id, []).append(each)
    return Choice(
        jobs=tuple(_job(own, ticked, waits_for) for own in jobs.values()),
        enough=offered.total > 1,
        how_few=_(HOW_FEW[offered.total]) if offered.total in HOW_FEW else "",
        searchable=offered.total > MOST_OFFERED,
        words=words,
        count=counted("%(num)s plan", "%(num)s plans", offered.found),
    )


def _job(plans: Sequence[Any], ticked: Collection[str], waits_for: Mapping[str, str]) -> JobChoice:
    newest = sorted(plans, key=lambda each: each.plan.created_at, reverse=True)
    return JobChoice(
        title=newest[0].title or _("Untitled job"),
        plans=tuple(_tick(each, each.plan.id in ticked, waits_for.get(each.plan.id, "")) for each in newest),
    )


def _tick(each: Any, ticked: bool, waits_for: str) -> PlanTick:
    fact = waits_for or _(STATUS[each.plan.status])
    if each.plan.job_revision != each.revision:
        fact = _("%(fact)s; changed since", fact=fact)
    return PlanTick(
        id=each.plan.id, total=money(each.plan.total_cents), fact=fact, made=moment(each.plan.created_at), ticked=ticked
    )
