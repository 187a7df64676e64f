"""Lists of one cable: mixes by rising price, the first that packs is the answer.

A mix that no try packs waits. When a dearer one packs, the waiting ones are decided exactly, cheapest first; what
stays undecided keeps its price as the proven bound.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from .clock import Clock
from .fill import fill
from .fits import Undecided, fits
from .greedy import Packed, greedy
from .mixes import Covers, Mix, by_price, rooms_of
from .normal import Instance
from .pieces import Pieces

_TRIES = 8  # random orders of filling a mix
_WORK = 200_000  # steps of the exact search for one mix
_WAITING = 40  # mixes that wait before the cheapest is decided


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
    return _Cascade(instance, clock, report).run()


class _Cascade:
    def __init__(self, instance: Instance, clock: Clock, report: Report) -> None:
        self._instance = instance
        self._pieces = Pieces(instance.sizes, instance.allowed)
        self._covers = Covers(instance)
        self._clock = clock
        self._report = report
        self._found = Found(best=greedy(instance))
        self._refuted: list[Mix] = []
        self._waiting: list[Mix] = []
        self._open: list[Mix] = []  # given up on

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
                self._found.best = Packed(mix, loads)
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
        """Decide the mixes that wait, cheapest first; whether one of them packs."""
        while self._waiting and not self._clock.is_over:
            mix = self._waiting.pop(0)
            if self._is_refuted(mix):
                continue
            loads = fits(rooms_of(self._instance, mix), self._pieces, self._instance.counts, _WORK, tries=0)
            if isinstance(loads, Undecided):
                self._open.append(mix)
            elif loads is None:
                self._refuted.append(mix)
            else:
                self._found.best = Packed(mix, loads)
                self._waiting.clear()
                return True
            self._found.bound_cents = self._bound(self._found.bound_cents)
        return False

    def _concluded(self) -> Found:
        self._decide_waiting()
        found = self._found
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
