"""Mixes by rising price: the first that packs is the answer.

A mix that no try packs waits. When a dearer one packs, the waiting ones are decided exactly, cheapest first; what
stays undecided keeps its price as the proven bound.
"""

from __future__ import annotations

from functools import cached_property

from .assign import assign
from .clock import Clock
from .fill import best_fill
from .fits import UNDECIDED, Fits, Undecided, fits
from .found import Found, Report
from .greedy import Packed, greedy, is_sound
from .instance import Instance
from .master import Master
from .mixes import ByPrice, Covers, Mix, rooms_of
from .parts import done_of, filled, joined, rest_of
from .pieces import Pieces
from .reflect import MOST_ARCS, Arc, Finished, arcs_of, finish
from .shortest_first import ShortestFirst
from .whole import whole

_TRIES = 8  # random orders of filling a mix
_BACKTRACKS = 50  # of the search from the shortest length on
_WORK = 200_000  # steps of the exact search for one mix
_LITTLE_WORK = 20_000  # the same where the finisher can take over
_ASSIGN_WORK = 10.0  # deterministic seconds of CP-SAT for one mix
_ENDS = (80, 100, 60, 120)  # pieces left to the exact method when most lengths are filled, a try each
_END_S = 5.0
_LITTLE_ASSIGN_WORK = 1.0
_PATIENCE = ((20, 4), (35, 10), (60, 20))  # up to so many pieces: so many mixes
_MENDED = 3  # mixes whose leftover pieces are bought on top, for a first answer
_MEND_S = 1.0
_NO_PRICE = 10**18
_WAITING = 12  # mixes that wait before the cheapest is decided


def solve(instance: Instance, clock: Clock, report: Report) -> Found:
    """The cheapest list, as far as time allows."""
    return _Cascade(instance, clock, report, _ENDS).run()


