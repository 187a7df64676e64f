"""Among lists of the same price: the fewest bought lengths, then the longest single rest.

The rest of one length is longest when its load is least: at least what the others have no room for, rounded up to a
load that exists. Loads are tried upwards from there, longest rest first, until one packs.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .clock import Clock
from .fits import Fits, Undecided, fits
from .found import Found
from .greedy import Packed, is_sound
from .instance import Instance
from .mixes import Covers, Mix, at_price, rooms_of
from .normal import reachable
from .pieces import Pieces

_WORK = 10_000  # steps of the search for one load
_TRIES = 4
_MOST_MIXES = 40
_MOST_LOADS = 40  # tried before the longest rest is left unproven
_FEW_LOADS = 5  # the same where filling takes long, or where other cables may hold another mix of the same price
_MANY_PIECES = 400


def settle(instance: Instance, found: Found, trim_mm: int, clock: Clock) -> None:
    """Resolve the ties of a proven price as far as little work allows, and say what is proven."""
    if found.best is None or not found.is_optimal:
        return
    ties = _Ties(instance, found, trim_mm, clock)
    if not found.is_fewest:
        ties.take_fewest()
    ties.take_longest_rest()


@dataclass(frozen=True, slots=True, order=True)
class _Try:
    """One length of a mix is to carry no more than `load`."""

    shorter_by_mm: int  # minus its rest, so that the longest comes first
    mix: int
    length: int
    load: int


class _Ties:
    def __init__(self, instance: Instance, found: Found, trim_mm: int, clock: Clock) -> None:
        assert found.best is not None
        self._instance, self._found, self._trim_mm, self._clock = instance, found, trim_mm, clock
        self._best: Packed = found.best
        self._pieces = Pieces(instance.sizes, instance.allowed)
        self._covers = Covers(instance)
        self._is_single = len(instance.cables) == 1

    def take_fewest(self) -> None:
        """A mix of the same price with fewer lengths, if one packs."""
        best = self._best.mix
        proven = self._is_single
        mixes = at_price(self._instance, best.cents) if self._is_single else []
        for mix in mixes:
            if mix.lengths >= best.lengths or not proven:
                break
            loads = self._packed(mix)
            if isinstance(loads, Undecided):
                proven = False
            elif loads is not None:
                self._take(mix, loads)
                break
        self._found.is_fewest = proven

    def _packed(self, mix: Mix, length: int = -1, load: int = 0) -> Fits:
        """Whether a mix packs, one of its lengths with no more than a load."""
        if self._clock.is_over or not self._covers.allow(mix):
            return Undecided() if self._clock.is_over else None
        rooms = rooms_of(self._instance, mix)
        if length >= 0:
            rooms[length] = (load, rooms[length][1])
        return fits(rooms, self._pieces, self._instance.counts, _WORK, _TRIES)

    def _take(self, mix: Mix, loads: list[list[int]]) -> None:
        self._best = self._found.best = Packed(mix, loads)
        assert is_sound(self._instance, self._best), "a list that does not hold what it should"

    def take_longest_rest(self) -> None:
        """The longest single rest over every mix of the same price and number of lengths."""
        mixes = [self._best.mix]
        proven = self._is_single and self._found.is_fewest
        if self._is_single:
            same = [mix for mix in at_price(self._instance, mixes[0].cents) if mix.lengths == mixes[0].lengths]
            proven = proven and len(same) <= _MOST_MIXES
            mixes = same[:_MOST_MIXES] if proven else mixes
        now_mm = max(self._rests(self._best), default=0)
        heap = [one for at, mix in enumerate(mixes) for one in self._first_tries(at, mix)]
        heapq.heapify(heap)
        few = not self._is_single or self._instance.pieces > _MANY_PIECES
        for _ in range(_FEW_LOADS if few else _MOST_LOADS):
            if not heap or -heap[0].shorter_by_mm <= now_mm:
                self._found.is_longest_rest = proven
                return
            one = heapq.heappop(heap)
            loads = self._packed(mixes[one.mix], one.length, one.load)
            if isinstance(loads, list):
                self._take(mixes[one.mix], loads)
                self._found.is_longest_rest = proven
                return
            proven = proven and loads is None
            following = self._next_try(mixes[one.mix], one)
            if following is not None:
                heapq.heappush(heap, following)

    def _rests(self, packed: Packed) -> Iterator[int]:
        for at, load in enumerate(packed.loads):
            yield self._rest_mm(packed.mix, at, self._pieces.length(load))

    def _rest_mm(self, mix: Mix, length: int, load: int) -> int:
        length_mm = _lengths_mm(self._instance, mix)[length]
        return length_mm if not load else max(length_mm - self._trim_mm - load * self._instance.unit_mm, 0)

    def _first_tries(self, at: int, mix: Mix) -> Iterator[_Try]:
        rooms = rooms_of(self._instance, mix)
        spare = sum(room for room, _ in rooms) - self._instance.total
        seen = set()
        owned_from = len(rooms) - len(self._instance.stock)
        for length, (room, cable) in enumerate(rooms):
            kind = (room, cable, _lengths_mm(self._instance, mix)[length])
            if kind in seen:
                continue
            seen.add(kind)
            least = max(room - spare, 0 if length >= owned_from else 1)
            one = self._try_from(mix, at, length, least)
            if one is not None:
                yield one

    def _next_try(self, mix: Mix, one: _Try) -> _Try | None:
        return self._try_from(mix, one.mix, one.length, one.load + 1)

    def _try_from(self, mix: Mix, at: int, length: int, least: int) -> _Try | None:
        """The try with the smallest load that exists and is at least so large."""
        room, cable = rooms_of(self._instance, mix)[length]
        above = reachable(self._instance, cable, room).bits >> least
        if not above:
            return None
        load = least + (above & -above).bit_length() - 1
        return _Try(-self._rest_mm(mix, length, load), at, length, load)


def _lengths_mm(instance: Instance, mix: Mix) -> Sequence[int]:
    """What each length of `rooms_of` measures."""
    lengths = [
        kind.spool.length_mm for kind, count in zip(instance.kinds, mix.counts, strict=True) for _ in range(count)
    ]
    lengths += [reel.offer.step_mm * steps for reel, steps in zip(instance.reels, mix.steps, strict=True) if steps]
    return lengths + [stock.length_mm for stock in instance.stock]
