"""Sets of parts with their safe price bounds, one compared with many others at once.

The same comparison as `PriceBounds.is_surely_cheaper`: parts that both hold count for neither.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from optimizer.arrays import Bools, Floats, Ints
from optimizer.prices import BySeller, PriceBounds

Further = tuple[BySeller, ...]
_KIND_BITS = 3


class Needs(NamedTuple):
    """What several needs cost, each with a delivery of its own or, at each seller, all of them before its delivery."""

    alone_cents: float
    by_seller: BySeller


class PartPrices:
    """What parts can cost and can save, column by column; the last row stands for no part."""

    def __init__(self, prices: PriceBounds, parts: Sequence[str]) -> None:
        self.parts = list(parts)
        self.nothing = len(self.parts)
        none = (0.0,) * len(prices.deliveries_cents)
        self.needed = np.array([*map(prices.by_seller, self.parts), none], dtype=np.float64)
        self.saved = np.array([*map(prices.least_cents, self.parts), 0.0])
        self.price = np.array([*map(prices.least_price_cents, self.parts), 0.0])
        self.sellers = np.array([*map(prices.sellers_of, self.parts), none], dtype=np.intp)
        self.deliveries = np.array(prices.deliveries_cents)
        self.waivers = np.array(prices.waivers_cents)
        self.alone = _least(self.needed + self.deliveries)  # each with a delivery of its own
        self.alone[-1] = 0.0
        self._together: dict[Further, Needs] = {}

    def together(self, further: Further) -> Needs:
        """What some further needs cost."""
        if further not in self._together:
            needs = np.array(further, dtype=np.float64).reshape(len(further), len(self.deliveries))
            alone_cents = float(_least(needs + self.deliveries).sum())
            self._together[further] = Needs(alone_cents, tuple(needs.sum(axis=0).tolist()))
        return self._together[further]


def _least(by_seller: Floats) -> Floats:
    """The cheapest seller's of each row; infinite where nobody sells anything."""
    return np.asarray(by_seller.min(axis=1, initial=np.inf))


class PriceTable:
    """Rows of parts, filled up with nothing."""

    def __init__(self, prices: PartPrices, index: Ints) -> None:
        """Args: index: (row, position) of a part among those of `prices`, each at most once in a row."""
        self._of = prices
        self._index = index
        self._count = (index != prices.nothing).sum(axis=1)
        self._saved = prices.saved[index].sum(axis=1)
        self.price = prices.price[index].sum(axis=1)  # one more figure: no row is surely cheaper than one with less
        self._sellers = prices.sellers[index].sum(axis=1)  # (row, seller): how many of its parts that seller has

    def most_cents(self, further: Further = ()) -> Floats:
        """Every row with some further needs costs at most this. [cents]"""
        prices, besides = self._of, self._of.together(further)
        one_by_one = prices.alone[self._index].sum(axis=1) + besides.alone_cents
        together = prices.needed[self._index].sum(axis=1) + np.array(besides.by_seller) + prices.deliveries
        return np.asarray(np.minimum(one_by_one, _least(together)))

    def are_dearer(
        self,
        rivals: Ints,
        ones: Ints,
        further: Callable[[int, int], Further | None],
        kinds: Ints | None = None,
        *,
        same_is_dearer: bool,
    ) -> Bools:
        """For each of some rows, whether it surely costs more than another one, of its own, with further needs.

        Args:
            further: The further needs of a row by kind; None where they cannot be had.
            kinds: The kind of each of the pairs, 0 to 7; all 0 where None.
            same_is_dearer: Whether a row of just the same parts counts as dearer where nothing further is needed.
        """
        prices, mine = self._of, self._index[ones]
        real = mine != prices.nothing
        common = (mine[:, :, np.newaxis] == self._index[rivals][:, np.newaxis, :]).any(axis=2) & real
        saved = self._saved[rivals] - (common * prices.saved[mine]).sum(axis=1)
        price = self.price[rivals] - (common * prices.price[mine]).sum(axis=1)
        sellers = self._sellers[rivals] - (common[:, :, np.newaxis] * prices.sellers[mine]).sum(axis=1)
        least = np.maximum(price - (sellers > 0) @ prices.waivers, saved)  # a waived delivery is lost only once
        kinds = np.zeros(len(ones), dtype=np.intp) if kinds is None else kinds
        needed = real & ~common
        asked = (((ones << _KIND_BITS) + kinds) << needed.shape[1]) + needed @ (1 << np.arange(needed.shape[1]))
        _, first, which = np.unique(asked, return_index=True, return_inverse=True)
        most, is_nothing = self._most(ones[first], kinds[first], needed[first], further)
        contained = is_nothing[which] & (self._count[rivals] >= self._count[ones] + (0 if same_is_dearer else 1))
        return np.asarray(contained | ((least > 0) & (most[which] < least)))

    def _most(
        self, ones: Ints, kinds: Ints, needed: Bools, further: Callable[[int, int], Further | None]
    ) -> tuple[Floats, Bools]:
        """For some of the parts of each of some rows, with further needs: the most they cost, and whether it is none.

        Args:
            needed: (row, position): which of its parts.
        """
        prices = self._of
        asked = [further(one, kind) for one, kind in zip(ones.tolist(), kinds.tolist(), strict=True)]
        sums = [prices.together(needs or ()) for needs in asked]
        parts = np.where(needed, self._index[ones], prices.nothing)
        alone = prices.alone[parts].sum(axis=1) + np.array([sum_.alone_cents for sum_ in sums])
        together = prices.needed[parts].sum(axis=1) + np.array([sum_.by_seller for sum_ in sums]) + prices.deliveries
        cannot_be_had = np.array([needs is None for needs in asked], dtype=bool)
        most = np.where(cannot_be_had, np.inf, np.minimum(alone, _least(together)))
        return most, ~needed.any(axis=1) & np.array([needs == () for needs in asked], dtype=bool)
