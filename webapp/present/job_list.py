"""The list of jobs: each with its price or what it waits for, a page at a time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from webapp.present.job_state import next_fact, size_words
from webapp.present.plan_page import NO_PLAN, STATUS
from webapp.present.words import moment, money
from webapp.texts import N_, _, ngettext

FEW_JOBS = 8  # that are found by looking
WITHOUT_PLAN = {
    "queued": N_("Waiting to be planned"),
    "running": N_("Being planned now"),
    "failed": N_("Planning stopped: try again"),
    "cancelled": N_("Search cancelled before there was a plan"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    id: str
    title: str
    total: str
    fact: str
    size: tuple[str, ...]
    changed: Markup
    plan: str | None  # id of the plan with an answer
    waits: bool  # nothing of it may be bought before a qualified person answers for it
    is_example: bool
    is_variant: bool  # of another job, with one change


@dataclass(frozen=True, slots=True, kw_only=True)
class JobListView:
    """What stands around a page of the list of jobs."""

    words: str  # searched for
    heading: str
    searchable: bool
    before: int | None  # number of the page with newer jobs
    after: int | None


def job_row(
    summary: Any, document: Mapping[str, Any] | None = None, *, progress: str = "", waits_for: str = ""
) -> JobRow:
    """A job of a list; with what it says, also the next useful fact about it.

    Args:
        progress: How far the work by its plan has come; empty before it begins.
        waits_for: The qualified person its plan waits for; empty where it waits for nobody.
    """
    plan = summary.plan
    total, fact = "", next_fact(document) if document else _("No plan yet")
    if plan is not None:
        total, fact = _plan_fact(plan, summary.revision, waits_for or progress)
    return JobRow(
        id=summary.id,
        title=summary.title or _("Untitled job"),
        total=total,
        fact=fact,
        size=size_words(document) if document else (),
        changed=moment(summary.updated_at, near=True),
        plan=plan.id if total else None,
        waits=bool(waits_for),
        is_example=summary.is_example,
        is_variant=summary.variant_of is not None,
    )


def _plan_fact(plan: Any, revision: int, comes_first: str) -> tuple[str, str]:
    if plan.state != "done":
        return "", _(WITHOUT_PLAN[plan.state])
    if plan.status not in STATUS:
        return "", _(NO_PLAN.get(plan.status or "", NO_PLAN["none"]))
    fact = comes_first or _(STATUS[plan.status])
    if plan.job_revision != revision:
        fact = _("%(fact)s; changed since", fact=fact)
    return money(plan.total_cents), fact


def job_list_view(words: str, *, total: int, skip: int, most: int) -> JobListView:
    """The list's heading, and whether there is more of it on either side."""
    page = skip // most + 1
    if words:
        heading = ngettext("%(num)s job with “%(words)s”", "%(num)s jobs with “%(words)s”", total, words=words)
    else:
        heading = ngettext("%(num)s job", "%(num)s jobs", total)
    return JobListView(
        words=words,
        heading=heading,
        searchable=bool(words) or total > FEW_JOBS,
        before=page - 1 if page > 1 else None,
        after=page + 1 if skip + most < total else None,
    )
