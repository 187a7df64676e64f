"""How long a rest can be: every length of some mixes with every load it could carry, longest rest first.

The rest of one length is longest when its load is least: at least what the others have no room for, rounded up to a
load that exists. Where the others cannot be cut so full, the next larger load comes.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .instance import Instance
from .mixes import Mix, rooms_of
from .pieces import Room


@dataclass(frozen=True, slots=True, order=True)
class Try:
    """One length of a mix is to carry no more than `load`."""

    shorter_by_mm: int  # minus its rest, so that the longest comes first
    at: int  # of its mix
    length: int
    load: int
    mix: Mix

    @property
    def rest_mm(self) -> int:
        """What is left of the length."""
        return -self.shorter_by_mm

    def rooms(self, instance: Instance) -> list[Room]:
        """Every length of the mix, this one only as long as its load."""
        rooms = rooms_of(instance, self.mix)
        rooms[self.length] = (self.load, rooms[self.length][1])
        return rooms


def longest_first(instance: Instance, mixes: Sequence[Mix], trim_mm: int) -> Iterator[Try]:
    """Tries over all mixes, from the longest rest to the shortest."""
    heap = [one for at, mix in enumerate(mixes) for one in _first_tries(instance, at, mix, trim_mm)]
    heapq.heapify(heap)
    while heap:
        one = heapq.heappop(heap)
        yield one
        room, cable = rooms_of(instance, one.mix)[one.length]
        if one.load < room:
            load = instance.loads[cable].up(one.load + 1)
            if load <= room:
                rest_mm = rest_of(instance, one.mix, one.length, load, trim_mm)
                heapq.heappush(heap, Try(-rest_mm, one.at, one.length, load, one.mix))


def _first_tries(instance: Instance, at: int, mix: Mix, trim_mm: int) -> Iterator[Try]:
    rooms, lengths_mm = rooms_of(instance, mix), _lengths_mm(instance, mix)
    spare = sum(room for room, _ in rooms) - instance.total
    owned_from = len(rooms) - len(instance.stock)
    seen = set()
    for length, (room, cable) in enumerate(rooms):
        kind = (room, cable, lengths_mm[length])
        if kind in seen:
            continue
        seen.add(kind)
        load = instance.loads[cable].up(max(room - spare, 0 if length >= owned_from else 1))
        if load <= room:
            yield Try(-_rest_mm(instance, lengths_mm[length], load, trim_mm), at, length, load, mix)


def rest_of(instance: Instance, mix: Mix, length: int, load: int, trim_mm: int) -> int:
    """What is left of one length of a mix under a load. [mm]"""
    return _rest_mm(instance, _lengths_mm(instance, mix)[length], load, trim_mm)


def _rest_mm(instance: Instance, length_mm: int, load: int, trim_mm: int) -> int:
    return length_mm if not load else max(length_mm - trim_mm - load * instance.unit_mm, 0)


def _lengths_mm(instance: Instance, mix: Mix) -> list[int]:
    """What each length of `rooms_of` measures."""
    lengths = [
        kind.spool.length_mm for kind, count in zip(instance.kinds, mix.counts, strict=True) for _ in range(count)
    ]
    lengths += [reel.offer.step_mm * steps for reel, steps in zip(instance.reels, mix.steps, strict=True) if steps]
    return lengths + [stock.length_mm for stock in instance.stock]
