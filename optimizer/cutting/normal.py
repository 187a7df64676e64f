"""A request in normal form: whole units, one class a length and set of cables, nothing that another offer beats.

A piece of length l takes l + kerf, a spool of length L has room for L + kerf - trim: n pieces need n - 1 kerfs when
the last one ends with the spool. Lengths are divided by their greatest common divisor, rooms rounded down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from .dominance import Demand, bounded, bounded_reel, is_unlimited
from .instance import Instance, Kind, Reel, Stock
from .reachable import Reachable, reachable
from .request import CutListRequest

_ROUNDED = 150_000  # longer rooms are left as they are


def components(request: CutListRequest) -> list[list[int]]:
    """Positions of runs, grouped so that no cable serves runs of two groups."""
    alike: dict[tuple[str, ...], list[int]] = {}
    for at, run in enumerate(request.runs):
        alike.setdefault(run.cables, []).append(at)
    group_of: dict[str, list[int]] = {}
    for cables, members in alike.items():
        merged = members
        for other in {id(group_of[cable]): group_of[cable] for cable in cables if cable in group_of}.values():
            merged = merged + other
        for cable in {cable for position in merged for cable in request.runs[position].cables}:
            group_of[cable] = merged
    groups = {id(group): sorted(group) for group in group_of.values()}
    return sorted(groups.values())


def instance_of(request: CutListRequest, positions: Sequence[int]) -> Instance:
    """The normal form of some runs of a request and of everything they can be cut from."""
    kerf_mm, trim_mm = request.settings.kerf_mm, request.settings.trim_mm
    runs = [request.runs[at] for at in positions]
    served = {run.cables for run in runs}
    cables = tuple(sorted({cable for some in served for cable in some}))
    number = {cable: at for at, cable in enumerate(cables)}
    numbers = {some: tuple(sorted([number[cable] for cable in some])) for some in served}
    unit_mm = math.gcd(*[run.length_mm + kerf_mm for run in runs])
    classes: dict[tuple[int, int, tuple[int, ...]], list[int]] = {}
    for at, run in zip(positions, runs, strict=True):
        allowed = numbers[run.cables]
        classes.setdefault((-((run.length_mm + kerf_mm) // unit_mm), len(allowed), allowed), []).append(at)
    ordered = sorted(classes.items())
    bare = Instance(
        cables=cables,
        sizes=tuple([-size for (size, _, _), _ in ordered]),
        counts=tuple([sum([request.runs[at].quantity for at in members]) for _, members in ordered]),
        allowed=tuple([allowed for (_, _, allowed), _ in ordered]),
        runs=tuple([tuple(members) for _, members in ordered]),
        kinds=(),
        reels=(),
        stock=tuple(
            [
                Stock(number[owned.cable], max(owned.length_mm + kerf_mm - trim_mm, 0) // unit_mm, at, owned.length_mm)
                for at, owned in enumerate(request.owned)
                if owned.cable in number
            ]
        ),
        unit_mm=unit_mm,
    )
    pieces = bare.pieces
    kinds = [
        Kind(
            number[spool.cable],
            max(spool.length_mm + kerf_mm - trim_mm, 0) // unit_mm,
            spool.price_cents,
            pieces if spool.limit is None else min(spool.limit, pieces),
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


def _without_beaten(bare: Instance, kinds: list[Kind], reels: list[Reel]) -> Instance:
    kept: list[Kind] = []
    kept_reels: list[Reel] = []
    stock: list[Stock] = []
    loads: list[Reachable] = []
    for cable in range(len(bare.cables)):
        pieces = Demand.of(bare, cable)
        own = bounded([kind for kind in kinds if kind.cable == cable and kind.room >= pieces.shortest], pieces)
        free = [kind for kind in own if is_unlimited(kind, pieces)]
        own_reels = [found for reel in reels if reel.cable == cable for found in bounded_reel(reel, free, pieces)]
        own_stock = [owned for owned in bare.stock if owned.cable == cable]
        rooms = [*(kind.room for kind in own), *(r.room(r.most) for r in own_reels), *(s.room for s in own_stock)]
        known = reachable(pieces.own, max((room for room in rooms if room <= _ROUNDED), default=0))
        kept += [_rounded(kind, known) for kind in own]
        kept_reels += [replace(reel, loads=known) for reel in own_reels]
        stock += [replace(owned, room=known.down(owned.room)) for owned in own_stock]
        loads.append(known)
    stock.sort(key=lambda owned: owned.at)
    return replace(bare, kinds=tuple(kept), reels=tuple(kept_reels), stock=tuple(stock), loads=tuple(loads))


def _rounded(kind: Kind, loads: Reachable) -> Kind:
    room = loads.down(kind.room)
    return kind if room == kind.room else replace(kind, room=room)
