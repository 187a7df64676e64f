"""How a load can be fed from the bus: every chain of stages and lead, and which of them another beats."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from optimizer.catalogue import BUS_FORM, Catalogue, Fuse, Holder, Stage
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
        heads = _Heads(self._job, self._prices, self._other_fuse)
        for _ in range(MAX_STAGES):
            grown = [longer for chain in grown for longer in self._longer(chain, heads)]
            heads.weigh(grown)
            for chain in grown:
                found[chain[-1].out_form].append(chain)
        found[BUS_FORM].append(())
        return found

    def _longer(self, chain: tuple[Stage, ...], heads: _Heads) -> Iterator[tuple[Stage, ...]]:
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


# -- dominance ----------------------------------------------------------------------------------------------------


class _Heads:
    """Beginnings of chains that put out the same voltage on plain wire, and which of them another beats.

    Whatever converter follows sees no difference between two of them but the power they take and can pass on, so a
    beaten one needs no converter behind it. If the better one contains a stage that follows, the chain from that stage
    of it onwards is better still.
    """

    def __init__(self, job: Job, prices: PriceBounds, other_fuse: tuple[BySeller, ...]) -> None:
        self._prices = prices
        self._other_fuse = other_fuse
        self._most_fuse_a = job.bus.way_max_a
        drops_v = [job.drop_pct(load) / 100 * job.bus.nominal_v for load in job.loads]
        self._least_floor_v = job.bus.low_v - max(drops_v, default=0.0)
        self._pool: dict[float, list[_Head]] = defaultdict(list)
        self._beaten: set[tuple[Stage, ...]] = set()

    def weigh(self, chains: list[tuple[Stage, ...]]) -> None:
        """Compare the chains of one length with each other and with all shorter ones."""
        heads = []
        for chain in chains:
            out_v = chain[-1].out_v
            if chain[-1].out_form == BUS_FORM and out_v is not None and all(s.out_v is not None for s in chain):
                heads.append((out_v, _Head(chain, self._least_floor_v, self._most_fuse_a)))
        for out_v, head in heads:
            self._pool[out_v].append(head)
        for out_v, head in heads:
            if any(
                rival.beats(head, self._prices, self._other_fuse) for rival in self._pool[out_v] if rival is not head
            ):
                self._beaten.add(head.chain)

    def is_beaten(self, chain: tuple[Stage, ...]) -> bool:
        return chain in self._beaten


class _Head:
    __slots__ = ("chain", "figures", "parts")

    def __init__(self, chain: tuple[Stage, ...], least_floor_v: float, most_fuse_a: float) -> None:
        self.chain = chain
        self.parts = frozenset(stage.id for stage in chain)
        first = chain[0]
        most_out_w, per_w, idle_w = math.inf, 1.0, 0.0
        for stage in reversed(chain):
            most_out_w = min(most_out_w, (stage.max_out_w - idle_w) / per_w)
            idle_w = stage.idle_w + idle_w / stage.efficiency
            per_w /= stage.efficiency
        self.figures = (  # each the smaller the better
            idle_w,
            per_w,
            -most_out_w,
            -min(most_fuse_a, first.max_fuse_a or math.inf),
            -min(most_fuse_a, first.max_in_a or math.inf),
            -(first.max_conductor_mm2 or math.inf),
            max(first.in_min_v, least_floor_v),
            -max(first.in_min_v, least_floor_v),  # equal floors: a lower one lets the design current rise
        )

    def beats(self, other: _Head, prices: PriceBounds, other_fuse: tuple[BySeller, ...]) -> bool:
        """Whether this head is no worse in anything and surely no dearer, another fuse included."""
        if len(self.chain) > len(other.chain):
            return False
        if any(mine > theirs for mine, theirs in zip(self.figures, other.figures, strict=True)):
            return False
        if self.parts < other.parts and not other_fuse:
            return True
        needs = [prices.by_seller(part) for part in self.parts - other.parts]
        saved = prices.least_together_cents(tuple(sorted(other.parts - self.parts)))
        return prices.most_together_cents([*needs, *other_fuse]) < saved


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
