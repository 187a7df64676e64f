"""The cheapest mixes of one cable by total length alone: a bound for every list, and mostly what is bought."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .instance import Instance, Kind, Reel
from .mixes import Mix, cents_per_length, mix_of

_WORK = 4_000  # counts of offers that are looked at


def cheapest(instance: Instance) -> list[Mix]:
    """Every mix of one cable with room for the total length at the least price, of those the ones of fewest lengths.

    Empty where there is none, where something is free (then needless lengths cost nothing) or where it takes long.
    """
    if not all(kind.cents for kind in instance.kinds) or not all(reel.cents for reel in instance.reels):
        return []
    search = _Cheapest(instance)
    search.go_on(0, instance.total - sum(stock.room for stock in instance.stock), 0)
    if search.work < 0:
        return []
    mixes = [search.mix(taken) for taken in search.best]
    fewest = min((mix.lengths for mix in mixes), default=0)
    return [mix for mix in mixes if mix.lengths == fewest]


class _Cheapest:
    """Depth first, the cheapest length first and reels last; of the last source just enough.

    Of price c so far and length r still needed, no way to go on costs less than c + r p, where p is the least price of
    a unit of length among the sources to come.
    """

    def __init__(self, instance: Instance) -> None:
        self._instance = instance
        kinds = sorted(range(len(instance.kinds)), key=lambda at: cents_per_length(instance.kinds[at]))
        self._order = [*kinds, *range(len(kinds), len(kinds) + len(instance.reels))]
        sources: list[Kind | Reel] = [*instance.kinds, *instance.reels]
        self._sources = [sources[at] for at in self._order]
        self._rates = [cents_per_length(source) for source in self._sources]
        self._taken = [0] * len(sources)
        self._least = math.inf
        self.best: list[list[int]] = []
        self.work = _WORK

    def mix(self, taken: Sequence[int]) -> Mix:
        """What was taken of each source, in the order of the search."""
        counts = [0] * len(taken)
        for at, count in zip(self._order, taken, strict=True):
            counts[at] = count
        kinds = len(self._instance.kinds)
        return mix_of(self._instance, counts[:kinds], counts[kinds:])

    def go_on(self, step: int, need: int, cents: int) -> None:
        """Every way to have so much more length from the sources from `step` on."""
        if need <= 0 or step == len(self._sources):
            if need <= 0 and cents <= self._least:
                self.best = [*(self.best if cents == self._least else ()), self._taken.copy()]
                self._least = cents
            return
        source = self._sources[step]
        enough = source.least_steps(need) if isinstance(source, Reel) else -(-need // source.room)
        to_come = min(self._rates[step + 1 :], default=math.inf)
        is_cheapest = isinstance(source, Kind) and self._rates[step] <= to_come
        for count in range(min(enough, source.most), -1, -1):
            self.work -= 1
            room = source.room(count) if isinstance(source, Reel) else source.room * count
            left, price = need - room, cents + count * source.cents
            least = price + left * to_come if left > 0 else price
            if self.work < 0:
                return
            if least - 1e-6 > self._least:
                if left > 0 and is_cheapest:
                    break  # with fewer of them it costs more
                continue
            self._taken[step] = count
            self.go_on(step + 1, left, price)
        self._taken[step] = 0
