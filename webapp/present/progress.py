"""How far a search is, in words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from webapp.present.told import told_sentence
from webapp.present.words import counted, money, quantity, sentence
from webapp.texts import N_, _, decimal
from webapp.texts import bound as in_one_line
from webapp.texts.figures import SPACE

EXPLAINING = N_("Solving the plan again without each of its choices, and with each limit a step wider and tighter.")
ENDED = N_("The search ended before it had an answer.")
KEEP_SOME = N_("Stop with what there is so far")
CANCEL, KEEP = N_("Cancel"), N_("Stop with the best so far")


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchView:
    """A search that has not ended. What is said aloud changes rarely, what ticks is only shown."""

    lines: tuple[str, ...]
    time: str
    stop: str  # the words of the button that ends it; empty: nothing left to press


def search_view(plan: Any, now: datetime) -> SearchView:
    """A plan that waits or is being worked out."""
    if plan.state == "queued":
        return SearchView(lines=(_("Waiting for its turn."), _turn_words(plan.ahead or 0)), time="", stop=_(CANCEL))
    if plan.cancel_asked_at is not None:
        words = _("Stopping: the best plan so far is put together.") if plan.explains is None else _("Stopping.")
        return SearchView(lines=(words,), time="", stop="")
    best_cents = (plan.progress or {}).get("best_cents")
    elapsed_s = (now - plan.started_at).total_seconds() if plan.started_at else 0.0
    time = _(
        "%(elapsed)s of at most %(limit)s",
        elapsed=f"{elapsed_s:.0f}{SPACE}s",
        limit=f"{plan.time_limit_s:.0f}{SPACE}s",
    )
    if plan.explains is not None:
        return SearchView(lines=(_(EXPLAINING),), time=time, stop=_(CANCEL) if best_cents is None else _(KEEP_SOME))
    return SearchView(
        lines=progress_words(plan.progress),
        time=time,
        stop=_(CANCEL) if best_cents is None else _(KEEP),
    )


def ended_words(plan: Any) -> str:
    """Why the search for a plan ended before its proof; empty where it did not."""
    if plan.status != "feasible":
        return ""
    if plan.explains is not None:
        return _("The search for this plan ended early; this is the best it had found.")
    if plan.cancel_asked_at is not None:  # also by deleting the job
        return _("The search was stopped early; this is the best it had found.")
    return _(
        "The search ended after its %(limit)s; this is the best it had found.", limit=quantity(plan.time_limit_s, "s")
    )


def stopped_words(plan: Any) -> str:
    """Why a search ended without an answer: in our own words, or in those of the planner."""
    message = plan.message or ENDED
    said = _(message)
    return sentence(said) if said != in_one_line(message) else told_sentence(message)


def progress_words(progress: Mapping[str, Any] | None) -> tuple[str, ...]:
    """What a running search has found so far."""
    progress = progress or {}
    best, bound = progress.get("best_cents"), progress.get("bound_cents")
    if best is None:
        return (_("Looking for a first plan that holds."),)
    gap = in_one_line(gap_so_far(best, bound))
    return tuple(words for words in (_("Best so far %(price)s", price=money(best)), gap) if words)


def gap_words(total_cents: int | None, bound_cents: int | None) -> str:
    """How far from the best possible at most."""
    if total_cents is None or not bound_cents:
        return ""
    gap_pct = max(0.0, 100 * (total_cents - bound_cents) / bound_cents)
    share = decimal(f"{math.ceil(gap_pct * 10) / 10:g}")
    return _("At most %(share)s %% above the best possible", share=share)


def gap_so_far(best_cents: int | None, bound_cents: int | None) -> str:
    """The gap of a running search; nothing while it says no more than that the proof has just begun."""
    if best_cents is None or not bound_cents or best_cents > 2 * bound_cents:
        return ""
    if best_cents <= bound_cents:
        return _("Nothing costs less; of plans at this price the best is looked for")
    return gap_words(best_cents, bound_cents)


def _turn_words(ahead: int) -> str:
    if not ahead:
        return _("It is next.")
    return counted("%(num)s other search first.", "%(num)s other searches first.", ahead)
