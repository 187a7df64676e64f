"""How a load can be fed from the bus: every chain of stages and lead, and which of them another beats."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property

import numpy as np

from optimizer.arrays import Bools
from optimizer.boosting import Boosts
from optimizer.catalogue import Catalogue, Stage
from optimizer.chain_ends import Ends
from optimizer.chain_heads import Heads
from optimizer.chain_table import MAX_STAGES, Chain, Chains, Shelf, useful_stages
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.converted import ConvertedFeeds, fuse_limit_a, stage_floor_v
from optimizer.feed_option import (
    Draw,
    FeedOption,
    RunNeeds,
    Share,
    behind_converter,
    fixed_v,
    input_w,
    load_ohm,
    place_v_for,
    reached_by_bus,
)
from optimizer.job import CutLead, Job, Load, SuppliedLead
from optimizer.price_table import PartPrices
from optimizer.prices import BySeller, PriceBounds
from optimizer.units import FORGIVEN, HOURS_PER_DAY

__all__ = [
    "ASSUMED_DIRECT_FUSE_A",
    "Draw",
    "FeedFinder",
    "FeedOption",
    "RunNeeds",
    "Share",
    "behind_converter",
    "fixed_v",
    "input_w",
    "load_ohm",
    "reached_by_bus",
]

_Sized = Callable[[Load, tuple[Stage, ...], Iterable[tuple[Pair | None, float]]], Iterator[FeedOption]]

ASSUMED_DIRECT_FUSE_A = 5.0  # planning rules 10: a directly fed supplied lead that states no limit


class FeedFinder:
    """Enumerates the feeds of the loads of one job."""

    def __init__(
        self, job: Job, catalogue: Catalogue, prices: PriceBounds, other_fuse: tuple[BySeller, ...] = ()
    ) -> None:
        self._job = job
        self._catalogue = catalogue
        self._prices = prices
        self._other_fuse = other_fuse
        on_offer = (
            pair
            for pair in pairs_on_offer(catalogue, job.limits.min_mm2)
            if all(self._prices.is_sold_or_owned(cable) for cable in pair.ids)
        )
        self._pairs = sorted(on_offer, key=lambda pair: pair.ids)
        self._stages_from: dict[str, list[Stage]] = defaultdict(list)
        for stage in catalogue.of(Stage):
            if self._prices.is_sold_or_owned(stage.id):
                self._stages_from[stage.in_form].append(stage)
        self._cut: dict[float, list[tuple[Pair, float, float]]] = {}
        self._converted = ConvertedFeeds(job, catalogue, prices)

    def options(self, load: Load) -> list[FeedOption]:
        """Every feed with all its stages at the place that obeys the rules on its own, in a stated order.

        Dominated ones are still there.
        """
        found = [option for chain in self._chains(load) for option in self._with_leads(load, chain)]
        return sorted(found, key=lambda option: option.key)

    def unfused(self, load: Load) -> list[FeedOption]:
        """The same without output fuses: one for each chain and lead. What needs such a fuse is no feed yet."""
        sized = self._converted.unfused
        chains = sorted(self._chains(load), key=lambda chain: (len(chain), [stage.id for stage in chain]))
        return [option for chain in chains for option in self._with_leads(load, chain, sized)]

    def fused(self, load: Load, unfused: Iterable[FeedOption]) -> list[FeedOption]:
        """The feeds that come of some unfused ones: once for every fuse that may protect an output that needs it."""
        found: list[FeedOption] = []
        leads: dict[tuple[Stage, ...], set[tuple[str, ...]]] = defaultdict(set)
        for option in unfused:
            if option.needs_output_fuse:
                leads[option.stages].add(option.lead_ids)
            else:
                found.append(option)
        for chain, kept in leads.items():
            found += [option for option in self._with_leads(load, chain) if option.lead_ids in kept]
        return sorted(found, key=lambda option: option.key)

    def boosted(self, load: Load) -> list[FeedOption]:
        """The same with stages at the panel, each of which asks for a run of its own; none where that is not asked."""
        if not self._job.limits.boost_at_panel:
            return []
        return sorted(self._boosts.options(load), key=lambda option: option.key)

    @cached_property
    def _boosts(self) -> Boosts:
        return Boosts(self._job, self._converted, self._stages_from, self._leads)

    # -- chains -------------------------------------------------------------------------------------------------

    def _chains(self, load: Load) -> list[Chain]:
        """Chains of up to three stages that end in the form and at a voltage the load takes, no other better."""
        chains = self._chains_worth_sizing[load.needs.form]
        chains = chains[self._may_feed(load, chains)]
        return Ends(self._job, [load], self._shelf_prices, self._other_fuse).unbeaten(chains).as_stages()

    @cached_property
    def _chains_worth_sizing(self) -> dict[str, Chains]:
        """By form: the chains that some load may take and no other chain beats."""
        found: dict[str, Chains] = {}
        for form in {load.needs.form for load in self._job.loads}:
            loads = [load for load in self._job.loads if load.needs.form == form]
            chains = self._all_chains[self._all_chains.form == self._shelf.form_codes.get(form, -1)]
            chains = chains[np.logical_or.reduce([self._may_feed(load, chains) for load in loads])]
            found[form] = Ends(self._job, loads, self._shelf_prices, self._other_fuse).unbeaten(chains)
        return found

    @cached_property
    def _all_chains(self) -> Chains:
        """Every chain worth considering for some load; the empty one is the bus itself."""
        heads = Heads(self._job, self._shelf_prices, self._other_fuse)
        newest = self._shelf.none()
        found, beaten = newest, np.zeros(1, dtype=bool)
        for length in range(MAX_STAGES):
            newest = newest.longer(self._job.bus, beaten)
            found += newest
            if length < MAX_STAGES - 1:
                beaten = heads.beaten(found)[-len(newest) :] if len(newest) else beaten[:0]
        return found

    def _may_feed(self, load: Load, chains: Chains) -> Bools:
        """Whether each chain ends at a voltage the load takes, and every stage puts out its peak at least.

        That is a quick look before leads are sized.
        """
        on_bus = np.isnan(chains.fixed_v)
        window = (load.needs.min_v <= chains.fixed_v) & (chains.fixed_v <= load.needs.max_v)
        fits = np.where(on_bus, self._job.bus.high_v <= load.needs.max_v, window)
        if load.behaviour != "resistive":
            asked_w = load.peak_w * (1 + self._job.limits.headroom_pct / 100)
            fits &= asked_w <= chains.weakest_w * (1 + FORGIVEN)
        return np.asarray(fits)

    @cached_property
    def _shelf(self) -> Shelf:
        """The stages on sale that can stand in some chain to some load."""
        on_sale = [stage for stages in self._stages_from.values() for stage in stages]
        return Shelf(sorted(useful_stages(on_sale, self._job), key=lambda stage: stage.id))

    @cached_property
    def _shelf_prices(self) -> PartPrices:
        return PartPrices(self._prices, [stage.id for stage in self._shelf.stages])

    # -- leads --------------------------------------------------------------------------------------------------

    def _with_leads(self, load: Load, chain: tuple[Stage, ...], sized: _Sized | None = None) -> Iterator[FeedOption]:
        leads = self._leads(load, chain)
        if fixed_v(chain) is not None:
            yield from (sized or self._converted.options)(load, chain, leads)
            return
        for pair, lead_ohm in leads:
            yield from self._direct(load, chain, pair, lead_ohm)

    def _leads(self, load: Load, chain: tuple[Stage, ...]) -> Iterator[tuple[Pair | None, float]]:
        """Leads that may follow a chain, with their loop. [Ω]"""
        if isinstance(load.lead, SuppliedLead):
            yield None, load.lead.loop_ohm
            return
        limit_mm2 = chain[-1].max_conductor_mm2 if chain else None
        for pair, mm2, lead_ohm in self._cut_leads(load.lead):
            if limit_mm2 is None or mm2 <= limit_mm2:
                yield pair, lead_ohm

    def _cut_leads(self, lead: CutLead) -> list[tuple[Pair, float, float]]:
        """Every pair with its cross-section and its loop at the length of a lead. [mm²], [Ω]"""
        if lead.length_m not in self._cut:
            limits = self._job.limits
            length_m = lead.length_m + limits.slack_m
            self._cut[lead.length_m] = [(p, p.mm2, p.loop_ohm(length_m, limits.conductor_c)) for p in self._pairs]
        return self._cut[lead.length_m]

    # -- nothing converts ---------------------------------------------------------------------------------------

    def _direct(self, load: Load, chain: tuple[Stage, ...], pair: Pair | None, lead_ohm: float) -> Iterator[FeedOption]:
        bus = self._job.bus
        draw = Draw(power_w=load.peak_w, lead_ohm=lead_ohm, load_ohm=load_ohm(load))
        floor_v = max(stage_floor_v(self._job, load, chain), self._direct_floor_v(load, lead_ohm))
        if floor_v > bus.low_v or not self._converted.is_rated(chain, [load.peak_w] * len(chain)):
            return
        scale = 1.0
        if load.behaviour == "resistive" and load.rated_v:
            scale = max(1.0, (bus.nominal_v / load.rated_v) ** 2)  # against us below the rated voltage
        yield FeedOption(
            load=load.id,
            stages=chain,
            lead=pair,
            output_fuse=None,
            floor_v=floor_v,
            draw=draw,
            average_w=load.typical_w * scale * load.hours_per_day / HOURS_PER_DAY,
            max_fuse_a=min(fuse_limit_a(chain), self._direct_fuse_limit_a(load)),
            lead_needs_a=0.0,
        )

    def _direct_floor_v(self, load: Load, lead_ohm: float) -> float:
        """Place voltage at which the load itself sees the lowest voltage it may. [V]"""
        bus = self._job.bus
        allowed_drop_v = self._job.drop_pct(load) / 100 * bus.nominal_v
        return place_v_for(load, max(load.needs.min_v, bus.low_v - allowed_drop_v), lead_ohm)

    def _direct_fuse_limit_a(self, load: Load) -> float:
        if load.max_fuse_a is not None:
            return load.max_fuse_a
        is_assumed = self._job.limits.fuse_ratio_max is not None and isinstance(load.lead, SuppliedLead)
        return ASSUMED_DIRECT_FUSE_A if is_assumed else math.inf
