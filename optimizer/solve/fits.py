"""What is known of a circuit before its feeds are chosen: which conductors and fuses can serve a set of loads at all.

Peak currents depend on the floor, the highest among the feeds on the circuit. At each floor a circuit can have, the
feeds that allow it bound the current from both sides; what the least current cannot use is dropped, and what the
greatest current may use needs no row in the model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimizer.arrays import Bools, Ints
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.instance import Instance
from optimizer.solve.runs import RunPair
from optimizer.units import scaled_up

SCALE = 100_000  # 10 µA, 10 µW
_ABOVE = 1e-9  # "more than" as "at least"; far below the scale


@dataclass(frozen=True, slots=True)
class Drawn:
    """Peak current of one feed: as it counts against what carries it, and towards what its fuse needs. [1/SCALE A]"""

    asks: int
    fills: int


@dataclass(frozen=True, slots=True)
class Extremes:
    """The currents of one load at a floor, among the feeds that allow it. [1/SCALE A]"""

    least: int
    most: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """One floor that a circuit can have."""

    floor_v: float
    least: tuple[int, ...]  # by member: least current among the feeds that allow this floor. [1/SCALE A]
    most: tuple[int, ...]  # and the greatest


def needed_to_fill(ratings_a: list[float], ratio: float) -> dict[float, int]:
    """By rating: least design current for which it is not oversized (planning rules 10). [1/SCALE A]"""
    return {
        rating: scaled_up(min(rating / ratio, smaller / 1.25 * (1 + _ABOVE)), SCALE)
        for rating, smaller in zip(ratings_a, [0.0, *ratings_a], strict=False)
    }


class Fits:
    """The currents of the feeds in one group of loads at every floor they have."""

    def __init__(self, instance: Instance, loads: tuple[Load, ...], *, at_panel: bool = False) -> None:
        self.instance = instance
        every = instance.boosted if at_panel else instance.options
        self.options = {load.id: every[load.id] for load in loads}
        self.pairs = (instance.panel_pairs if at_panel else instance.pairs)[loads[0].place]
        self._floors_v = {load: {option.floor_v for option in options} for load, options in self.options.items()}
        self._drawn: dict[tuple[int, float], Drawn] = {}
        self._asks: dict[tuple[str, float], Ints] = {}
        self._extremes: dict[tuple[str, float], Extremes | None] = {}
        self._at_high: dict[str, Extremes] = {}
        self._room: dict[tuple[int, float], int] = {}

    def drawn(self, option: FeedOption, at_v: float) -> Drawn:
        """Peak current of a feed at a voltage of its place."""
        key = (id(option), at_v)
        if key not in self._drawn:
            amps = option.draw.current_a(at_v)
            rounding = self.instance.rounding
            self._drawn[key] = Drawn(rounding.demand(amps, SCALE), rounding.capacity(amps, SCALE))
        return self._drawn[key]

    def asks(self, load: Load, at_v: float) -> Ints:
        """By feed of a load: the current it asks for at a voltage of its place; 0 where that is below its floor."""
        key = (load.id, at_v)
        if key not in self._asks:
            amps = [self.drawn(o, at_v).asks if o.floor_v <= at_v else 0 for o in self.options[load.id]]
            self._asks[key] = np.array(amps, dtype=np.int64)
        return self._asks[key]

    def floors_v(self, members: tuple[Load, ...]) -> list[float]:
        """The floors that some load among these brings, lowest first."""
        return sorted(set().union(*(self._floors_v[load.id] for load in members)))

    def extremes(self, load: Load, floor_v: float) -> Extremes | None:
        """The currents of a load at a floor; None where it has no feed that allows it."""
        key = (load.id, floor_v)
        if key not in self._extremes:
            amps = [self.drawn(o, floor_v).asks for o in self.options[load.id] if o.floor_v <= floor_v]
            self._extremes[key] = Extremes(min(amps), max(amps)) if amps else None
        return self._extremes[key]

    def extremes_at_high(self, load: Load) -> Extremes:
        """The same at high_v, whatever the floor."""
        if load.id not in self._at_high:
            amps = [self.drawn(o, self.instance.job.bus.high_v).asks for o in self.options[load.id]]
            self._at_high[load.id] = Extremes(min(amps), max(amps))
        return self._at_high[load.id]

    def room(self, pair: RunPair, floor_v: float) -> int:
        """Current that a pair carries within the drop that a floor leaves. [1/SCALE A]"""
        key = (id(pair), floor_v)
        if key not in self._room:
            room_a = (self.instance.job.bus.low_v - floor_v) / pair.loop_ohm
            self._room[key] = self.instance.rounding.capacity(room_a, SCALE)
        return self._room[key]

    def carries(self, rating_a: float) -> int:
        """Four times a rating: what five times a design current may come to. [1/SCALE A]"""
        return 4 * self.instance.rounding.capacity(rating_a, SCALE)

    def unseen(self, members: tuple[Load, ...]) -> int:
        """What currents rounded down may come to besides. [1/SCALE A]"""
        return 0 if self.instance.rounding.against_us else len(members)

    @cached_property
    def needed(self) -> dict[float, int]:
        """Empty where no ratio is asked for."""
        ratio = self.instance.job.limits.fuse_ratio_max
        if ratio is None:
            return {}
        return needed_to_fill(self.instance.ratings_a, ratio)

    def of(self, members: tuple[Load, ...]) -> Fit:
        return Fit(self, members)


class Fit:
    """One set of loads on one circuit."""

    def __init__(self, fits: Fits, members: tuple[Load, ...]) -> None:
        self.fits = fits
        self.members = members
        self.high_v = fits.instance.job.bus.high_v
        self.levels = [level for floor_v in fits.floors_v(members) if (level := self._level(floor_v)) is not None]
        self.high = self._high()
        self.pairs = tuple(pair for pair in self._pairs_here() if self._pair_serves(pair))
        self.ratings_a = tuple(rating for rating in fits.instance.ratings_a if self._rating_serves(rating))
        self._sure_pairs: dict[int, bool] = {}  # whatever the feeds, yet asked for every feed
        self._sure_ratings: dict[float, bool] = {}

    def _pairs_here(self) -> list[RunPair]:
        return self.fits.pairs

    def _level(self, floor_v: float) -> Level | None:
        """The currents at a floor; None where some load has no feed that allows it."""
        found = [self.fits.extremes(load, floor_v) for load in self.members]
        known = [each for each in found if each is not None]
        return _level(floor_v, known) if len(known) == len(found) else None

    def _high(self) -> Level:
        return _level(self.high_v, [self.fits.extremes_at_high(load) for load in self.members])

    # -- whatever the feeds ---------------------------------------------------------------------------------------

    def _pair_serves(self, pair: RunPair) -> bool:
        return any(sum(level.least) <= self.fits.room(pair, level.floor_v) for level in self.levels)

    def _rating_serves(self, rating_a: float) -> bool:
        carries = self.fits.carries(rating_a)
        if 5 * sum(self.high.least) > carries:
            return False
        fitting = [level for level in self.levels if 5 * sum(level.least) <= carries]
        most = max((sum(level.most) for level in [*fitting, self.high]), default=0)
        return bool(fitting) and most + self.fits.unseen(self.members) >= self.fits.needed.get(rating_a, 0)

    def any_feeds_on(self, pair: RunPair) -> bool:
        """Whether a pair serves this circuit whatever its feeds."""
        key = id(pair)
        if key not in self._sure_pairs:
            self._sure_pairs[key] = all(sum(each.most) <= self.fits.room(pair, each.floor_v) for each in self.levels)
        return self._sure_pairs[key]

    def any_feeds_behind(self, rating_a: float) -> bool:
        """Whether a fuse carries this circuit whatever its feeds."""
        carries = self.fits.carries(rating_a)
        return all(5 * sum(level.most) <= carries for level in [*self.levels, self.high])

    def is_sure_behind(self, rating_a: float) -> bool:
        """Whether a fuse suits this circuit whatever its feeds."""
        if rating_a not in self._sure_ratings:
            self._sure_ratings[rating_a] = self.any_feeds_behind(rating_a) and self.any_feeds_fill(rating_a)
        return self._sure_ratings[rating_a]

    def any_feeds_fill(self, rating_a: float) -> bool:
        """Whether a fuse is not oversized whatever the feeds of this circuit."""
        needed = self.fits.needed.get(rating_a, 0)
        least = max(sum(self.high.least), min(sum(level.least) for level in self.levels))
        return needed <= least - len(self.members)  # they are rounded up, each by less than one

    # -- with one feed given --------------------------------------------------------------------------------------

    def serves(self, member: int, pairs: Sequence[RunPair]) -> Bools:
        """By feed of a member and by pair: whether a pair can serve this circuit, the others at their best."""
        room = np.array([[self.fits.room(pair, level.floor_v) for pair in pairs] for level in self.levels])
        open_to, asks = self._at_levels(member)
        amps = asks + [sum(level.least) - level.least[member] for level in self.levels]
        fits = amps[:, :, np.newaxis] <= room[np.newaxis]
        return np.asarray((fits & open_to[:, :, np.newaxis]).any(axis=1))

    def carries(self, member: int, ratings_a: Sequence[float]) -> Bools:
        """By feed of a member and by rating: whether a fuse can carry this circuit, the others at their best, and is
        not oversized."""
        most = np.array([self.fits.carries(rating) for rating in ratings_a])
        needed = np.array([self.fits.needed.get(rating, 0) for rating in ratings_a])
        open_to, asks = self._at_levels(member)
        at_high = self.fits.asks(self.members[member], self.high_v)
        amps = asks + [sum(level.least) - level.least[member] for level in self.levels]
        fitting = open_to[:, :, np.newaxis] & (5 * amps[:, :, np.newaxis] <= most)
        greatest = asks + [sum(level.most) - level.most[member] for level in self.levels]
        drawn = np.where(fitting, greatest[:, :, np.newaxis], 0).max(axis=1)
        drawn = np.maximum(drawn, (at_high + sum(self.high.most) - self.high.most[member])[:, np.newaxis])
        is_carried = 5 * (at_high + sum(self.high.least) - self.high.least[member])[:, np.newaxis] <= most
        return np.asarray(is_carried & fitting.any(axis=1) & (drawn + self.fits.unseen(self.members) >= needed))

    def _at_levels(self, member: int) -> tuple[Bools, Ints]:
        """By feed of a member and by floor: whether that floor is open to the circuit then, and its current there."""
        load = self.members[member]
        own_v = np.array([[option.floor_v] for option in self.fits.options[load.id]])
        floors_v = np.array([level.floor_v for level in self.levels])
        open_to = (own_v == floors_v) | ((own_v < floors_v) & (len(self.members) > 1))
        asks = np.stack([self.fits.asks(load, level.floor_v) for level in self.levels], axis=1)
        return open_to, asks


def _level(floor_v: float, found: list[Extremes]) -> Level:
    return Level(floor_v=floor_v, least=tuple(each.least for each in found), most=tuple(each.most for each in found))
