"""What surrounds a load: what its circuit can come to, and what a change of its feed may cost there."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable
from functools import cache, cached_property, lru_cache, partial

from optimizer.catalogue import Catalogue, Fuse, Terminal
from optimizer.conductors import Pair
from optimizer.dominance import Reach
from optimizer.feeds import Draw, FeedOption
from optimizer.job import Job, Load, SuppliedLead
from optimizer.prices import BySeller, PriceBounds
from optimizer.solve.runs import Band, RunPair, may_share
from optimizer.units import cut_mm

LEAD_TERMINALS = 4  # planning rules 3
RUN_TERMINALS = 8  # four, and at most two each for an in-line holder and a switch (rules 10)


class Surroundings:
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


def cost_of_another_fuse(job: Job, fuses: list[Fuse], prices: PriceBounds) -> tuple[BySeller, ...]:
    """What a fuse of another rating may cost, where the ratio limit can force one: at each seller the dearest."""
    if job.limits.fuse_ratio_max is None:
        return ()
    by_rating: dict[float, list[BySeller]] = defaultdict(list)
    for fuse in fuses:
        by_rating[fuse.rating_a].append(prices.by_seller(fuse.id))
    cheapest = [tuple(map(min, zip(*offers, strict=True))) for offers in by_rating.values()]
    return (tuple(map(max, zip(*cheapest, strict=True))),) if cheapest else ()


def most_drawn_by(job: Job, found: dict[str, list[FeedOption]]) -> Callable[[str, float], float]:
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
