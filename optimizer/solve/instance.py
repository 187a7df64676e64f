"""What the model chooses from: a job's candidates, with the rules that concern one candidate alone already applied."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, cached_property, lru_cache, partial

import numpy as np

from optimizer.catalogue import Catalogue, Fuse, Holder, Junction, Switch, Terminal
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.dominance import Reach, without_beaten
from optimizer.feed_option import plugged_in
from optimizer.feeds import Draw, FeedFinder, FeedOption
from optimizer.job import Job, Load, Place, SuppliedLead
from optimizer.physics.ampacity import bundling_factor
from optimizer.physics.protection import far_fault_a
from optimizer.prices import BySeller, PriceBounds
from optimizer.solve.banks import BankOption, bank_options
from optimizer.units import AGAINST_US, Rounding, cut_mm, is_within

LEAD_TERMINALS = 4  # planning rules 3
RUN_TERMINALS = 8  # four, and at most two each for an in-line holder and a switch (rules 10)


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
    other_fuse = _other_fuse(job, fuses, prices)
    finder = FeedFinder(job, catalogue, prices, other_fuse)
    pairs = {place.id: _run_pairs(job, catalogue, prices, place, bands[place.id], fuses) for place in job.places}
    panel_pairs: dict[str, list[RunPair]] = {place.id: [] for place in job.places}
    boost_runs: dict[str, list[BoostRun]] = {place.id: [] for place in job.places}
    boosted: dict[str, list[FeedOption]] = {load.id: [] for load in job.loads}
    if job.limits.boost_at_panel:
        for place in job.places:
            at_panel = replace(place, run_m=job.limits.panel_run_m, ambient_c=job.bus.ambient_c)
            panel_pairs[place.id] = _run_pairs(job, catalogue, prices, at_panel, bands[place.id], fuses)
            boost_runs[place.id] = _boost_runs(job, catalogue, prices, place, bands[place.id])
        for load in job.loads:
            runs = boost_runs[load.place]
            boosted[load.id] = [
                option
                for option in _allowed(job, load, bands[load.place], finder.boosted(load))
                if fuses and panel_pairs[load.place] and any(takes(option, run, 0) for run in runs)
            ]
    found = {load.id: _allowed(job, load, bands[load.place], finder.unfused(load)) for load in job.loads}
    most_drawn = _most_drawn(job, found)
    highest_floor_v = cache(lambda load_id: max((option.floor_v for option in found[load_id]), default=0.0))
    options: dict[str, list[FeedOption]] = {}
    for load in job.loads:
        around = _Around(job, catalogue, prices, load, fuses, pairs[load.place], found, most_drawn, highest_floor_v)
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


def takes(option: FeedOption, run: BoostRun, band: int) -> bool:
    """Whether a boosted feed may have a run, in one bundling band of its place."""
    return option.run is not None and option.run.takes(run.pair, run.loop_ohm, run.ampacity_a[band])


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


def _boost_runs(job: Job, catalogue: Catalogue, prices: PriceBounds, place: Place, bands: list[Band]) -> list[BoostRun]:
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


def _other_fuse(job: Job, fuses: list[Fuse], prices: PriceBounds) -> tuple[BySeller, ...]:
    """What a fuse of another rating may cost, where the ratio limit can force one: at each seller the dearest."""
    if job.limits.fuse_ratio_max is None:
        return ()
    by_rating: dict[float, list[BySeller]] = defaultdict(list)
    for fuse in fuses:
        by_rating[fuse.rating_a].append(prices.by_seller(fuse.id))
    cheapest = [tuple(map(min, zip(*offers, strict=True))) for offers in by_rating.values()]
    return (tuple(map(max, zip(*cheapest, strict=True))),) if cheapest else ()


def _most_drawn(job: Job, found: dict[str, list[FeedOption]]) -> Callable[[str, float], float]:
    """The most that a load can draw with any of its feeds, at its own floor, at a given one, or at high_v. [A]"""

    @cache
    def greediest(load_id: str) -> list[tuple[float, Draw]]:
        """Draws by floor, of those behind a converter only the greatest."""
        draws: dict[tuple[float, float, float | None, float], Draw] = {}
        for o in found[load_id]:
            draw = o.draw
            alike = (o.floor_v, draw.lead_ohm, draw.load_ohm, draw.power_w if draw.lead_ohm else 0.0)
            if alike not in draws or draws[alike].power_w < draw.power_w:
                draws[alike] = draw
        return [(floor_v, draw) for (floor_v, *_), draw in draws.items()]

    @cache
    def most_a(load_id: str, floor_v: float) -> float:
        volts = ((draw, (own_v, max(own_v, floor_v), job.bus.high_v)) for own_v, draw in greediest(load_id))
        return max((max(map(draw.current_a, at)) for draw, at in volts), default=0.0)

    return most_a


class _Around:
    """What can hang on the same circuit as one load, and what that circuit can come to."""

    def __init__(
        self,
        job: Job,
        catalogue: Catalogue,
        prices: PriceBounds,
        load: Load,
        fuses: list[Fuse],
        pairs: list[RunPair],
        found: dict[str, list[FeedOption]],
        most_drawn: Callable[[str, float], float],
        highest_floor_v: Callable[[str], float],
    ) -> None:
        self._most_drawn = most_drawn
        self._job = job
        self._catalogue = catalogue
        self._prices = prices
        self._load = load
        self._fuses = fuses
        self._pairs = pairs
        self._found = found[load.id]
        self._highest_floor_v = highest_floor_v
        self._mates = [other for other in job.loads if may_share(load, other)]

    def reach(self, bands: list[Band], other_fuse: tuple[BySeller, ...]) -> Reach:
        ratings_a = self._ratings_a()
        sizes = tuple(sorted({pair.pair.mm2 for pair in self._pairs}))
        return Reach(
            ratings_a=ratings_a,
            mm2=sizes,
            ambient_c=self._job.ambient_c(self._job.place_by_id[self._load.place]),
            bundled=tuple(band.bundled for band in bands),
            probe_v=(self._job.bus.low_v, self._job.bus.high_v),
            other_fuse=other_fuse,
            other_run=lru_cache(maxsize=None)(partial(self._other_run, sizes, max(ratings_a, default=0.0))),
            has_mates=len(self._mates) > 1,
            other_lead=self._other_leads(),
        )

    def _most_a(self, floor_v: float) -> float:
        """The most that all of them together can draw, each at its own floor, at a given one, or at high_v. [A]"""
        return sum(self._most_drawn(load.id, floor_v) for load in self._mates)

    def _ratings_a(self) -> tuple[float, ...]:
        """Fuse ratings that the circuit can have: conductors and the ratio limit bound them. [A]"""
        most_cap_a = max((max(pair.fuse_cap_a) for pair in self._pairs), default=0.0)
        ratings = sorted({fuse.rating_a for fuse in self._fuses if fuse.rating_a <= most_cap_a})
        ratio = self._job.limits.fuse_ratio_max
        if ratio is None:
            return tuple(ratings)
        most_a = self._most_a(0.0)
        return tuple(
            rating
            for rating, smaller in zip(ratings, [0.0, *ratings], strict=False)
            if smaller < 1.25 * most_a or rating <= ratio * most_a
        )

    @cached_property
    def _floor_beside_v(self) -> float:
        """The highest floor that another load may bring to the circuit. [V]"""
        return max((self._highest_floor_v(load.id) for load in self._mates if load.id != self._load.id), default=0.0)

    def _other_run(
        self, sizes: tuple[float, ...], most_rating_a: float, floor_v: float, conductor_class: int
    ) -> tuple[BySeller, ...] | None:
        """The cheapest run within a conductor class that serves this load at its floor, whatever hangs beside it."""
        job = self._job
        floor_v = max(floor_v, self._floor_beside_v)
        most_a = self._most_a(floor_v)
        mm = cut_mm(job.place_by_id[self._load.place].run_m + job.limits.slack_m)
        serving = [
            self._laid(run.pair, mm, RUN_TERMINALS)
            for run in self._pairs
            if run.pair.mm2 <= max((0.0, *sizes[:conductor_class]))
            and min(run.fuse_cap_a) >= most_rating_a
            and most_a * run.loop_ohm <= (job.bus.low_v - floor_v) * (1 - 1e-6)
        ]
        return min(serving, key=self._prices.most_together_cents, default=None)

    def _other_leads(self) -> dict[tuple[str, ...], tuple[BySeller, ...]]:
        lead = self._load.lead
        if isinstance(lead, SuppliedLead):
            return {}
        mm = cut_mm(lead.length_m + self._job.limits.slack_m)
        pairs = {option.lead_ids: option.lead for option in self._found if option.lead is not None}
        return {ids: self._laid(pair, mm, LEAD_TERMINALS) for ids, pair in pairs.items()}

    def _laid(self, pair: Pair, mm: int, terminals: int) -> tuple[BySeller, ...]:
        """One cut of a pair with its terminals, bought on top of everything else."""
        fitting = [
            self._prices.by_seller(t.id, terminals)
            for t in self._catalogue.of(Terminal)
            if t.mm2_min <= pair.mm2 <= t.mm2_max
        ]
        cables = tuple(self._prices.cut_by_seller(cable, mm) for cable in pair.ids)
        if not fitting:
            return (*cables, tuple(math.inf for _ in self._catalogue.sellers))
        return (*cables, tuple(map(min, zip(*fitting, strict=True))))


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
    return [o for o in options if is_within(o.lead_needs_a, lead_ampacity_a(job, load, o, bands[0]))]


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
        if is_within(smallest_a, caps[0]):
            found.append(RunPair(pair=pair, loop_ohm=loop, fuse_cap_a=caps))
    return found
