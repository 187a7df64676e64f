"""What is said of plans to compare that are not there: still searched for, or with no plan at the end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from optimizer.plan import Plan
from webapp.present.job_list import WITHOUT_PLAN
from webapp.present.plan_page import NO_PLAN, reason_views
from webapp.present.progress import stopped_words
from webapp.present.told import told_plainly
from webapp.present.words import money
from webapp.texts import _, bound

UNDER_WAY = ("queued", "running")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stuck:
    """A side that cannot stand beside the others, and what would have to give."""

    plan_id: str
    title: str
    heading: str
    subject: str  # what the reason is about; may be empty
    reason: str
    way_out: str  # the cheapest; empty where none is known


def state_line(title: str, record: Any) -> str:
    """How far one of several searches is: one line, that changes rarely, since it is read out."""
    return _("%(title)s: %(state)s", title=title, state=_state(record))


def _state(record: Any) -> str:
    if record.state != "done":
        return _(WITHOUT_PLAN[record.state])
    return _(NO_PLAN.get(record.status, NO_PLAN["none"])) if record.total_cents is None else money(record.total_cents)


def stuck(title: str, record: Any, plan: Plan | None) -> Stuck:
    """A search that ended with no plan, or that was ended."""
    if plan is None:
        heading, reason = _(NO_PLAN["none"]), stopped_words(record)
        return Stuck(plan_id=record.id, title=title, heading=heading, subject="", reason=reason, way_out="")
    first = reason_views(plan, record.job_document)[0]
    return Stuck(
        plan_id=record.id,
        title=title,
        heading=_(NO_PLAN.get(plan.status, NO_PLAN["none"])),
        subject=first.subject,
        reason=first.sentences[0],
        way_out=_cheapest(plan),
    )


def _cheapest(plan: Plan) -> str:
    """Ways out come cheapest first, those with something left out of the price last."""
    if not plan.ways_out:
        return ""
    way = plan.ways_out[0]
    words = _(
        "Cheapest way out: %(way)s, %(total)s in all.", way=bound(told_plainly(way.text)), total=money(way.total_cents)
    )
    left_out = _("Not in this price: %(what)s.", what=told_plainly(way.uncounted)) if way.uncounted else ""
    return " ".join(filter(None, (words, left_out)))
