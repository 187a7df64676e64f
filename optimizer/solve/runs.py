"""Runs to a place: conductor pairs and fuses that can be laid there, bundling, and who may hang on one circuit."""

from __future__ import annotations

import math
from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Fuse
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.feeds import FeedOption
from optimizer.job import Job, Load, Place
from optimizer.physics.ampacity import bundling_factor
from optimizer.physics.protection import far_fault_a
from optimizer.prices import PriceBounds
from optimizer.units import is_within


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A range of circuits at one place over which the bundling factor stays the same."""

    max_circuits: int
    bundled: int

    @property
    def factor(self) -> float:
        return bundling_factor(self.bundled)


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPair:
    """A conductor pair laid to one place."""

    pair: Pair
    loop_ohm: float  # out and back at conductor temperature, joints included
    fuse_cap_a: tuple[float, ...]  # [A], (band,): largest fuse it may stand behind


@dataclass(frozen=True, slots=True, kw_only=True)
class BoostRun:
    """A conductor pair from a converter at the panel to a place (additions 2)."""

    pair: Pair
    loop_ohm: float  # out and back at conductor temperature, joints included
    ampacity_a: tuple[float, ...]  # [A], (band,)


def may_share(first: Load, second: Load) -> bool:
    """Whether two loads may hang on one circuit."""
    if first.id == second.id:
        return True
    return (
        first.place == second.place
        and first.switch == second.switch
        and not first.own_circuit
        and not second.own_circuit
    )


def usable_fuses(job: Job, catalogue: Catalogue, prices: PriceBounds) -> list[Fuse]:
    """Fuses that a way of this panel takes and that can break its fault current, smallest first."""
    bus = job.bus
    fitting = (
        fuse
        for fuse in catalogue.of(Fuse)
        if fuse.style == bus.fuse_style
        and fuse.rating_a <= bus.way_max_a
        and fuse.max_v >= bus.high_v
        and fuse.interrupt_a >= bus.fault_a
        and prices.is_sold_or_owned(fuse.id)
    )
    return sorted(fitting, key=lambda fuse: (fuse.rating_a, fuse.id))


def bundling_bands(job: Job, place: Place) -> list[Band]:
    """Bundling by number of circuits laid to the place; one band where circuits are not counted (rules 10)."""
    loads = sum(load.place == place.id for load in job.loads)
    if not job.limits.count_circuits:
        return [Band(max_circuits=loads, bundled=place.bundled)]
    bands: list[Band] = []
    for circuits in range(1, max(loads, 1) + 1):
        band = Band(max_circuits=circuits, bundled=max(place.bundled, 2 * circuits))
        if bands and bands[-1].factor == band.factor:
            bands.pop()
        bands.append(band)
    return bands


def run_pairs(
    job: Job, catalogue: Catalogue, prices: PriceBounds, place: Place, bands: list[Band], fuses: list[Fuse]
) -> list[RunPair]:
    """Pairs that some usable fuse protects at this place."""
    limits, bus = job.limits, job.bus
    smallest_a = min((fuse.rating_a for fuse in fuses), default=math.inf)
    found = []
    for pair in pairs_on_offer(catalogue, limits.min_mm2):
        if not all(prices.is_sold_or_owned(cable) for cable in pair.ids):
            continue
        loop = pair.loop_ohm(place.run_m + limits.slack_m, limits.conductor_c) + limits.joint_mohm / 1000
        ceiling_a = min(pair.max_fuse_a, bus.way_max_a)
        if limits.far_fault_multiple > 0:
            ceiling_a = min(ceiling_a, far_fault_a(bus.nominal_v, bus.fault_a, loop) / limits.far_fault_multiple)
        caps = tuple(min(ceiling_a, pair.ampacity_a(job.ambient_c(place), band.bundled)) for band in bands)
        if is_within(smallest_a, caps[0]):
            found.append(RunPair(pair=pair, loop_ohm=loop, fuse_cap_a=caps))
    return found


def boost_runs_to(
    job: Job, catalogue: Catalogue, prices: PriceBounds, place: Place, bands: list[Band]
) -> list[BoostRun]:
    """Every pair as a run from a converter at the panel."""
    limits = job.limits
    return [
        BoostRun(
            pair=pair,
            loop_ohm=pair.loop_ohm(place.run_m + limits.slack_m, limits.conductor_c) + limits.joint_mohm / 1000,
            ampacity_a=tuple(pair.ampacity_a(job.ambient_c(place), band.bundled) for band in bands),
        )
        for pair in pairs_on_offer(catalogue, limits.min_mm2)
        if all(prices.is_sold_or_owned(cable) for cable in pair.ids)
    ]


def takes(option: FeedOption, run: BoostRun, band: int) -> bool:
    """Whether a boosted feed may have a run, in one bundling band of its place."""
    return option.run is not None and option.run.takes(run.pair, run.loop_ohm, run.ampacity_a[band])


def lead_ampacity_a(job: Job, load: Load, option: FeedOption, band: Band) -> float:
    """Ampacity of a feed's cut lead as installed at its place; infinite where nothing is cut. [A]"""
    if option.lead is None:
        return math.inf
    return option.lead.ampacity_a(job.ambient_c(job.place_by_id[load.place]), band.bundled)
