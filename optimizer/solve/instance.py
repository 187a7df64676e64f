"""What the model chooses from: a job's candidates, with the rules that concern one candidate alone already applied."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np

from optimizer.catalogue import Catalogue, Fuse, Holder, Junction, Switch
from optimizer.dominance import Reach, without_beaten
from optimizer.feed_option import plugged_in
from optimizer.feeds import FeedFinder, FeedOption
from optimizer.job import Job, Load
from optimizer.prices import PriceBounds
from optimizer.solve.banks import BankOption, bank_options
from optimizer.solve.reach import Surroundings, cost_of_another_fuse, most_drawn_by
from optimizer.solve.runs import (
    Band,
    BoostRun,
    RunPair,
    boost_runs_to,
    bundling_bands,
    lead_ampacity_a,
    may_share,
    run_pairs,
    takes,
    usable_fuses,
)
from optimizer.units import AGAINST_US, Rounding, cut_mm, is_within


@dataclass(frozen=True, kw_only=True)
class Instance:
    """One job's candidates. Lists are in a stated order that does not depend on the order of the documents."""

    job: Job
    catalogue: Catalogue
    loads: tuple[Load, ...]
    options: dict[str, list[FeedOption]]  # by load
    boosted: dict[str, list[FeedOption]]  # by load: with stages at the panel
    pairs: dict[str, list[RunPair]]  # by place
    panel_pairs: dict[str, list[RunPair]]  # by place: to a converter at the panel
    boost_runs: dict[str, list[BoostRun]]  # by place: from there
    bands: dict[str, list[Band]]  # by place
    fuses: list[Fuse]
    banks: list[BankOption]
    rounding: Rounding = AGAINST_US

    @cached_property
    def ratings_a(self) -> list[float]:
        """Fuse ratings that a way of this panel can take. [A]"""
        return sorted({fuse.rating_a for fuse in self.fuses})

    @cached_property
    def switches(self) -> list[Switch]:
        return [s for s in self.catalogue.of(Switch) if s.max_v >= self.job.bus.high_v]

    @cached_property
    def junctions(self) -> list[Junction]:
        return [j for j in self.catalogue.of(Junction) if j.max_v >= self.job.bus.high_v]

    @cached_property
    def holders(self) -> list[Holder]:
        bus = self.job.bus
        return [
            h
            for h in self.catalogue.of(Holder)
            if h.style == bus.fuse_style and h.max_a >= bus.way_max_a and h.max_v >= bus.high_v
        ]

    def may_use_ac(self, load: Load) -> bool:
        return self.job.ac is not None and load.brick is not None

    def feeds_of(self, load: Load) -> list[FeedOption]:
        """Every way to feed a load from the bus, whether all its stages stand at the place or some at the panel."""
        return self.options[load.id] + self.boosted[load.id]

    def is_stuck(self, load: Load) -> bool:
        """Whether nothing at all feeds a load."""
        return not self.feeds_of(load) and not self.may_use_ac(load)

    def run_mm(self, place_id: str) -> int:
        """Length of one cut for the run to a place. [mm]"""
        return cut_mm(self.job.place_by_id[place_id].run_m + self.job.limits.slack_m)

    @property
    def panel_mm(self) -> int:
        """Length of one cut for a circuit that ends at the panel. [mm]"""
        return cut_mm(self.job.limits.panel_run_m + self.job.limits.slack_m)

    def lead_mm(self, load: Load) -> int:
        """Length of one cut for a load's lead. [mm]"""
        return cut_mm(load.lead.length_m + self.job.limits.slack_m)  # type: ignore[union-attr]


def canonical(job: Job, catalogue: Catalogue) -> tuple[Job, Catalogue]:
    """The same documents in a stated order, so that a plan does not depend on how they were listed."""
    job = replace(
        job,
        places=tuple(sorted(job.places, key=lambda place: place.id)),
        loads=tuple(sorted(job.loads, key=lambda load: load.id)),
    )
    ordered = Catalogue(
        sellers=tuple(sorted(catalogue.sellers, key=lambda seller: seller.id)),
        parts=tuple(sorted(catalogue.parts, key=lambda part: part.id)),
        offers=tuple(sorted(catalogue.offers, key=lambda offer: offer.id)),
    )
    return job, ordered


