"""Mixes: how many of each length are bought. Listed by price, then number of lengths, for one cable."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate

from .instance import Instance, Kind, Reel
from .pieces import Pieces, Room

_THRESHOLDS = 48  # counts of long pieces that every mix is held against
_WINDOWS = 2_000  # the first window of prices is this fraction of the least price


@dataclass(frozen=True, slots=True, order=True)
class Mix:
    """Spools of each kind and steps of each reel, ordered as they are tried."""

    cents: int
    lengths: int
    counts: tuple[int, ...]
    steps: tuple[int, ...]


def mix_of(instance: Instance, counts: Sequence[int], steps: Sequence[int]) -> Mix:
    """The mix of so many spools of each kind and steps of each reel."""
    cents = sum(kind.cents * count for kind, count in zip(instance.kinds, counts, strict=True))
    cents += sum(reel.cents * count for reel, count in zip(instance.reels, steps, strict=True))
    return Mix(cents, sum(counts) + sum(1 for count in steps if count), tuple(counts), tuple(steps))


def rooms_of(instance: Instance, mix: Mix) -> list[Room]:
    """Every length that can be cut from, in the order kinds, reels (those bought), stock."""
    rooms = [
        (kind.room, kind.cable) for kind, count in zip(instance.kinds, mix.counts, strict=True) for _ in range(count)
    ]
    rooms += [(reel.room(steps), reel.cable) for reel, steps in zip(instance.reels, mix.steps, strict=True) if steps]
    return rooms + [(stock.room, stock.cable) for stock in instance.stock]


@dataclass(frozen=True, slots=True)
class Row:
    """What is bought must hold so much: factors of each kind and of the room on each reel."""

    kinds: list[int]
    reels: list[int]
    need: int


class Covers:
    """Counts that refute a mix without packing it: total length, and pieces at least so long."""

    def __init__(self, instance: Instance) -> None:
        pieces = Pieces(instance.sizes, instance.allowed)
        self._sets = [
            _Cover(instance, union, [(instance.sizes[at], instance.counts[at]) for at in own])
            for union, own in pieces.closed_sets
        ]

    def allow(self, mix: Mix) -> bool:
        """Whether no count refutes the mix."""
        return all(cover.allows(mix) for cover in self._sets)

    def rows(self) -> Iterator[Row]:
        """The counts as linear rows; reels count as if cut without waste."""
        return (row for cover in self._sets for row in cover.rows())


class _Cover:
    """One union of cables and the pieces that nothing outside it serves."""

    def __init__(self, instance: Instance, cables: frozenset[int], falling: Sequence[tuple[int, int]]) -> None:
        self._instance = instance
        self._cables = cables
        self._rising = [size for size, count in reversed(falling) for _ in range(count)]
        self._lengths = list(accumulate(self._rising, initial=0))
        starts = [at for at, size in enumerate(self._rising) if at == 0 or size != self._rising[at - 1]]
        self._starts = starts[-_THRESHOLDS:]
        self._needs = [self._lengths[-1], *(len(self._rising) - start for start in self._starts)]
        self._holds = lru_cache(maxsize=4096)(self._held_in)
        self._stock = [self._holds(stock.room) for stock in instance.stock if stock.cable in cables]

    def _held_in(self, room: int) -> tuple[int, ...]:
        lengths = self._lengths
        return (room, *(bisect_left(lengths, lengths[start] + room + 1) - 1 - start for start in self._starts))

    def allows(self, mix: Mix) -> bool:
        instance = self._instance
        parts = [
            (count, self._holds(kind.room))
            for kind, count in zip(instance.kinds, mix.counts, strict=True)
            if count and kind.cable in self._cables
        ]
        parts += [
            (1, self._holds(reel.room(steps)))
            for reel, steps in zip(instance.reels, mix.steps, strict=True)
            if steps and reel.cable in self._cables
        ]
        parts += [(1, held) for held in self._stock]
        return all(sum(count * held[at] for count, held in parts) >= need for at, need in enumerate(self._needs))

    def rows(self) -> Iterator[Row]:
        kinds, reels = self._instance.kinds, self._instance.reels
        held = [self._holds(kind.room) if kind.cable in self._cables else None for kind in kinds]
        serves = [int(reel.cable in self._cables) for reel in reels]
        for at, need in enumerate(self._needs):
            size = 1 if at == 0 else self._rising[self._starts[at - 1]]
            yield Row(
                kinds=[size * counts[at] if counts else 0 for counts in held],
                reels=serves,
                need=size * (need - sum(counts[at] for counts in self._stock)),
            )


class ByPrice:
    """Mixes of one cable with room for the total length, by price and number of lengths.

    `bound_cents`: every mix that is still to come costs at least so much.
    """

    def __init__(self, instance: Instance, below: int) -> None:
        self._listing = _Listing(instance)
        self._below = below
        self.bound_cents = self._listing.least() if self._listing.is_enough else below
        sources = [*(kind.cents for kind in instance.kinds), *(reel.cents for reel in instance.reels)]
        self._width = max([self.bound_cents // _WINDOWS, 1, *sources])

    def __iter__(self) -> Iterator[Mix]:
        low, width = self.bound_cents, self._width
        while low < self._below:
            high = min(low + width, self._below)
            for mix in sorted(self._listing.between(low, high)):
                self.bound_cents = mix.cents
                yield mix
            self.bound_cents = low = high
            width *= 2


def at_price(instance: Instance, cents: int) -> list[Mix]:
    """Every mix of one cable at exactly this price with room for the total length, fewest lengths first."""
    return sorted(_Listing(instance).between(cents, cents + 1))


class _Listing:
    """Depth first over kinds and reels, the cheapest per length last; cut where the rest must cost too much."""

    def __init__(self, instance: Instance) -> None:
        self._instance = instance
        self._need = instance.total - sum(stock.room for stock in instance.stock)
        sources: list[Kind | Reel] = [*instance.kinds, *instance.reels]
        self._order = sorted(range(len(sources)), key=lambda at: -cents_per_length(sources[at]))
        self._sources = sources
        self._most_room = [0] * (len(sources) + 1)
        for step in range(len(sources) - 1, -1, -1):
            self._most_room[step] = self._most_room[step + 1] + _all_room(sources[self._order[step]])

    @property
    def is_enough(self) -> bool:
        """Whether everything that can be bought has room for the total length."""
        return self._need <= self._most_room[0]

    def least(self) -> int:
        """No mix is cheaper. [cents]"""
        return math.ceil(self._rest_cents(0, self._need) - 1e-6)

    def between(self, low: int, high: int) -> Iterator[Mix]:
        """Every mix with low ≤ price < high."""
        yield from self._from(0, self._need, 0, [0] * len(self._sources), low, high)

    def _rest_cents(self, step: int, need: int) -> float:
        """The least price of so much more room from the sources that are still open, parts of them allowed."""
        cents = 0.0
        for at in reversed(self._order[step:]):
            if need <= 0:
                return cents
            room = min(_all_room(self._sources[at]), need)
            cents += room * cents_per_length(self._sources[at])
            need -= room
        return cents if need <= 0 else math.inf

    def _from(self, step: int, need: int, cents: int, taken: list[int], low: int, high: int) -> Iterator[Mix]:
        if need > self._most_room[step] or cents + self._rest_cents(step, need) - 1e-6 > high - 1:
            return
        if step == len(self._order):
            if cents >= low:
                yield self._mix(taken)
            return
        at = self._order[step]
        source = self._sources[at]
        for count in self._range(source, step, need, cents, low):
            price = cents + count * source.cents
            if price >= high:
                break
            taken[at] = count
            room = source.room(count) if isinstance(source, Reel) else source.room * count
            yield from self._from(step + 1, need - room, price, taken, low, high)
        taken[at] = 0

    def _range(self, source: Kind | Reel, step: int, need: int, cents: int, low: int) -> range:
        """The counts worth trying: enough with all that follows, and for the last source not below `low`."""
        missing = need - self._most_room[step + 1]
        least = source.least_steps(missing) if isinstance(source, Reel) else max(-(-missing // source.room), 0)
        if step == len(self._order) - 1 and source.cents:
            least = max(least, -(-(low - cents) // source.cents))
        return range(least, source.most + 1)

    def _mix(self, taken: Sequence[int]) -> Mix:
        kinds = len(self._instance.kinds)
        return mix_of(self._instance, taken[:kinds], taken[kinds:])


def _all_room(source: Kind | Reel) -> int:
    return source.room(source.most) if isinstance(source, Reel) else source.room * source.most


def cents_per_length(source: Kind | Reel) -> float:
    """A lower bound on the price of a unit of length."""
    if isinstance(source, Kind):
        return source.cents / source.room
    return source.cents * source.unit_mm / (source.offer.step_mm + max(source.extra_mm, 0))
