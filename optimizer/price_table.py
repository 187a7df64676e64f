"""Sets of parts with their safe price bounds, one compared with many others at once.

The same comparison as `PriceBounds.is_surely_cheaper`: parts that both hold count for neither.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from optimizer.prices import BySeller, PriceBounds

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]

Further = tuple[BySeller, ...]


class PartPrices:
    """What parts can cost and can save, column by column; the last row stands for no part."""

    def __init__(self, prices: PriceBounds, parts: Sequence[str]) -> None:
        self.bounds = prices
        self.parts = list(parts)
        self.nothing = len(self.parts)
        self.needs = [prices.by_seller(part) for part in self.parts]
        none = (0.0,) * len(prices.deliveries_cents)
        self.needed = np.array([*self.needs, none], dtype=np.float64)
        self.saved = np.array([*map(prices.least_cents, self.parts), 0.0])
        self.price = np.array([*map(prices.least_price_cents, self.parts), 0.0])
        self.sellers = np.array([*map(prices.sellers_of, self.parts), none], dtype=np.intp)
        self.deliveries = np.array(prices.deliveries_cents)
        self.waivers = np.array(prices.waivers_cents)


class PriceTable:
    """Rows of parts, filled up with nothing."""

    def __init__(self, prices: PartPrices, index: Ints) -> None:
        """Args: index: (row, position) of a part among those of `prices`, each at most once in a row."""
        self._of = prices
        self._index = index
        self._by_position = np.ascontiguousarray(index.T)
        self._count = (index != prices.nothing).sum(axis=1)
        self._saved = prices.saved[index].sum(axis=1)
        self.price = prices.price[index].sum(axis=1)  # one more figure: no row is surely cheaper than one with less
        self._sellers = prices.sellers[index].sum(axis=1)  # (row, seller): how many of its parts that seller has

    def most_cents(self, further: Further = ()) -> Floats:
        """Every row with some further needs costs at most this. [cents]"""
        prices = self._of
        each = (prices.needed + prices.deliveries).min(axis=1)
        each[-1] = 0.0
        besides = np.array(further, dtype=np.float64).reshape(-1, len(prices.deliveries))
        one_by_one = each[self._index].sum(axis=1) + (besides + prices.deliveries).min(axis=1).sum()
        together = prices.needed[self._index].sum(axis=1) + besides.sum(axis=0) + prices.deliveries
        return np.asarray(np.minimum(one_by_one, together.min(axis=1)))

    def is_dearer(
        self,
        rivals: Ints,
        one: int,
        further: Callable[[int], Further | None],
        kinds: Ints | None = None,
        *,
        same_is_dearer: bool,
    ) -> Bools:
        """For each of some rows, whether it surely costs more than one row with further needs.

        Args:
            further: The further needs by kind; None where they cannot be had.
            kinds: The kind of each of the rows; all 0 where None.
            same_is_dearer: Whether a row of just the same parts counts as dearer where nothing further is needed.
        """
        prices = self._of
        parts = [n for n in self._index[one].tolist() if n != prices.nothing]
        index = self._by_position[:, rivals]
        saved, price, sellers = self._saved[rivals], self.price[rivals], self._sellers[rivals]
        common = np.zeros(len(rivals), dtype=np.intp)
        for bit, part in enumerate(parts):
            has = (index == part).any(axis=0)
            if has.any():
                common += has.astype(np.intp) << bit
                saved = saved - has * prices.saved[part]
                price = price - has * prices.price[part]
                sellers = sellers - has[:, None] * prices.sellers[part]
        least = np.maximum(price - (sellers > 0) @ prices.waivers, saved)  # a waived delivery is lost only once
        if kinds is not None:
            common += kinds << len(parts)
        most = np.full(len(rivals), np.inf)
        every = (1 << len(parts)) - 1
        for code in set(common.tolist()):
            besides = further(code >> len(parts))
            if besides is None:
                continue
            needs = [prices.needs[part] for bit, part in enumerate(parts) if not code >> bit & 1]
            here = common == code
            most[here] = prices.bounds.most_together_cents([*needs, *besides])
            if not needs and not besides:  # all its parts are among theirs
                more = self._count[rivals] >= len(parts) + (0 if same_is_dearer else 1)
                most[here & more & (code & every == every)] = -1.0
        return np.asarray((most < 0) | ((least > 0) & (most < least)))
