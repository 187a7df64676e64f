"""A request in normal form: whole units, one class a length and set of cables, nothing that another offer beats.

A piece of length l takes l + kerf, a spool of length L has room for L + kerf - trim: n pieces need n - 1 kerfs when
the last one ends with the spool. Lengths are divided by their greatest common divisor, rooms rounded down.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from .request import ByTheMetre, CutListRequest, Run, Spool

_ROUNDED = 150_000  # longer rooms are left as they are


@dataclass(frozen=True, slots=True)
class Kind:
    """A spool length of a cable that can be bought up to `most` times."""

    cable: int
    room: int
    cents: int
    most: int
    spool: Spool


@dataclass(frozen=True, slots=True)
class Reel:
    """One continuous length of a cable in steps."""

    cable: int
    cents: int  # a step
    most: int  # steps
    unit_mm: int
    extra_mm: int  # kerf - trim
    offer: ByTheMetre
    rooms: tuple[int, ...] = ()  # for each number of steps, where rooms were rounded down to loads that exist

    def room(self, steps: int) -> int:
        """Room on so many steps; 0 steps are no length at all."""
        if self.rooms:
            return self.rooms[steps]
        return max(self.offer.step_mm * steps + self.extra_mm, 0) // self.unit_mm if steps else 0

    def least_steps(self, room: int) -> int:
        """The fewest steps with so much room."""
        if self.rooms:
            return bisect_left(self.rooms, room)
        return max(-(-(room * self.unit_mm - self.extra_mm) // self.offer.step_mm), 1) if room > 0 else 0


@dataclass(frozen=True, slots=True)
class Stock:
    """An owned length."""

    cable: int
    room: int
    at: int  # in the request
    length_mm: int


@dataclass(frozen=True, slots=True)
class Instance:
    """What is solved. Classes of pieces go from long to short."""

    cables: tuple[str, ...]
    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    runs: tuple[tuple[int, ...], ...]  # of each class: positions of its runs in the request
    kinds: tuple[Kind, ...]
    reels: tuple[Reel, ...]
    stock: tuple[Stock, ...]
    unit_mm: int

    @property
    def total(self) -> int:
        """Length of all pieces together."""
        return sum(size * count for size, count in zip(self.sizes, self.counts, strict=True))

    @property
    def pieces(self) -> int:
        """How many pieces there are."""
        return sum(self.counts)


def components(request: CutListRequest) -> list[list[int]]:
    """Positions of runs, grouped so that no cable serves runs of two groups."""
    group_of: dict[str, list[int]] = {}
    for at, run in enumerate(request.runs):
        merged = [at]
        for other in {id(group_of[cable]): group_of[cable] for cable in run.cables if cable in group_of}.values():
            merged += other
        for cable in {cable for position in merged for cable in request.runs[position].cables}:
            group_of[cable] = merged
    groups = {id(group): sorted(group) for group in group_of.values()}
    return sorted(groups.values())


def instance_of(request: CutListRequest, positions: Sequence[int]) -> Instance:
    """The normal form of some runs of a request and of everything they can be cut from."""
    kerf_mm, trim_mm = request.settings.kerf_mm, request.settings.trim_mm
    runs = [request.runs[at] for at in positions]
    cables = tuple(sorted({cable for run in runs for cable in run.cables}))
    number = {cable: at for at, cable in enumerate(cables)}
    unit_mm = math.gcd(*(run.length_mm + kerf_mm for run in runs))
    classes = _classes(request, positions, number, (kerf_mm, unit_mm))
    bare = Instance(
        cables=cables,
        sizes=tuple(size for size, _ in classes),
        counts=tuple(sum(request.runs[at].quantity for at in members) for members in classes.values()),
        allowed=tuple(allowed for _, allowed in classes),
        runs=tuple(tuple(members) for members in classes.values()),
        kinds=(),
        reels=(),
        stock=tuple(
            Stock(number[length.cable], max(length.length_mm + kerf_mm - trim_mm, 0) // unit_mm, at, length.length_mm)
            for at, length in enumerate(request.owned)
            if length.cable in number
        ),
        unit_mm=unit_mm,
    )
    kinds = [
        Kind(
            number[spool.cable],
            max(spool.length_mm + kerf_mm - trim_mm, 0) // unit_mm,
            spool.price_cents,
            bare.pieces if spool.limit is None else min(spool.limit, bare.pieces),
            spool,
        )
        for spool in request.spools
        if spool.cable in number
    ]
    reels = [
        Reel(number[offer.cable], offer.step_cents, 0, unit_mm, kerf_mm - trim_mm, offer)
        for offer in request.by_the_metre
        if offer.cable in number
    ]
    return _without_beaten(bare, kinds, reels)


def _classes(
    request: CutListRequest, positions: Sequence[int], number: dict[str, int], kerf_and_unit_mm: tuple[int, int]
) -> dict[tuple[int, tuple[int, ...]], list[int]]:
    kerf_mm, unit_mm = kerf_and_unit_mm
    classes: dict[tuple[int, tuple[int, ...]], list[int]] = {}
    for at in positions:
        run: Run = request.runs[at]
        allowed = tuple(sorted(number[cable] for cable in run.cables))
        classes.setdefault(((run.length_mm + kerf_mm) // unit_mm, allowed), []).append(at)
    return dict(sorted(classes.items(), key=lambda entry: (-entry[0][0], len(entry[0][1]), entry[0][1])))


def _without_beaten(bare: Instance, kinds: list[Kind], reels: list[Reel]) -> Instance:
    kept: list[Kind] = []
    kept_reels: list[Reel] = []
    stock: list[Stock] = []
    for cable in range(len(bare.cables)):
        pieces = _Pieces.of(bare, cable)
        own = _bounded([kind for kind in kinds if kind.cable == cable and kind.room >= pieces.shortest], pieces)
        free = [kind for kind in own if _unlimited(kind, pieces)]
        own_reels = [found for reel in reels if reel.cable == cable for found in _bounded_reel(reel, free, pieces)]
        own_stock = [owned for owned in bare.stock if owned.cable == cable]
        rooms = [*(kind.room for kind in own), *(r.room(r.most) for r in own_reels), *(s.room for s in own_stock)]
        loads = reachable(bare, cable, max((room for room in rooms if room <= _ROUNDED), default=0))
        kept += [replace(kind, room=loads.down(kind.room)) for kind in own]
        kept_reels += [_rounded_reel(reel, loads) for reel in own_reels]
        stock += [replace(owned, room=loads.down(owned.room)) for owned in own_stock]
    stock.sort(key=lambda owned: owned.at)
    return replace(bare, kinds=tuple(kept), reels=tuple(kept_reels), stock=tuple(stock))


@dataclass(frozen=True, slots=True)
class Reachable:
    """The loads that pieces can make, as bits, up to a limit."""

    bits: int
    limit: int

    def down(self, room: int) -> int:
        """The largest load within a room: the rest of it is lost whatever is cut."""
        return room if room > self.limit else (self.bits & ((1 << (room + 1)) - 1)).bit_length() - 1


@lru_cache(maxsize=256)
def reachable(instance: Instance, cable: int, limit: int) -> Reachable:
    """The loads up to a limit that the pieces a cable may serve can make."""
    mask, bits = (1 << (limit + 1)) - 1, 1
    for size, count, allowed in zip(instance.sizes, instance.counts, instance.allowed, strict=True):
        left = min(count, limit // size) if cable in allowed else 0
        copies = 1
        while left:
            copies = min(copies, left)
            bits |= (bits << (size * copies)) & mask
            left -= copies
            copies *= 2
    return Reachable(bits, limit)


def _rounded_reel(reel: Reel, loads: Reachable) -> Reel:
    if reel.room(reel.most) > loads.limit:
        return reel
    return replace(reel, rooms=tuple(loads.down(reel.room(steps)) for steps in range(reel.most + 1)))


@dataclass(frozen=True, slots=True)
class _Pieces:
    """What one cable may have to serve."""

    shortest: int
    longest: int
    total: int
    number: int

    @classmethod
    def of(cls, bare: Instance, cable: int) -> _Pieces:
        """The pieces that may be cut from a cable."""
        own = [
            (size, count)
            for size, count, allowed in zip(bare.sizes, bare.counts, bare.allowed, strict=True)
            if cable in allowed
        ]
        return cls(own[-1][0], own[0][0], sum(size * count for size, count in own), sum(count for _, count in own))

    def enough(self, room: int) -> int:
        """More spools of this room are never opened: two that fit into one are merged."""
        return min(self.number, 2 * self.total // room + 1) if room else 0


def _unlimited(kind: Kind, pieces: _Pieces) -> bool:
    return kind.spool.limit is None or kind.spool.limit > pieces.enough(kind.room)


def _bounded(kinds: Iterable[Kind], pieces: _Pieces) -> list[Kind]:
    """Kinds with the most that a best list buys: m short ones give way to a longer one that costs no more."""
    rising = sorted(kinds, key=lambda kind: (kind.cents, -kind.room, kind.spool.offer))
    kept: list[Kind] = []
    for at, kind in enumerate(rising):
        most = min(kind.most, pieces.enough(kind.room))
        for other in rising:
            if other is not kind and _unlimited(other, pieces):
                most = min(most, _fewer_than(kind, other, first=rising.index(other) < at))
        if most > 0:
            kept.append(replace(kind, most=most))
    return kept


def _fewer_than(kind: Kind, other: Kind, *, first: bool) -> int:
    """The most of `kind` when `other` can take the place of several. Same room and price: the first one stays."""
    several = max(-(-other.cents // kind.cents), 1) if kind.cents else (1 if other.cents == 0 else kind.most + 1)
    if several == 1 and (kind.room, kind.cents) == (other.room, other.cents) and not first:
        return kind.most
    return several - 1 if several * kind.room <= other.room else kind.most


def _bounded_reel(reel: Reel, spools: Sequence[Kind], pieces: _Pieces) -> list[Reel]:
    """The reel with the most steps that a best list buys; none where a spool always beats it."""
    most = reel.least_steps(pieces.total)
    if reel.offer.limit is not None:
        most = min(most, reel.offer.limit)
    for spool in spools:
        most = min(most, _longest_beside(reel, spool, pieces, most))
    return [replace(reel, most=most)] if most > 0 and reel.room(most) >= pieces.shortest else []


def _longest_beside(reel: Reel, spool: Kind, pieces: _Pieces, most: int) -> int:
    """Steps beyond which a spool, or a spool and a shorter reel, would be cheaper.

    Pieces off a long reel fill a spool up to less than the longest piece: the reel shrinks by the rest of the room.
    """
    saved = (spool.room - pieces.longest + 1) * reel.unit_mm // reel.offer.step_mm
    if saved <= 0 or spool.cents >= saved * reel.cents:
        return most
    longest = min(most, max((spool.room * reel.unit_mm - reel.extra_mm) // reel.offer.step_mm, 0))
    if spool.cents and reel.cents:
        return min(longest, (spool.cents - 1) // reel.cents) if longest * reel.cents >= spool.cents else longest
    return longest
