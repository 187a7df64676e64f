"""Among lists of the same price: the fewest bought lengths, then the longest single rest."""

from __future__ import annotations

from collections.abc import Sequence

from .clock import Clock
from .fits import Fits, Undecided, fits
from .found import Found
from .greedy import Packed, is_sound
from .instance import Instance
from .mixes import Covers, Mix, at_price, rooms_of
from .pieces import Pieces, Room
from .rests import longest_first, rest_of
from .shortest_first import ShortestFirst

_WORK = 10_000  # steps of the search for one load
_TRIES = 4
_BACKTRACKS = 100  # of the search from the shortest length on
_MOST_MIXES = 40
_MOST_LOADS = 40  # tried before the longest rest is left unproven
_FEW_LOADS = 5  # the same where filling takes long, or where other cables may hold another mix of the same price
_MANY_PIECES = 400


def settle(instance: Instance, found: Found, trim_mm: int, clock: Clock) -> None:
    """Resolve the ties of a proven price as far as little work allows, and say what is proven."""
    if found.best is None or not found.is_optimal or found.is_longest_rest:
        return
    ties = _Ties(instance, found, trim_mm, clock)
    if not found.is_fewest:
        ties.take_fewest()
    ties.take_longest_rest()


class _Ties:
    def __init__(self, instance: Instance, found: Found, trim_mm: int, clock: Clock) -> None:
        assert found.best is not None
        self._instance, self._found, self._trim_mm, self._clock = instance, found, trim_mm, clock
        self._best: Packed = found.best
        self._pieces = Pieces(instance.sizes, instance.allowed)
        self._shortest_first = ShortestFirst(self._pieces, instance.counts)
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
            loads = self._packed(mix, rooms_of(self._instance, mix))
            if isinstance(loads, Undecided):
                proven = False
            elif loads is not None:
                self._take(mix, loads)
                break
        self._found.is_fewest = proven

    def _packed(self, mix: Mix, rooms: Sequence[Room]) -> Fits:
        """Whether the lengths of a mix, as far as they may be used, hold every piece."""
        if self._clock.is_over:
            return Undecided()
        if not self._covers.allow(mix):
            return None
        if self._is_single:
            loads = self._shortest_first.fits(rooms, _BACKTRACKS)
            if not isinstance(loads, Undecided):
                return loads
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
        now_mm = max(self._rests(), default=0)
        few = not self._is_single or self._instance.pieces > _MANY_PIECES
        most = _FEW_LOADS if few else _MOST_LOADS
        for number, one in enumerate(longest_first(self._instance, mixes, self._trim_mm)):
            if one.rest_mm <= now_mm:
                break
            if number == most:
                return
            loads = self._packed(one.mix, one.rooms(self._instance))
            if isinstance(loads, list):
                self._take(one.mix, loads)
                break
            proven = proven and loads is None
        self._found.is_longest_rest = proven

    def _rests(self) -> list[int]:
        best = self._best
        return [
            rest_of(self._instance, best.mix, at, self._pieces.length(load), self._trim_mm)
            for at, load in enumerate(best.loads)
        ]