def build(job: Job, catalogue: Catalogue) -> Instance:
    """All candidates of one job, dominated feeds dropped."""
    job, catalogue = canonical(job, catalogue)
    prices = PriceBounds(job, catalogue)
    fuses = usable_fuses(job, catalogue, prices)
    bands = {place.id: bundling_bands(job, place) for place in job.places}
    other_fuse = cost_of_another_fuse(job, fuses, prices)
    finder = FeedFinder(job, catalogue, prices, other_fuse)
    pairs = {place.id: run_pairs(job, catalogue, prices, place, bands[place.id], fuses) for place in job.places}
    panel_pairs: dict[str, list[RunPair]] = {place.id: [] for place in job.places}
    boost_runs: dict[str, list[BoostRun]] = {place.id: [] for place in job.places}
    boosted: dict[str, list[FeedOption]] = {load.id: [] for load in job.loads}
    if job.limits.boost_at_panel:
        for place in job.places:
            at_panel = replace(place, run_m=job.limits.panel_run_m, ambient_c=job.bus.ambient_c)
            panel_pairs[place.id] = run_pairs(job, catalogue, prices, at_panel, bands[place.id], fuses)
            boost_runs[place.id] = boost_runs_to(job, catalogue, prices, place, bands[place.id])
        for load in job.loads:
            runs = boost_runs[load.place]
            boosted[load.id] = [
                option
                for option in _allowed(job, load, bands[load.place], finder.boosted(load))
                if fuses and panel_pairs[load.place] and any(takes(option, run, 0) for run in runs)
            ]
    found = {load.id: _allowed(job, load, bands[load.place], finder.unfused(load)) for load in job.loads}
    most_drawn = most_drawn_by(job, found)
    highest_floor_v = cache(lambda load_id: max((option.floor_v for option in found[load_id]), default=0.0))
    options: dict[str, list[FeedOption]] = {}
    for load in job.loads:
        around = Surroundings(
            job, catalogue, prices, load, fuses, pairs[load.place], found, most_drawn, highest_floor_v
        )
        is_possible = bool(fuses and pairs[load.place])
        reach = around.reach(bands[load.place], other_fuse)
        unfused = _unbeaten_unfused(found[load.id], prices, reach) if is_possible else []
        options[load.id] = unfused
        if any(option.needs_output_fuse for option in unfused):
            fused = _allowed(job, load, bands[load.place], finder.fused(load, unfused))
            options[load.id] = without_beaten(fused, prices, reach)
    if job.limits.share_stages:
        options = _with_plugs(job, found, options)
    return Instance(
        job=job,
        catalogue=catalogue,
        loads=job.loads,
        options=options,
        boosted=boosted,
        pairs=pairs,
        panel_pairs=panel_pairs,
        boost_runs=boost_runs,
        bands=bands,
        fuses=fuses,
        banks=bank_options(job, catalogue, prices),
    )


def _unbeaten_unfused(found: list[FeedOption], prices: PriceBounds, reach: Reach) -> list[FeedOption]:
    """Without those that a feed with no output fuse beats: what is dearer without one is so with any."""
    is_feed = np.array([not option.needs_output_fuse for option in found], dtype=bool)
    return without_beaten(found, prices, reach, may_beat=is_feed)


def _with_plugs(
    job: Job, found: dict[str, list[FeedOption]], kept: dict[str, list[FeedOption]]
) -> dict[str, list[FeedOption]]:
    """Feeds that can be shared stay, whatever beats them, and each may be plugged into the same chain of another load.

    The host is the first of them, so a load is plugged into loads before it.
    """
    chains = {
        load.id: {o.share.chain for o in found[load.id] if o.share is not None} if kept[load.id] else set()
        for load in job.loads
    }
    options: dict[str, list[FeedOption]] = {}
    for load in job.loads:
        mates = [other for other in job.loads if other.id != load.id and may_share(other, load)]
        common = chains[load.id] & set().union(*(chains[mate.id] for mate in mates))
        shared = [o for o in found[load.id] if o.share is not None and o.share.chain in common]
        own = kept[load.id] + [o for o in shared if o not in kept[load.id]]
        plugs = [
            plugged_in(o, host, load)
            for host in mates
            if host.id < load.id
            for o in shared
            if o.share is not None and o.share.chain in chains[host.id]
        ]
        options[load.id] = sorted([*own, *plugs], key=lambda option: option.key)
    return options


def _allowed(job: Job, load: Load, bands: list[Band], options: list[FeedOption]) -> list[FeedOption]:
    """Feeds whose cut lead carries what it must in the best band at least."""
    return [o for o in options if is_within(o.lead_needs_a, lead_ampacity_a(job, load, o, bands[0]))]
