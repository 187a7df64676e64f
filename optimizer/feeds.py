"""How a load can be fed from the bus: every chain of stages and lead, and which of them another beats."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import cached_property

from optimizer.boosting import Boosts
from optimizer.catalogue import BUS_FORM, Catalogue, Stage
from optimizer.chain_ends import Ends
from optimizer.chain_heads import Heads
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.converted import ConvertedFeeds, fits_in_current, fuse_limit_a, stage_floor_v
from optimizer.feed_option import (
    Draw,
    FeedOption,
    RunNeeds,
    Share,
    behind_converter,
    fixed_v,
    input_w,
    load_ohm,
    reached_by_bus,
)
from optimizer.job import CutLead, Job, Load, SuppliedLead
from optimizer.prices import BySeller, PriceBounds
from optimizer.units import HOURS_PER_DAY

MAX_STAGES = 3  # planning rules 2
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
        self._pairs = [
            pair
            for pair in pairs_on_offer(catalogue, job.limits.min_mm2)
            if all(self._prices.is_sold_or_owned(cable) for cable in pair.ids)
        ]
        self._stages_from: dict[str, list[Stage]] = defaultdict(list)
        for stage in catalogue.of(Stage):
            if self._prices.is_sold_or_owned(stage.id):
                self._stages_from[stage.in_form].append(stage)
        self._converted = ConvertedFeeds(job, catalogue, prices)

    def options(self, load: Load) -> list[FeedOption]:
        """Every feed with all its stages at the place that obeys the rules on its own, in a stated order.

        Dominated ones are still there.
        """
        found = [option for chain in self._chains(load) for option in self._with_leads(load, chain)]
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

    def _chains(self, load: Load) -> list[tuple[Stage, ...]]:
        """Chains of up to three stages that end in the form and at a voltage the load takes."""
        return [chain for chain in self._chains_worth_sizing[load.needs.form] if self._may_feed(load, chain)]

    def _may_feed(self, load: Load, chain: tuple[Stage, ...]) -> bool:
        return self._voltage_fits(load, fixed_v(chain)) and self._may_carry(load, chain)

    @cached_property
    def _chains_worth_sizing(self) -> dict[str, list[tuple[Stage, ...]]]:
        """By form: the chains that some load may take and no other chain beats."""
        found: dict[str, list[tuple[Stage, ...]]] = {}
        for form in {load.needs.form for load in self._job.loads}:
            loads = [load for load in self._job.loads if load.needs.form == form]
            chains = [c for c in self._chains_by_form[form] if any(self._may_feed(load, c) for load in loads)]
            if not self._job.limits.share_stages:  # else a dearer chain may serve several loads
                chains = Ends(self._job, loads, self._prices, self._other_fuse).unbeaten(chains)
            found[form] = chains
        return found

    @cached_property
    def _chains_by_form(self) -> dict[str, list[tuple[Stage, ...]]]:
        """Every chain worth considering for some load, by the form it ends in; the empty one is the bus itself."""
        found: dict[str, list[tuple[Stage, ...]]] = defaultdict(list)
        grown: list[tuple[Stage, ...]] = [()]
        heads = Heads(self._job, self._prices, self._other_fuse)
        for _ in range(MAX_STAGES):
            grown = [longer for chain in grown for longer in self._longer(chain, heads)]
            heads.weigh(grown)
            for chain in grown:
                found[chain[-1].out_form].append(chain)
        found[BUS_FORM].append(())
        return found

    def _longer(self, chain: tuple[Stage, ...], heads: Heads) -> Iterator[tuple[Stage, ...]]:
        form = chain[-1].out_form if chain else BUS_FORM
        before_v = fixed_v(chain)
        following = self._choosy_from if heads.is_beaten(chain) else self._stages_from
        for stage in following.get(form, ()):
            if stage in chain or not self._takes(stage, before_v) or not fits_in_current(chain, stage):
                continue
            if stage.out_v is None and stage.out_form == form:
                continue
            yield (*chain, stage)

    @cached_property
    def _choosy_from(self) -> dict[str, list[Stage]]:
        """Stages that a better head may not serve as well: passive plugs, and what limits the current before it.

        Another converter does not care which of two heads feeds it.
        """
        return {
            form: [stage for stage in stages if stage.out_v is None or stage.max_in_a is not None]
            for form, stages in self._stages_from.items()
        }

    def _may_carry(self, load: Load, chain: tuple[Stage, ...]) -> bool:
        """A quick look before leads are sized: every stage puts out at least a constant-power load's peak."""
        if load.behaviour == "resistive":
            return True
        asked_w = load.peak_w * (1 + self._job.limits.headroom_pct / 100)
        return all(asked_w <= stage.max_out_w * (1 + 1e-9) for stage in chain)

    def _voltage_fits(self, load: Load, fixed_v: float | None) -> bool:
        if fixed_v is None:
            return self._job.bus.high_v <= load.needs.max_v
        return load.needs.min_v <= fixed_v <= load.needs.max_v

    def _takes(self, stage: Stage, fixed_v: float | None) -> bool:
        if fixed_v is not None:
            return stage.in_min_v <= fixed_v <= stage.in_max_v
        return stage.in_min_v <= self._job.bus.low_v and self._job.bus.high_v <= stage.in_max_v

    # -- leads --------------------------------------------------------------------------------------------------

    def _with_leads(self, load: Load, chain: tuple[Stage, ...]) -> Iterator[FeedOption]:
        size = self._direct if fixed_v(chain) is None else self._converted.options
        for pair, lead_ohm in self._leads(load, chain):
            yield from size(load, chain, pair, lead_ohm)

    def _leads(self, load: Load, chain: tuple[Stage, ...]) -> Iterator[tuple[Pair | None, float]]:
        """Leads that may follow a chain, with their loop. [Ω]"""
        if isinstance(load.lead, SuppliedLead):
            yield None, load.lead.loop_ohm
            return
        limit_mm2 = chain[-1].max_conductor_mm2 if chain else None
        for pair in self._pairs:
            if limit_mm2 is None or pair.mm2 <= limit_mm2:
                yield pair, self._lead_ohm(load.lead, pair)

    def _lead_ohm(self, lead: CutLead, pair: Pair) -> float:
        limits = self._job.limits
        return pair.loop_ohm(lead.length_m + limits.slack_m, limits.conductor_c)

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
        load_v = max(load.needs.min_v, bus.low_v - allowed_drop_v)
        resistance = load_ohm(load)
        current_a = load.peak_w / load_v if resistance is None else load_v / resistance
        return load_v + lead_ohm * current_a

    def _direct_fuse_limit_a(self, load: Load) -> float:
        if load.max_fuse_a is not None:
            return load.max_fuse_a
        is_assumed = self._job.limits.fuse_ratio_max is not None and isinstance(load.lead, SuppliedLead)
        return ASSUMED_DIRECT_FUSE_A if is_assumed else math.inf
