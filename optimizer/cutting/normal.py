"""A request in normal form: whole units, one class a length and set of cables, nothing that another offer beats.

A piece of length l takes l + kerf, a spool of length L has room for L + kerf - trim: n pieces need n - 1 kerfs when
the last one ends with the spool. Lengths are divided by their greatest common divisor, rooms rounded down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from .dominance import Demand, bounded, bounded_reel, is_unlimited
from .instance import Instance, Kind, Reel, Stock
from .request import CutListRequest, Run

_ROUNDED = 150_000  # longer rooms are left as they are


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
        pieces = Demand.of(bare, cable)
        own = bounded([kind for kind in kinds if kind.cable == cable and kind.room >= pieces.shortest], pieces)
        free = [kind for kind in own if is_unlimited(kind, pieces)]
        own_reels = [found for reel in reels if reel.cable == cable for found in bounded_reel(reel, free, pieces)]
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
