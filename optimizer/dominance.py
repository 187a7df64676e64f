"""Which feeds of a load another beats, whatever else is bought. Prices are known between bounds only: see prices."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.catalogue import Stage
from optimizer.feeds import FeedOption
from optimizer.prices import BySeller, PriceBounds


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
    rated = [_Rated(option, prices, reach) for option in options]
    rated.sort(key=lambda r: (len(r.parts), r.option.average_w, r.option.key))
    champions = _champions(rated, prices, reach)
    kept: dict[tuple[str, ...], list[_Rated]] = {}
    for candidate in rated:
        rivals = kept.setdefault(candidate.option.lead_ids, [])
        if any(_beats(rival, candidate, prices, reach) for rival in (*rivals, *champions) if rival is not candidate):
            continue
        rivals[:] = [rival for rival in rivals if not _beats(candidate, rival, prices, reach)]
        rivals.append(candidate)
    survivors = [survivor.option for rivals in kept.values() for survivor in rivals]
    return sorted(survivors, key=lambda option: option.key)


def _champions(rated: list[_Rated], prices: PriceBounds, reach: Reach) -> list[_Rated]:
    """For each chain its cheapest lead; the few that no other champion beats are worth trying against every feed."""
    cheapest: dict[tuple[Stage, ...], tuple[float, _Rated]] = {}
    for candidate in rated:
        cents = prices.most_together_cents(reach.other_lead.get(candidate.option.lead_ids, ()))
        known = cheapest.get(candidate.option.stages)
        if known is None or cents < known[0]:
            cheapest[candidate.option.stages] = (cents, candidate)
    best: list[_Rated] = []
    for _, candidate in cheapest.values():
        if not any(_beats(rival, candidate, prices, reach) for rival in best):
            best.append(candidate)
    return best


class _Rated:
    """A feed with the figures that decide whether it beats another."""

    __slots__ = ("conductor_class", "currents_a", "fuse_class", "lead_bands", "least", "option", "parts")

    def __init__(self, option: FeedOption, prices: PriceBounds, reach: Reach) -> None:
        self.option = option
        self.parts = frozenset(option.parts)
        self.least = prices.least_together_cents(option.parts)
        self.currents_a = tuple(option.draw.current_a(v) for v in (*reach.probe_v, option.floor_v))
        self.fuse_class = bisect_right(reach.ratings_a, self._fuse_limit_a(reach))
        self.conductor_class = bisect_right(reach.mm2, option.max_conductor_mm2)
        self.lead_bands = sum(self._lead_holds(reach.ambient_c, bundled) for bundled in reach.bundled)

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


def _beats(better: _Rated, worse: _Rated, prices: PriceBounds, reach: Reach) -> bool:
    is_no_worse = (
        # a lower floor would let the design current of the whole circuit rise
        better.option.floor_v >= worse.option.floor_v
        and better.option.average_w <= worse.option.average_w
        and better.fuse_class >= worse.fuse_class
        and better.lead_bands >= worse.lead_bands
        and all(x <= y for x, y in zip(better.currents_a, worse.currents_a, strict=True))
    )
    if not is_no_worse:
        return False
    further = _further_needs(better, worse, reach)
    if further is None:
        return False
    if better.parts <= worse.parts and not further:
        return True
    if worse.least == 0:
        return False
    parts = [prices.by_seller(part) for part in better.parts - worse.parts]
    saved = worse.least if not better.parts & worse.parts else prices.least_together_cents(_only(worse, better))
    return prices.most_together_cents([*parts, *further]) < saved


def _only(one: _Rated, other: _Rated) -> tuple[str, ...]:
    return tuple(sorted(one.parts - other.parts))


def _further_needs(better: _Rated, worse: _Rated, reach: Reach) -> list[BySeller] | None:
    """What may have to be bought besides its parts where a better feed takes another's place; None: no way."""
    further: list[BySeller] = []
    if better.currents_a != worse.currents_a or better.option.floor_v > worse.option.floor_v:
        further += reach.other_fuse
    if better.option.floor_v > worse.option.floor_v and reach.has_mates:
        return None  # a thicker run may be too thick for the others or for their junction
    if better.conductor_class < worse.conductor_class or better.option.floor_v > worse.option.floor_v:
        run = reach.other_run(better.option.floor_v, better.conductor_class)
        if run is None:
            return None
        further += run
    if better.option.lead_ids != worse.option.lead_ids:
        further += reach.other_lead[better.option.lead_ids]
    return further