class _Cascade:
    def __init__(self, instance: Instance, clock: Clock, report: Report, ends: tuple[int, ...]) -> None:
        self._ends = ends
        self._instance = instance
        self._pieces = Pieces(instance.sizes, instance.allowed)
        self._shortest_first = ShortestFirst(self._pieces, instance.counts)
        self._covers = Covers(instance)
        self._clock = clock
        self._report = report
        self._found = Found(best=greedy(instance))
        self._refuted: list[Mix] = []
        self._waiting: list[Mix] = []
        self._open: list[Mix] = []  # given up on
        self._finished: Finished | None = None

    def run(self) -> Found:
        """The best list and what is proven about it."""
        self._report(self._found)
        mixes = self._mixes()
        for mix in mixes:
            if self._found.best is not None and not mix < self._found.best.mix:
                break
            self._found.bound_cents = self._bound(mix.cents)
            if self._clock.is_over:
                return self._found
            if self._is_refuted(mix):
                continue
            if self._packs(mix) or (
                len(self._waiting) >= (_WAITING if self._is_single else 1) and self._decide_waiting()
            ):
                return self._concluded(mix.cents)
        return self._concluded(mixes.bound_cents)

    def _mixes(self) -> ByPrice | Master:
        best = self._found.best
        if self._is_single:
            return ByPrice(self._instance, self._ceiling())
        return Master(self._instance, self._covers, None if best is None else best.mix, self._clock)

    def _packs(self, mix: Mix) -> bool:
        """Whether the mix settles the list; one that no try packs waits."""
        loads = self._shortest_first.fits(rooms_of(self._instance, mix), _BACKTRACKS)
        if isinstance(loads, list):
            self._settle(Packed(mix, loads))
            return True
        if loads is None:
            self._refuted.append(mix)
            if len(self._refuted) == _MENDED:
                self._fill(mix)  # a list, in case that none is proven
            return not self._is_single and len(self._refuted) >= self._patience and self._finish(mix)
        if self._fill(mix, mend=len(self._waiting) < _MENDED):
            return True
        self._waiting.append(mix)
        return False

    def _fill(self, mix: Mix, *, mend: bool = True) -> bool:
        """Whether filling places every piece; if not, what is left over may be bought on top."""
        loads, left = best_fill(
            rooms_of(self._instance, mix), self._pieces, self._instance.counts, _TRIES, lambda: self._clock.is_over
        )
        packed = Packed(mix, loads)
        if not any(left):
            self._settle(packed)
            return True
        if mend and self._ends and not self._clock.is_over:
            rest = rest_of(self._instance, packed, with_stock=False)
            found = _Cascade(rest, self._clock.within(_MEND_S), lambda _: None, ()).run()
            self._offer(packed, found)
        return False

    def _offer(self, done: Packed, rest: Found) -> None:
        """A list made of two parts, if it is better than the best."""
        if rest.best is not None:
            whole = joined(self._instance, done, rest.best)
            if self._found.best is None or whole.mix < self._found.best.mix:
                self._settle(whole)
                self._report(self._found)

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
                if isinstance(loads, Undecided) and (self._in_parts(mix) or self._finish(mix)):
                    return True
                if isinstance(loads, Undecided) and self._is_single:
                    loads = self._assigned(mix, _ASSIGN_WORK)
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
        """Exactly, with little work: undecided hands over to what sees every mix at once."""
        if self._is_single:
            work = _WORK if self._arcs is None else _LITTLE_WORK
            return fits(rooms_of(self._instance, mix), self._pieces, self._instance.counts, work, tries=0)
        if len(self._refuted) >= self._patience:
            return UNDECIDED
        return self._assigned(mix, _LITTLE_ASSIGN_WORK)

    def _assigned(self, mix: Mix, work: float) -> Fits:
        return assign(rooms_of(self._instance, mix), self._pieces, self._instance.counts, self._clock, work)

    @property
    def _is_single(self) -> bool:
        return len(self._instance.cables) == 1

    @property
    def _patience(self) -> int:
        """Mixes to refute one by one before one model sees them all: small lists have cheap models."""
        return next((mixes for pieces, mixes in _PATIENCE if self._instance.pieces <= pieces), 10**9)

    @cached_property
    def _arcs(self) -> list[Arc] | None:
        return None if not self._is_single else arcs_of(self._instance, MOST_ARCS)

    def _finish(self, mix: Mix) -> bool:
        """One model over every mix takes over, if it is small enough; none is cheaper than `mix`."""
        best = None if self._found.best is None else self._found.best.mix
        if self._arcs is not None:
            self._finished = finish(self._instance, self._arcs, best, mix.cents, self._clock)
        else:
            self._finished = whole(self._instance, self._covers, best, mix.cents, self._clock)
        if self._finished is None:
            return False
        if self._finished.best is not None:
            self._settle(self._finished.best)
        return True

    def _in_parts(self, mix: Mix) -> bool:
        """Most of the mix filled exactly, the end solved as a list of its own; whether that settles the list."""
        for attempt, end_pieces in enumerate(self._ends):
            if self._clock.is_over or self._instance.pieces < 2 * end_pieces:
                return False
            parts = filled(self._instance, mix, end_pieces, attempt)
            if parts is None:
                continue
            done = done_of(self._instance, mix, *parts)
            end = rest_of(self._instance, done, with_stock=True)
            self._offer(done, _Cascade(end, self._clock.within(_END_S), lambda _: None, ()).run())
            if self._found.best is not None and self._found.best.mix <= mix:
                return True
        return False

    def _settle(self, packed: Packed) -> None:
        assert is_sound(self._instance, packed), "a list that does not hold what it should"
        self._found.best = packed
        self._waiting = [mix for mix in self._waiting if mix < packed.mix]

    def _concluded(self, to_come_cents: int) -> Found:
        """Decide what waits, then say what is proven; mixes not listed cost at least `to_come_cents`."""
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
        best_cents = _NO_PRICE if found.best is None else found.best.mix.cents
        bound_cents = min([mix.cents for mix in undecided] + [to_come_cents])
        found.is_fewest = not undecided and to_come_cents >= best_cents
        found.bound_cents = min(bound_cents, best_cents)
        if found.best is None:
            found.is_infeasible = not undecided and to_come_cents >= self._ceiling()
        self._report(found)
        return found


def _is_within(mix: Mix, other: Mix) -> bool:
    """Whether everything in `mix` is in `other` too."""
    return all(a <= b for a, b in zip(mix.counts, other.counts, strict=True)) and all(
        a <= b for a, b in zip(mix.steps, other.steps, strict=True)
    )
