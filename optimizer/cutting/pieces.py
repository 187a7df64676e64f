"""Pieces to place, and the counts that show at once when they cannot fit."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import accumulate
from operator import mul
from typing import TypeAlias

Counts: TypeAlias = list[int]  # how many of each class
Loads: TypeAlias = list[Counts]  # for each length that is cut from
Room: TypeAlias = tuple[int, int]  # how long, of which cable


@dataclass(frozen=True)
class Pieces:
    """Classes of pieces, long to short: size and the cables that serve."""

    sizes: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...] = field(default=())

    @classmethod
    def of_one_cable(cls, sizes: Sequence[int]) -> Pieces:
        """Classes that only cable 0 serves."""
        return cls(tuple(sizes), ((0,),) * len(sizes))

    @cached_property
    def served_by(self) -> dict[int, tuple[int, ...]]:
        """The classes that each cable serves."""
        cables = sorted({cable for allowed in self.allowed for cable in allowed})
        return {cable: tuple(at for at, allowed in enumerate(self.allowed) if cable in allowed) for cable in cables}

    @cached_property
    def closed_sets(self) -> tuple[tuple[frozenset[int], tuple[int, ...]], ...]:
        """Unions of allowed cables, with the classes that nothing else serves."""
        unions = {frozenset(allowed) for allowed in self.allowed}
        while len(unions) < 64:
            more = unions | {one | other for one in unions for other in unions}
            if len(more) == len(unions):
                break
            unions = more
        return tuple(
            (union, tuple(at for at, allowed in enumerate(self.allowed) if union.issuperset(allowed)))
            for union in sorted(unions, key=lambda union: (len(union), sorted(union)))
        )

    def length(self, counts: Sequence[int]) -> int:
        """Length of so many of each class together."""
        return sum(map(mul, self.sizes, counts))

    def may_fit(self, rooms: Sequence[Room], counts: Sequence[int]) -> bool:
        """False where a count proves that the pieces cannot fit: total length, or pieces at least so long."""
        return all(
            _may_fit([room for room, cable in rooms if cable in union], [(self.sizes[at], counts[at]) for at in own])
            for union, own in self.closed_sets
        )


def _may_fit(rooms: Sequence[int], falling: Sequence[tuple[int, int]]) -> bool:
    rising = [size for size, count in reversed(falling) for _ in range(count)]
    lengths = list(accumulate(rising, initial=0))
    if sum(rooms) < lengths[-1]:
        return False
    return all(most_pieces(rooms, lengths, start) >= len(rising) - start for start in _starts(rising))


def _starts(rising: Sequence[int]) -> Iterator[int]:
    return (at for at, size in enumerate(rising) if at == 0 or size != rising[at - 1])


def most_pieces(rooms: Sequence[int], lengths: Sequence[int], start: int) -> int:
    """The most pieces from `start` on that the rooms could hold if each took the shortest of them."""
    return sum(bisect_left(lengths, lengths[start] + room + 1) - 1 - start for room in rooms)
