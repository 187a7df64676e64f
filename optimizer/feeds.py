"""How a load can be fed from the bus: every chain of stages and lead, and which of them another beats."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from optimizer.catalogue import BUS_FORM, Catalogue, Fuse, Holder, Stage
from optimizer.chain_heads import Heads
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.job import CutLead, Job, Load, SuppliedLead
from optimizer.physics.line import constant_power_v, resistive_v
from optimizer.prices import BySeller, PriceBounds
from optimizer.units import HOURS_PER_DAY

MAX_STAGES = 3  # planning rules 2
ASSUMED_DIRECT_FUSE_A = 5.0  # planning rules 10: a directly fed supplied lead that states no limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What a feed takes from its circuit at peak, as a function of the voltage at its place."""

    power_w: float = 0.0  # constant power: at the head of the lead where lead_ohm is 0
    lead_ohm: float = 0.0  # direct feeds: loop of the lead
    load_ohm: float | None = None  # direct resistive load

    def current_a(self, place_v: float) -> float:
        """Current at a place voltage; infinite where the lead cannot carry the load. [A]"""
        if self.load_ohm is not None:
            return place_v / (self.load_ohm + self.lead_ohm)
        load_v = constant_power_v(place_v, self.lead_ohm, self.power_w)
        return math.inf if load_v is None else self.power_w / load_v


