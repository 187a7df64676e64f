"""Lists of one cable: mixes by rising price, the first that packs is the answer.

A mix that no try packs waits. When a dearer one packs, the waiting ones are decided exactly, cheapest first; what
stays undecided keeps its price as the proven bound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

from .assign import assign
from .clock import Clock
from .fill import fill
from .fits import Fits, Undecided, fits
from .greedy import Packed, greedy
from .mixes import Covers, Mix, by_price, rooms_of
from .normal import Instance
from .parts import filled, joined, rest_of
from .pieces import Pieces
from .reflect import MOST_ARCS, Arc, Finished, arcs_of, finish

_TRIES = 8  # random orders of filling a mix
_WORK = 200_000  # steps of the exact search for one mix
_LITTLE_WORK = 20_000  # the same where the finisher can take over
_ASSIGN_WORK = 10.0  # deterministic seconds of CP-SAT for one mix
_ENDS = (80, 100, 60, 120)  # pieces left to the exact method when most lengths are filled, a try each
_END_S = 5.0
_WAITING = 12  # mixes that wait before the cheapest is decided


@dataclass(slots=True)
class Found:
    """The best list so far, what is proven, and why there is none."""

    best: Packed | None = None
    bound_cents: int = 0
    is_fewest: bool = False  # no list of this price has fewer lengths
    is_infeasible: bool = False
    undecided: list[Mix] = field(default_factory=list)

    @property
    def is_optimal(self) -> bool:
        """Whether nothing is cheaper."""
        return self.best is not None and self.bound_cents >= self.best.mix.cents


Report = Callable[[Found], None]


def solve(instance: Instance, clock: Clock, report: Report) -> Found:
    """The cheapest list of one cable, as far as time allows."""
    return _Cascade(instance, clock, report, _ENDS).run()


class _Cascade:
    def __init__(self, instance: Instance, clock: Clock, report: Report, ends: tuple[int, ...]) -> None:
        self._ends = ends
        self._instance = instance
        self._pieces = Pieces(instance.sizes, instance.allowed)
        self._covers = Covers(instance)
        self._clock = clock
        self._report = report
        self._found = Found(best=greedy(instance))
        self._refuted: list[Mix] = []
        self._waiting: list[Mix] = []
        self._open: list[Mix] = []  # given up on
        self._finished: Finished | None = None

    def run(self) -> Found:
        self._report(self._found)
        best = self._found.best
        for mix in by_price(self._instance, self._ceiling()):
            if best is not None and not mix < best.mix:
                break
            self._found.bound_cents = self._bound(mix.cents)
            if self._clock.is_over:
                return self._found
            if self._is_refuted(mix):
                continue
            loads = fill(rooms_of(self._instance, mix), self._pieces, self._instance.counts, _TRIES)
            if loads is not None:
                self._settle(Packed(mix, loads))
                break
            self._waiting.append(mix)
            if len(self._waiting) >= _WAITING and self._decide_waiting():
                break
        return self._concluded()

    def _ceiling(self) -> int:
        best = self._found.best
        most = sum(kind.cents * kind.most for kind in self._instance.kinds)
        most += sum(reel.cents * reel.most for reel in self._instance.reels)
        return most + 1 if best is None else best.mix.cents + 1

    def _is_refuted(self, mix: Mix) -> bool:
        return not self._covers.allow(mix) or any(_is_within(mix, other) for other in self._refuted)

    def _bound(self, otherwise: int) -> int:
        return min((mix.cents for mix in (*self._open, *self._waiting)), default=otherwise)

    def _decide_waiting(self) -> bool:
        """Decide the mixes that wait, cheapest first; whether the list is settled."""
        while self._waiting and not self._clock.is_over:
            mix = self._waiting[0]
            if not self._is_refuted(mix):
                loads = self._decided(mix)
                if isinstance(loads, Undecided):
                    if self._in_parts(mix):
                        return True
                    if self._arcs is not None:
                        return self._finish()
                    loads = assign(
                        rooms_of(self._instance, mix), self._pieces, self._instance.counts, self._clock, _ASSIGN_WORK
                    )
                if isinstance(loads, Undecided):
                    self._open.append(mix)
                elif loads is None:
                    self._refuted.append(mix)
                else:
                    self._settle(Packed(mix, loads))
                    return True
            self._waiting.pop(0)
            self._found.bound_cents = self._bound(self._found.bound_cents)
            self._report(self._found)
        return False

    def _decided(self, mix: Mix) -> Fits:
        work = _WORK if self._arcs is None else _LITTLE_WORK
        return fits(rooms_of(self._instance, mix), self._pieces, self._instance.counts, work, tries=0)

    @cached_property
    def _arcs(self) -> list[Arc] | None:
        return arcs_of(self._instance, MOST_ARCS)

    def _finish(self) -> bool:
        """One model over every mix takes over."""
        arcs, best = self._arcs, self._found.best
        assert arcs is not None
        finished = finish(self._instance, arcs, None if best is None else best.mix, self._waiting[0].cents, self._clock)
        if finished.best is not None:
            self._found.best = finished.best
        self._finished = finished
        return True

    def _in_parts(self, mix: Mix) -> bool:
        """Most of the mix filled exactly, the end solved as a list of its own; whether that settles the list."""
        for attempt, end_pieces in enumerate(self._ends):
            if self._clock.is_over or self._instance.pieces < 2 * end_pieces:
                return False
            parts = filled(self._instance, mix, end_pieces, attempt)
            if parts is None:
                continue
            kept, loads = parts
            end = rest_of(self._instance, mix, kept, loads)
            found = _Cascade(end, self._clock.within(_END_S), lambda _: None, ()).run()
            if found.best is not None:
                whole = joined(self._instance, mix, kept, loads, found.best)
                if self._found.best is None or whole.mix < self._found.best.mix:
                    self._settle(whole)
                    self._report(self._found)
                if whole.mix <= mix:
                    return True
        return False

    def _settle(self, packed: Packed) -> None:
        self._found.best = packed
        self._waiting = [mix for mix in self._waiting if mix < packed.mix]

    def _concluded(self) -> Found:
        found = self._found
        if self._finished is None:
            self._decide_waiting()
        if self._finished is not None:
            found.bound_cents = self._finished.bound_cents
            found.is_infeasible = self._finished.is_infeasible and found.best is None
            self._report(found)
            return found
        undecided = [mix for mix in (*self._open, *self._waiting) if found.best is None or mix < found.best.mix]
        found.undecided = undecided
        if found.best is not None:
            found.bound_cents = min((mix.cents for mix in undecided), default=found.best.mix.cents)
            found.is_fewest = not undecided
        else:
            found.is_infeasible = not undecided
        self._report(found)
        return found


def _is_within(mix: Mix, other: Mix) -> bool:
    """Whether everything in `mix` is in `other` too."""
    return all(a <= b for a, b in zip(mix.counts, other.counts, strict=True)) and all(
        a <= b for a, b in zip(mix.steps, other.steps, strict=True)
    )
