"""Which feeds of a load another beats, whatever else is bought. Prices are known between bounds only: see prices."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from optimizer.arrays import Bools, Ints
from optimizer.conductors import Pair
from optimizer.feed_option import FeedOption
from optimizer.price_table import Further, PartPrices, PriceTable
from optimizer.prices import BySeller, PriceBounds
from optimizer.rivals import unbeaten
from optimizer.units import is_within


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """What can matter to one load at its place: a limit beyond it is no advantage.

    A feed that takes a 60 A fuse is no better than one that takes 30 A where no circuit there can come to 30 A; and
    one that takes 16 mm² is better than one that takes 6 mm² by at most the price of a 6 mm² run that serves as well.
    """

    ratings_a: tuple[float, ...]  # fuse ratings that its circuit can have, smallest first [A]
    mm2: tuple[float, ...]  # conductors that its circuit can have, smallest first [mm²]
    ambient_c: float
    bundled: tuple[int, ...]  # loaded conductors bundled together, for each band of circuits laid there
    probe_v: tuple[float, float]  # lowest and highest bus voltage [V]
    other_fuse: tuple[BySeller, ...]  # what a smaller fuse may cost, where a lower current can forbid the larger one
    other_run: Callable[[float, int], tuple[BySeller, ...] | None]  # floor [V], conductor class: a run that serves
    has_mates: bool  # whether another load may hang on its circuit
    other_lead: dict[tuple[str, ...], tuple[BySeller, ...]]  # what another cut lead may cost, by its cables


def without_beaten(
    options: list[FeedOption], prices: PriceBounds, reach: Reach, *, may_beat: Bools | None = None
) -> list[FeedOption]:
    """Drop the feeds that another beats whatever else is bought; they come, and stay, in their stated order.

    A feed beats another where it is technically no worse in everything the circuit asks about and surely no dearer:
    what it needs beyond the other is nothing, or costs at most less than what the other's further parts surely save.
    """
    if not options:
        return []
    rated = _Rated(options, prices, reach)
    return [options[n] for n in unbeaten(rated.figures, rated.order, rated.are_dearer, may_beat)]


class _Rated:
    """Feeds of one load with the figures that decide which beats which, each the smaller the better."""

    def __init__(self, options: list[FeedOption], prices: PriceBounds, reach: Reach) -> None:
        self._reach = reach
        self._options = options
        self._table = _table(options, prices)
        self._floor_v = np.array([option.floor_v for option in options])
        self._conductor_class = np.array([bisect_right(reach.mm2, option.max_conductor_mm2) for option in options])
        self._currents_a = np.array(
            [[option.draw.current_a(v) for v in (*reach.probe_v, option.floor_v)] for option in options]
        )
        leads = {option.lead_ids: option.lead for option in options}
        number = {ids: n for n, ids in enumerate(leads)}
        self._lead = np.array([number[option.lead_ids] for option in options])
        self._lead_a = {ids: [self._ampacity_a(lead, n) for n in reach.bundled] for ids, lead in leads.items()}
        figures = [
            -self._floor_v,  # a lower floor would let the design current of the whole circuit rise
            [option.average_w for option in options],
            [-bisect_right(reach.ratings_a, self._fuse_limit_a(option)) for option in options],
            [-sum(is_within(option.lead_needs_a, a) for a in self._lead_a[option.lead_ids]) for option in options],
            *self._currents_a.T,
            self._table.price,
        ]
        self.figures = np.stack([np.asarray(column, dtype=np.float64) for column in figures], axis=1)
        self.order = self._order(prices)

    def _ampacity_a(self, lead: Pair | None, bundled: int) -> float:
        return math.inf if lead is None else lead.ampacity_a(self._reach.ambient_c, bundled)

    def _fuse_limit_a(self, option: FeedOption) -> float:
        """Largest fuse of its circuit; a direct feed's cut lead stands behind that fuse too. [A]"""
        if option.lead is None or not option.is_direct:
            return option.max_fuse_a
        return min(option.max_fuse_a, *self._lead_a[option.lead_ids], option.lead.max_fuse_a)

    def _order(self, prices: PriceBounds) -> Ints:
        """The cheap ones first: they beat most."""
        lead_cents = [prices.most_together_cents(self._reach.other_lead.get(ids, ())) for ids in self._lead_a]
        cents = self._table.most_cents() + np.array(lead_cents)[self._lead]
        average_w = [option.average_w for option in self._options]
        return np.lexsort((average_w, cents))

    def are_dearer(self, rivals: Ints, ones: Ints) -> Bools:
        """For each of some feeds with no better figures than another one, whether that is surely no dearer.

        The other may ask for another fuse, another run and another lead besides; its kind says which of them.
        """
        same_draw = (self._currents_a[rivals] == self._currents_a[ones]).all(axis=1)
        higher_floor = self._floor_v[rivals] < self._floor_v[ones]
        smaller = self._conductor_class[rivals] > self._conductor_class[ones]
        kinds = (
            (~same_draw | higher_floor) * _OTHER_FUSE
            + (higher_floor | smaller) * _OTHER_RUN
            + (self._lead[rivals] != self._lead[ones]) * _OTHER_LEAD
        )
        dearer = self._table.are_dearer(rivals, ones, self._further, kinds, same_is_dearer=True)
        if self._reach.has_mates:  # a thicker run may be too thick for the others or for their junction
            dearer &= ~higher_floor
        return dearer

    def _further(self, one: int, kind: int) -> Further | None:
        reach, option = self._reach, self._options[one]
        further: list[BySeller] = []
        if kind & _OTHER_FUSE:
            further += reach.other_fuse
        if kind & _OTHER_RUN:
            run = reach.other_run(option.floor_v, int(self._conductor_class[one]))
            if run is None:
                return None
            further += run
        if kind & _OTHER_LEAD:
            further += reach.other_lead[option.lead_ids]
        return tuple(further)


_OTHER_FUSE, _OTHER_RUN, _OTHER_LEAD = 1, 2, 4


def _table(options: list[FeedOption], prices: PriceBounds) -> PriceTable:
    """The parts of the feeds."""
    part_prices = PartPrices(prices, sorted({part for option in options for part in option.parts}))
    number = {part: n for n, part in enumerate(part_prices.parts)}
    index = np.full((len(options), max(len(option.parts) for option in options)), part_prices.nothing, dtype=np.intp)
    for row, option in zip(index, options, strict=True):
        row[: len(option.parts)] = [number[part] for part in option.parts]
    return PriceTable(part_prices, index)