@dataclass(frozen=True, kw_only=True)
class FeedOption:
    """One way to feed one load from the bus."""

    load: str
    stages: tuple[Stage, ...]
    lead: Pair | None  # cut lead, else None
    output_fuse: tuple[Fuse, Holder] | None
    floor_v: float  # lowest voltage it may see at its place
    draw: Draw
    average_w: float  # over 24 h, wiring allowance not included
    max_fuse_a: float  # of the circuit; infinite where nothing limits it
    lead_needs_a: float  # ampacity that a cut lead needs; 0 where the circuit's fuse decides

    @cached_property
    def max_conductor_mm2(self) -> float:
        """Largest conductor of the circuit that the first stage takes. [mm²]"""
        limit = self.stages[0].max_conductor_mm2 if self.stages else None
        return math.inf if limit is None else limit

    @cached_property
    def is_direct(self) -> bool:
        """Whether nothing converts the bus voltage."""
        return all(stage.out_v is None for stage in self.stages)

    @cached_property
    def parts(self) -> tuple[str, ...]:
        """Everything bought by the piece for this feed, by id."""
        bought = [stage.id for stage in self.stages]
        if self.output_fuse is not None:
            bought += [part.id for part in self.output_fuse]
        return tuple(sorted(bought))

    @cached_property
    def lead_ids(self) -> tuple[str, ...]:
        return self.lead.ids if self.lead else ()

    @cached_property
    def key(self) -> tuple[int, tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        """A stated order among equals: fewest stages, then ids."""
        return (len(self.stages), tuple(s.id for s in self.stages), self.lead_ids, self.parts)


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

    def options(self, load: Load) -> list[FeedOption]:
        """Every feed that obeys the rules on its own, in a stated order; dominated ones are still there."""
        found = [option for chain in self._chains(load) for option in self._with_leads(load, chain)]
        return sorted(found, key=lambda option: option.key)

    # -- chains -------------------------------------------------------------------------------------------------

    def _chains(self, load: Load) -> Iterator[tuple[Stage, ...]]:
        """Chains of up to three stages that end in the form and at a voltage the load takes."""
        for chain in self._chains_by_form[load.needs.form]:
            if self._voltage_fits(load, fixed_v(chain)) and self._may_carry(load, chain):
                yield chain

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
        is_beaten = heads.is_beaten(chain)
        for stage in self._stages_from[form]:
            if stage in chain or not self._takes(stage, before_v) or not self._fits_in_current(chain, stage):
                continue
            if stage.out_v is None and stage.out_form == form:
                continue
            # a converter does not care which of two heads feeds it; a passive plug does (rules 10, max_in_a)
            if is_beaten and stage.out_v is not None and stage.max_in_a is None:
                continue
            yield (*chain, stage)

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

    @staticmethod
    def _fits_in_current(chain: tuple[Stage, ...], stage: Stage) -> bool:
        """Rules 10: passive plugs against the converter before them; only the last converter may lack a limit."""
        before = next((s for s in reversed(chain) if s.out_v is not None), None)
        if before is None or before.out_v is None:
            return True
        if stage.out_v is not None and not before.limits_output:
            return False
        return stage.max_in_a is None or before.max_out_w / before.out_v <= stage.max_in_a

    # -- leads --------------------------------------------------------------------------------------------------

    def _with_leads(self, load: Load, chain: tuple[Stage, ...]) -> Iterator[FeedOption]:
        if isinstance(load.lead, SuppliedLead):
            yield from self._sized(load, chain, None, load.lead.loop_ohm)
            return
        limit_mm2 = chain[-1].max_conductor_mm2 if chain else None
        for pair in self._pairs:
            if limit_mm2 is None or pair.mm2 <= limit_mm2:
                yield from self._sized(load, chain, pair, self._lead_ohm(load.lead, pair))

    def _lead_ohm(self, lead: CutLead, pair: Pair) -> float:
        limits = self._job.limits
        return pair.loop_ohm(lead.length_m + limits.slack_m, limits.conductor_c)

    def _sized(self, load: Load, chain: tuple[Stage, ...], pair: Pair | None, lead_ohm: float) -> Iterator[FeedOption]:
        fixer = next((stage for stage in reversed(chain) if stage.out_v is not None), None)
        if fixer is None:
            yield from self._direct(load, chain, pair, lead_ohm)
        else:
            yield from self._converted(load, chain, fixer, pair, lead_ohm)

    # -- nothing converts ---------------------------------------------------------------------------------------

    def _direct(self, load: Load, chain: tuple[Stage, ...], pair: Pair | None, lead_ohm: float) -> Iterator[FeedOption]:
        bus = self._job.bus
        draw = Draw(power_w=load.peak_w, lead_ohm=lead_ohm, load_ohm=load_ohm(load))
        floor_v = max(self._stage_floor_v(load, chain), self._direct_floor_v(load, lead_ohm))
        if floor_v > bus.low_v or not self._is_rated(chain, load.peak_w):
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
            max_fuse_a=min(self._fuse_limit_a(chain), self._direct_fuse_limit_a(load)),
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

    # -- a converter fixes the voltage --------------------------------------------------------------------------

    def _converted(
        self, load: Load, chain: tuple[Stage, ...], fixer: Stage, pair: Pair | None, lead_ohm: float
    ) -> Iterator[FeedOption]:
        assert fixer.out_v is not None
        peak = behind_converter(load, fixer.out_v, lead_ohm, load.peak_w)
        if peak is None:
            return
        load_v, peak_out_w = peak
        lost_v = fixer.out_v - load_v
        if load_v < load.needs.min_v or lost_v > self._job.drop_pct(load) / 100 * fixer.out_v:
            return
        floor_v = self._stage_floor_v(load, chain)
        if floor_v > self._job.bus.low_v or not self._is_rated(chain, peak_out_w):
            return
        typical = behind_converter(load, fixer.out_v, lead_ohm, load.typical_w)
        assert typical is not None  # typical_w never exceeds peak_w
        on_w = input_w(chain, typical[1])
        off_w = 0.0 if load.switch else input_w(chain, 0.0)
        hours = load.hours_per_day
        for fuse_and_holder, lead_needs_a in self._output_fuses(chain, fixer, peak_out_w):
            if pair and fuse_and_holder and fuse_and_holder[0].rating_a > pair.max_fuse_a:
                continue
            yield FeedOption(
                load=load.id,
                stages=chain,
                lead=pair,
                output_fuse=fuse_and_holder,
                floor_v=floor_v,
                draw=Draw(power_w=input_w(chain, peak_out_w)),
                average_w=(on_w * hours + off_w * (HOURS_PER_DAY - hours)) / HOURS_PER_DAY,
                max_fuse_a=self._fuse_limit_a(chain),
                lead_needs_a=lead_needs_a if pair else 0.0,
            )

    def _output_fuses(
        self, chain: tuple[Stage, ...], fixer: Stage, peak_out_w: float
    ) -> Iterator[tuple[tuple[Fuse, Holder] | None, float]]:
        """The protection behind the converter and the ampacity that a cut lead then needs. [A]"""
        assert fixer.out_v is not None
        if fixer.limits_output:
            yield None, fixer.max_out_w / fixer.out_v
            return
        after = chain[chain.index(fixer) + 1 :]
        ceiling_a = min((stage.max_in_a for stage in after if stage.max_in_a is not None), default=math.inf)
        least_a = 1.25 * peak_out_w / fixer.out_v
        for fuse in self._catalogue.of(Fuse):
            if not least_a <= fuse.rating_a <= ceiling_a or fuse.max_v < fixer.out_v:
                continue
            if not self._prices.is_sold_or_owned(fuse.id):
                continue
            for holder in self._catalogue.of(Holder):
                fits = holder.style == fuse.style and holder.max_a >= fuse.rating_a and holder.max_v >= fixer.out_v
                if fits and self._prices.is_sold_or_owned(holder.id):
                    yield (fuse, holder), fuse.rating_a

    # -- shared -------------------------------------------------------------------------------------------------

    def _stage_floor_v(self, load: Load, chain: tuple[Stage, ...]) -> float:
        bus = self._job.bus
        lowest_v = bus.low_v - self._job.drop_pct(load) / 100 * bus.nominal_v
        return max([lowest_v, *(stage.in_min_v for stage in reached_by_bus(chain))])

    def _fuse_limit_a(self, chain: tuple[Stage, ...]) -> float:
        limits = [limit for s in reached_by_bus(chain) for limit in (s.max_fuse_a, s.max_in_a) if limit is not None]
        return min(limits, default=math.inf)

    def _is_rated(self, chain: tuple[Stage, ...], out_w: float) -> bool:
        """Whether every stage can put out what the chain asks of it at peak, headroom included."""
        factor = 1 + self._job.limits.headroom_pct / 100
        for stage in reversed(chain):
            if out_w * factor > stage.max_out_w * (1 + 1e-12):
                return False
            out_w = stage.idle_w + out_w / stage.efficiency
        return True


def fixed_v(chain: tuple[Stage, ...]) -> float | None:
    """Voltage at the end of a chain; None where it is still the bus's. [V]"""
    return next((stage.out_v for stage in reversed(chain) if stage.out_v is not None), None)


def reached_by_bus(chain: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """The stages that see the bus voltage: up to the first that fixes a voltage, that one included."""
    first = next((n for n, stage in enumerate(chain) if stage.out_v is not None), len(chain) - 1)
    return chain[: first + 1]


def input_w(chain: tuple[Stage, ...], out_w: float) -> float:
    """Power that a chain takes from its circuit while it puts out so much. [W]

    Source: planning rules 2, back from the load: idle_w + P_out / efficiency.
    """
    for stage in reversed(chain):
        out_w = stage.idle_w + out_w / stage.efficiency
    return out_w


def load_ohm(load: Load) -> float | None:
    """Resistance of a resistive load, rated_v² / peak_w; None for constant power. [Ω]"""
    if load.behaviour != "resistive" or load.rated_v is None:
        return None
    return load.rated_v**2 / load.peak_w


def behind_converter(load: Load, out_v: float, lead_ohm: float, power_w: float) -> tuple[float, float] | None:
    """What a load sees behind its lead, and the power at the head of the lead. [V], [W]

    Args:
        power_w: peak_w or typical_w; a resistive load's scales with the voltage it sees. [W]
    Source: planning rules 2 (lead) and 9 (resistive loads).
    """
    resistance = load_ohm(load)
    if resistance is not None:
        head_w = out_v**2 / (resistance + lead_ohm) * power_w / load.peak_w
        return resistive_v(out_v, lead_ohm, resistance), head_w
    load_v = constant_power_v(out_v, lead_ohm, power_w)
    if load_v is None:
        return None
    return load_v, out_v * power_w / load_v
