"""The one way in: a request, a time limit, an answer with its proof."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence

from optimizer.progress import Progress

from .answer import CutListAnswer, Status
from .at_once import at_once
from .clock import Clock
from .found import Found
from .instance import Instance
from .normal import components, instance_of
from .readout import lengths_of, purchases_of
from .request import CutListRequest, refuse_faulty
from .ties import settle


def cut_list(
    request: CutListRequest,
    *,
    time_limit_s: float | None = None,
    stop: threading.Event | None = None,
    on_progress: Callable[[Progress], None] | None = None,
) -> CutListAnswer:
    """The cheapest lengths to buy so that every run can be cut, and what to cut from each.

    Args:
        request: Runs, offers, owned lengths and settings.
        time_limit_s: Seconds to search; None: until proven.
        stop: When set, the search ends soon and the best list so far comes back.
        on_progress: Called with every better list or bound.
    Raises:
        FaultyCutList: With every fault of the request at once.
    """
    refuse_faulty(request, time_limit_s)
    clock = Clock(time_limit_s, stop)
    parts = [instance_of(request, positions) for positions in components(request)]
    reasons = [reason for part in parts for reason in _hopeless(request, part)]
    if reasons:
        return CutListAnswer(status="infeasible", reasons=tuple(reasons))
    reporter = _Reporter(len(parts), clock, on_progress)
    found = [_solved(part, request.settings.trim_mm, clock, reporter, at) for at, part in enumerate(parts)]
    return _answer(request, parts, found, clock)


def _solved(part: Instance, trim_mm: int, clock: Clock, reporter: _Reporter, at: int) -> Found:
    quick = None if clock.is_over else at_once(part, trim_mm)
    if quick is not None:
        reporter.update(at, quick)
        return quick
    from . import cascade  # loads the solvers: not for whoever does without them

    found = cascade.solve(part, clock, lambda found: reporter.update(at, found))
    settle(part, found, trim_mm, clock)
    return found


def _hopeless(request: CutListRequest, part: Instance) -> list[str]:
    """Runs that nothing on offer or on hand is long enough for."""
    longest = dict.fromkeys(range(len(part.cables)), 0)
    rooms = [(kind.room, kind.cable) for kind in part.kinds] + [(stock.room, stock.cable) for stock in part.stock]
    for room, cable in rooms + [(reel.room(reel.most), reel.cable) for reel in part.reels]:
        longest[cable] = max(longest[cable], room)
    if min(longest.values()) >= part.sizes[0]:
        return []
    return [
        f"Run '{request.runs[at].id}' needs {request.runs[at].length_mm / 1000:g} m in one piece: nothing on offer and "
        f"nothing on hand of {_named(request.runs[at].cables)} is that long."
        for size, allowed, members in zip(part.sizes, part.allowed, part.runs, strict=True)
        if max(longest[cable] for cable in allowed) < size
        for at in members
    ]


def _named(cables: Sequence[str]) -> str:
    return " or ".join(f"'{cable}'" for cable in cables)


def _answer(request: CutListRequest, parts: Sequence[Instance], found: Sequence[Found], clock: Clock) -> CutListAnswer:
    if any(part.is_infeasible for part in found):
        return CutListAnswer(
            status="infeasible", reasons=("The limits of the offers leave too little for all runs together.",)
        )
    bound_cents = sum(part.bound_cents for part in found)
    lengths = []
    for instance, part in zip(parts, found, strict=True):
        if part.best is None:
            reason = "The search was stopped." if clock.stopped else "No list was found in the time given."
            return CutListAnswer(status="unknown", bound_cents=bound_cents, reasons=(reason,))
        lengths += lengths_of(request, instance, part.best)
    purchases = purchases_of(request, lengths)
    status: Status = "optimal" if all(part.is_optimal for part in found) else "feasible"
    return CutListAnswer(
        status=status,
        total_cents=sum(purchase.price_cents for purchase in purchases),
        bound_cents=bound_cents,
        purchases=purchases,
        lengths=tuple(lengths),
        fewest_lengths=all(part.is_fewest for part in found),
        longest_rest=all(part.is_longest_rest for part in found),
    )


class _Reporter:
    """Totals over all parts, reported where they got better."""

    def __init__(self, parts: int, clock: Clock, on_progress: Callable[[Progress], None] | None) -> None:
        self._best: list[int | None] = [None] * parts
        self._bound = [0] * parts
        self._clock = clock
        self._on_progress = on_progress
        self._last: tuple[int | None, int] | None = None

    def update(self, at: int, found: Found) -> None:
        """Take note of one part."""
        self._best[at] = None if found.best is None else found.best.mix.cents
        self._bound[at] = found.bound_cents
        known = [cents for cents in self._best if cents is not None]
        state = (sum(known) if len(known) == len(self._best) else None, sum(self._bound))
        if self._on_progress is not None and state != self._last:
            self._last = state
            best_cents, bound_cents = state
            self._on_progress(Progress(best_cents=best_cents, bound_cents=bound_cents, elapsed_s=self._clock.elapsed_s))
