"""Which feeds of a load another beats, whatever else is bought. Prices are known between bounds only: see prices."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.catalogue import Stage
from optimizer.feeds import FeedOption
from optimizer.prices import BySeller, PriceBounds
from optimizer.rivals import Rivals


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


def without_beaten(options: list[FeedOption], prices: PriceBounds, reach: Reach) -> list[FeedOption]:
    """Drop the feeds that another beats whatever else is bought.

    A feed beats another where it is technically no worse in everything the circuit asks about and surely no dearer:
    what it needs beyond the other is nothing, or costs at most less than what the other's further parts surely save.
    """
    rated = [_Rated(option, reach) for option in options]
    rated.sort(key=lambda r: (len(r.parts), r.option.average_w, r.option.key))
    compare = _Compare(prices, reach)
    champions = Rivals[_Rated](compare.beats, _champions(rated, compare))
    kept: dict[tuple[str, ...], Rivals[_Rated]] = {}
    for candidate in rated:
        rivals = kept.setdefault(candidate.option.lead_ids, Rivals[_Rated](compare.beats))
        if champions.beats(candidate) or rivals.beats(candidate):
            continue
        rivals.drop_beaten_by(candidate)
        rivals.add(candidate)
    survivors = [survivor.option for rivals in kept.values() for survivor in rivals.members]
    return sorted(survivors, key=lambda option: option.key)


def _champions(rated: list[_Rated], compare: _Compare) -> list[_Rated]:
    """For each chain its cheapest lead; the few that no other champion beats are worth trying against every feed."""
    cheapest: dict[tuple[Stage, ...], tuple[float, _Rated]] = {}
    for candidate in rated:
        cents = compare.lead_cents(candidate.option.lead_ids)
        known = cheapest.get(candidate.option.stages)
        if known is None or cents < known[0]:
            cheapest[candidate.option.stages] = (cents, candidate)
    best = Rivals[_Rated](compare.beats)
    for _, candidate in cheapest.values():
        if not best.beats(candidate):
            best.add(candidate)
    return best.members


class _Rated:
    """A feed with the figures that decide whether it beats another, each the smaller the better."""

    __slots__ = ("conductor_class", "figures", "option", "parts")

    def __init__(self, option: FeedOption, reach: Reach) -> None:
        self.option = option
        self.parts = frozenset(option.parts)
        self.conductor_class = bisect_right(reach.mm2, option.max_conductor_mm2)
        self.figures: tuple[float, ...] = (
            -option.floor_v,  # a lower floor would let the design current of the whole circuit rise
            option.average_w,
            -bisect_right(reach.ratings_a, self._fuse_limit_a(reach)),
            -sum(self._lead_holds(reach.ambient_c, bundled) for bundled in reach.bundled),
            *(option.draw.current_a(v) for v in (*reach.probe_v, option.floor_v)),
        )

    def _fuse_limit_a(self, reach: Reach) -> float:
        """Largest fuse of its circuit; a direct feed's cut lead stands behind that fuse too. [A]"""
        option = self.option
        if option.lead is None or not option.is_direct:
            return option.max_fuse_a
        lead_a = min(option.lead.ampacity_a(reach.ambient_c, bundled) for bundled in reach.bundled)
        return min(option.max_fuse_a, lead_a, option.lead.max_fuse_a)

    def _lead_holds(self, ambient_c: float, bundled: int) -> bool:
        lead = self.option.lead
        return lead is None or lead.ampacity_a(ambient_c, bundled) >= self.option.lead_needs_a

    @property
    def currents_a(self) -> tuple[float, ...]:
        return self.figures[4:7]


class _Compare:
    """What one feed costs more than another at most, against what it surely saves."""

    def __init__(self, prices: PriceBounds, reach: Reach) -> None:
        self._prices = prices
        self._reach = reach
        self._lead_cents: dict[tuple[str, ...], float] = {}
        self._outcome: dict[tuple[object, ...], bool] = {}

    def lead_cents(self, cables: tuple[str, ...]) -> float:
        """What a cut lead of these cables may cost. [cents]"""
        if cables not in self._lead_cents:
            self._lead_cents[cables] = self._prices.most_together_cents(self._reach.other_lead.get(cables, ()))
        return self._lead_cents[cables]

    def beats(self, better: _Rated, worse: _Rated) -> bool:
        """Whether a feed with no worse figures is surely no dearer either."""
        is_same_draw = better.currents_a == worse.currents_a
        higher_floor = better.option.floor_v > worse.option.floor_v
        smaller = better.conductor_class < worse.conductor_class
        lead = better.option.lead_ids if better.option.lead_ids != worse.option.lead_ids else None
        run_for = (better.option.floor_v, better.conductor_class) if higher_floor or smaller else None
        key = (better.parts, worse.parts, is_same_draw, higher_floor, run_for, lead)
        if key not in self._outcome:
            self._outcome[key] = self._is_cheaper(better.parts, worse.parts, is_same_draw, higher_floor, run_for, lead)
        return self._outcome[key]

    def _is_cheaper(
        self,
        better: frozenset[str],
        worse: frozenset[str],
        is_same_draw: bool,
        higher_floor: bool,
        run_for: tuple[float, int] | None,
        lead: tuple[str, ...] | None,
    ) -> bool:
        reach = self._reach
        if higher_floor and reach.has_mates:
            return False  # a thicker run may be too thick for the others or for their junction
        further: list[BySeller] = []
        if not is_same_draw or higher_floor:
            further += reach.other_fuse
        if run_for is not None:
            run = reach.other_run(*run_for)
            if run is None:
                return False
            further += run
        if lead is not None:
            further += reach.other_lead[lead]
        if better <= worse and not further:
            return True
        return self._prices.is_surely_cheaper(better, worse, tuple(further))
