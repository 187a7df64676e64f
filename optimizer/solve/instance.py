"""What the model chooses from: a job's candidates, with the rules that concern one candidate alone already applied."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from optimizer.catalogue import BankKit, Battery, Catalogue, Fuse, Holder, Switch
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.feeds import FeedFinder, FeedOption, Reach, without_beaten
from optimizer.job import Job, Load, Place
from optimizer.physics.ampacity import bundling_factor
from optimizer.physics.bank import average_current_a
from optimizer.physics.protection import far_fault_a
from optimizer.prices import PriceBounds
from optimizer.units import HOURS_PER_DAY, cut_mm


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
class BankOption:
    """Keep the bank (no battery), or buy series x parallel of one battery."""

    battery: Battery | None
    series: int
    parallel: int
    kit: BankKit | None
    available_w: float  # on average over the autonomy
    max_discharge_a: float
    fault_a: float  # prospective short-circuit current it brings

    @property
    def key(self) -> tuple[str, int, int, str]:
        return (self.battery.id if self.battery else "", self.series, self.parallel, self.kit.id if self.kit else "")


@dataclass(frozen=True, kw_only=True)
class Instance:
    """One job's candidates. Lists are in a stated order that does not depend on the order of the documents."""

    job: Job
    catalogue: Catalogue
    loads: tuple[Load, ...]
    options: dict[str, list[FeedOption]]  # by load
    pairs: dict[str, list[RunPair]]  # by place
    bands: dict[str, list[Band]]  # by place
    fuses: list[Fuse]
    banks: list[BankOption]

    @cached_property
    def ratings_a(self) -> list[float]:
        """Fuse ratings that a way of this panel can take. [A]"""
        return sorted({fuse.rating_a for fuse in self.fuses})

    @cached_property
    def switches(self) -> list[Switch]:
        return [s for s in self.catalogue.of(Switch) if s.max_v >= self.job.bus.high_v]

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

    def run_mm(self, place_id: str) -> int:
        """Length of one cut for the run to a place. [mm]"""
        return cut_mm(self.job.place_by_id[place_id].run_m + self.job.limits.slack_m)

    def lead_mm(self, load: Load) -> int:
        """Length of one cut for a load's lead. [mm]"""
        return cut_mm(load.lead.length_m + self.job.limits.slack_m)  # type: ignore[union-attr]

    def may_share(self, first: Load, second: Load) -> bool:
        """Whether two loads may hang on one circuit."""
        if first.id == second.id:
            return True
        return (
            first.place == second.place
            and first.switch == second.switch
            and not first.own_circuit
            and not second.own_circuit
        )


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
    bands = {place.id: _bands(job, place) for place in job.places}
    fuse_change_cents = _fuse_change_cents(job, fuses, prices)
    finder = FeedFinder(job, catalogue, prices, fuse_change_cents)
    pairs = {place.id: _run_pairs(job, catalogue, prices, place, bands[place.id], fuses) for place in job.places}
    found = {load.id: _allowed(job, load, bands[load.place], finder.options(load)) for load in job.loads}
    options: dict[str, list[FeedOption]] = {}
    for place in job.places:
        here = [load.id for load in job.loads if load.place == place.id]
        reach = Reach(
            ratings_a=_reachable_ratings_a(job, fuses, pairs[place.id], [found[load] for load in here]),
            mm2=tuple(sorted({pair.pair.mm2 for pair in pairs[place.id]})),
            ambient_c=job.ambient_c(place),
            bundled=tuple(band.bundled for band in bands[place.id]),
            probe_v=(job.bus.low_v, job.bus.high_v),
            fuse_change_cents=fuse_change_cents,
        )
        for load in here:
            options[load] = without_beaten(found[load], prices, reach) if fuses and pairs[place.id] else []
    return Instance(
        job=job,
        catalogue=catalogue,
        loads=job.loads,
        options=options,
        pairs=pairs,
        bands=bands,
        fuses=fuses,
        banks=bank_options(job, catalogue, prices),
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


def _fuse_change_cents(job: Job, fuses: list[Fuse], prices: PriceBounds) -> float:
    """What another fuse may cost at most, where the ratio limit can force one. [cents]"""
    if job.limits.fuse_ratio_max is None:
        return 0.0
    ratings = {fuse.rating_a for fuse in fuses}
    return max((min(prices.most_cents(f.id) for f in fuses if f.rating_a == rating) for rating in ratings), default=0.0)


def _reachable_ratings_a(
    job: Job, fuses: list[Fuse], pairs: list[RunPair], options: list[list[FeedOption]]
) -> tuple[float, ...]:
    """Ratings that a circuit of some of these loads can have: conductors and the ratio limit bound them. [A]"""
    most_cap_a = max((max(pair.fuse_cap_a) for pair in pairs), default=0.0)
    ratings = sorted({fuse.rating_a for fuse in fuses if fuse.rating_a <= most_cap_a})
    ratio = job.limits.fuse_ratio_max
    if ratio is None:
        return tuple(ratings)
    bus = job.bus
    most_a = sum(
        max((max(o.draw.current_a(o.floor_v), o.draw.current_a(bus.high_v)) for o in ways), default=0.0)
        for ways in options
    )
    return tuple(
        rating
        for rating, smaller in zip(ratings, [0.0, *ratings], strict=False)
        if smaller < 1.25 * most_a or rating <= ratio * most_a
    )


def _bands(job: Job, place: Place) -> list[Band]:
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


def _allowed(job: Job, load: Load, bands: list[Band], options: list[FeedOption]) -> list[FeedOption]:
    """Feeds whose cut lead carries what it must in the best band at least."""
    return [o for o in options if lead_ampacity_a(job, load, o, bands[0]) >= o.lead_needs_a]


def lead_ampacity_a(job: Job, load: Load, option: FeedOption, band: Band) -> float:
    """Ampacity of a feed's cut lead as installed at its place; infinite where nothing is cut. [A]"""
    if option.lead is None:
        return math.inf
    return option.lead.ampacity_a(job.ambient_c(job.place_by_id[load.place]), band.bundled)


def _run_pairs(
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
        if caps[0] >= smallest_a:
            found.append(RunPair(pair=pair, loop_ohm=loop, fuse_cap_a=caps))
    return found


# -- bank ---------------------------------------------------------------------------------------------------------


def bank_options(job: Job, catalogue: Catalogue, prices: PriceBounds) -> list[BankOption]:
    """The existing bank and, where one may be bought, every series x parallel of one battery."""
    options = []
    existing = job.bank.existing
    if existing is not None:
        current_a = average_current_a(
            capacity_ah=existing.capacity_ah * job.limits.bank_derate,
            usable_fraction=existing.usable_fraction,
            rated_hours=existing.rated_hours,
            peukert=existing.peukert,
            autonomy_h=job.limits.autonomy_h,
        )
        options.append(
            BankOption(
                battery=None,
                series=1,
                parallel=1,
                kit=None,
                available_w=current_a * existing.nominal_v,
                max_discharge_a=existing.max_discharge_a,
                fault_a=job.bus.fault_a,
            )
        )
    if job.bank.may_buy:
        for battery in catalogue.of(Battery):
            if prices.is_sold_or_owned(battery.id):
                options += _bought(job, catalogue, prices, battery)
    return options


def _bought(job: Job, catalogue: Catalogue, prices: PriceBounds, battery: Battery) -> list[BankOption]:
    bus = job.bus
    options = []
    for series in (1, 2, 4):
        fits = series * battery.low_v >= bus.low_v and series * battery.high_v <= bus.high_v
        if battery.charge_v is not None and bus.high_v > series * battery.charge_v:
            fits = False
        if not fits or series > battery.series_limit:
            continue
        for parallel in range(1, battery.max_parallel + 1):
            kits = _kits(job, catalogue, prices, battery, series, parallel)
            options += [_bank_option(job, battery, series, parallel, kit) for kit in kits]
    return options


def states_fault_data(battery: Battery) -> bool:
    """Whether a battery is described by the safer limits of rules 10."""
    return any(x is not None for x in (battery.fault_a, battery.max_series, battery.charge_v, battery.chemistry))


def _kits(
    job: Job, catalogue: Catalogue, prices: PriceBounds, battery: Battery, series: int, parallel: int
) -> list[BankKit | None]:
    """Sets of string fuses, links and disconnect for a bank of several batteries; [None] where none is asked for."""
    if series * parallel == 1 or not states_fault_data(battery):
        return [None]
    return [
        kit
        for kit in catalogue.of(BankKit)
        if kit.max_series >= series
        and kit.max_parallel >= parallel
        and kit.max_v >= job.bus.high_v
        and kit.interrupt_a >= parallel * (battery.fault_a or 0)
        and prices.is_sold_or_owned(kit.id)
    ]


def _bank_option(job: Job, battery: Battery, series: int, parallel: int, kit: BankKit | None) -> BankOption:
    current_a = average_current_a(
        capacity_ah=parallel * battery.capacity_ah * job.limits.bank_derate,
        usable_fraction=battery.usable_fraction,
        rated_hours=battery.rated_hours,
        peukert=battery.peukert,
        autonomy_h=job.limits.autonomy_h,
    )
    peak_a = parallel * battery.max_discharge_a
    return BankOption(
        battery=battery,
        series=series,
        parallel=parallel,
        kit=kit,
        available_w=current_a * series * battery.nominal_v,
        max_discharge_a=peak_a if kit is None else min(peak_a, kit.max_a),
        fault_a=max(job.bus.fault_a, parallel * (battery.fault_a or 0)),
    )


# -- existing AC outlet -------------------------------------------------------------------------------------------


def ac_average_w(job: Job, load: Load) -> float:
    """What a load takes from the bank on average when fed from the outlet, the inverter's idling left out. [W]"""
    assert job.ac is not None
    assert load.brick is not None
    on_w = load.brick.idle_w + load.typical_w / load.brick.efficiency
    off_w = 0.0 if load.switch else load.brick.idle_w
    hours = load.hours_per_day
    return (on_w * hours + off_w * (HOURS_PER_DAY - hours)) / HOURS_PER_DAY / job.ac.efficiency


def ac_peak_w(load: Load) -> float:
    """What a load takes from the outlet at peak. [W]"""
    assert load.brick is not None
    return load.brick.idle_w + load.peak_w / load.brick.efficiency


def ac_idle_average_w(job: Job) -> float:
    """What the inverter takes for being on, as an average over 24 h. [W]"""
    assert job.ac is not None
    return job.ac.idle_w * job.ac.on_hours_per_day / HOURS_PER_DAY
