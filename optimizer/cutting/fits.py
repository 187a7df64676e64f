"""Whether pieces fit spools, decided exactly by a search with a limit on its work.

The longest open piece goes into a spool of each length in turn; that spool is completed in every way that wastes no
more than the slack left over all; what failed once is remembered.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Final, TypeAlias

from .fill import Counts, Loads, Sizes, fill


class Undecided:
    """The work limit came before an answer."""


UNDECIDED: Final = Undecided()
Fits: TypeAlias = Loads | Undecided | None


def fits(rooms: Sequence[int], sizes: Sizes, counts: Counts, work: int) -> Fits:
    """Loads that place every piece, None where there are none (proven), or UNDECIDED at the work limit.

    Args:
        rooms: Effective length of each spool.
        sizes: Effective piece lengths, distinct and descending.
        counts: How many of each.
        work: Steps of the search; about a million a second.
    """
    if not holds(rooms, sizes, counts):
        return None
    return fill(rooms, sizes, counts, tries=2) or _Search(sizes, work).run(list(rooms), counts)


def holds(rooms: Sequence[int], sizes: Sizes, counts: Sequence[int]) -> bool:
    """False where a count shows that the pieces cannot fit: total length, or pieces at least so long."""
    if sum(rooms) < sum(size * count for size, count in zip(sizes, counts, strict=True)):
        return False
    rising = [size for size, count in zip(reversed(sizes), reversed(counts), strict=True) for _ in range(count)]
    lengths = list(accumulate(rising, initial=0))
    return all(_most_pieces(rooms, lengths, start) >= len(rising) - start for start in _starts(rising))


def _starts(rising: Sequence[int]) -> Iterator[int]:
    return (at for at, size in enumerate(rising) if at == 0 or size != rising[at - 1])


def _most_pieces(rooms: Sequence[int], lengths: Sequence[int], start: int) -> int:
    """The most pieces from `start` on that the spools could hold if each took the shortest of them."""
    return sum(_up_to(lengths, lengths[start] + room) - start for room in rooms)


def _up_to(lengths: Sequence[int], limit: int) -> int:
    return bisect_left(lengths, limit + 1) - 1


class _OutOfWork(Exception):
    pass


class _Search:
    def __init__(self, sizes: Sizes, work: int) -> None:
        self._sizes = sizes
        self._work = work
        self._failed: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()

    def run(self, rooms: list[int], counts: Counts) -> Fits:
        slack = sum(rooms) - sum(size * count for size, count in zip(self._sizes, counts, strict=True))
        try:
            placed = self._place(tuple(sorted(rooms)), counts, slack)
        except _OutOfWork:
            return UNDECIDED
        return None if placed is None else _as_given(rooms, placed, len(self._sizes))

    def _place(self, rooms: tuple[int, ...], counts: Counts, slack: int) -> list[tuple[int, Counts]] | None:
        """(room, load) of the spools used, or None. `slack` is what may still be wasted."""
        if not any(counts):
            return []
        state = (rooms, tuple(counts))
        if state in self._failed:
            return None
        if holds(rooms, self._sizes, counts):
            longest = next(index for index, count in enumerate(counts) if count)
            for room in dict.fromkeys(room for room in rooms if room >= self._sizes[longest]):
                at = rooms.index(room)
                others = rooms[:at] + rooms[at + 1 :]
                for load, waste in self._completions(room, longest, counts, slack):
                    left = [count - taken for count, taken in zip(counts, load, strict=True)]
                    placed = self._place(others, left, slack - waste)
                    if placed is not None:
                        return [(room, load), *placed]
        self._failed.add(state)
        return None

    def _completions(self, room: int, longest: int, counts: Counts, slack: int) -> Iterator[tuple[Counts, int]]:
        """Every load with the longest piece in it to which no open piece could be added and that wastes ≤ slack."""
        reachable = self._reachable(room, longest, counts)
        load = [0] * len(counts)
        for copies in range(min(counts[longest], room // self._sizes[longest]), 0, -1):
            load[longest] = copies
            yield from self._extend(longest + 1, room - copies * self._sizes[longest], load, counts, reachable, slack)

    def _extend(
        self, index: int, free: int, load: Counts, counts: Counts, reachable: Sequence[int], slack: int
    ) -> Iterator[tuple[Counts, int]]:
        self._work -= 1
        if self._work < 0:
            raise _OutOfWork
        if index == len(counts):
            if not self._takes_more(free, load, counts):
                yield list(load), free
            return
        least = max(free - slack, 0)
        if not (reachable[index] >> least) & ((1 << (free - least + 1)) - 1):
            return  # the rest cannot bring the waste down to the slack
        size = self._sizes[index]
        for copies in range(min(counts[index], free // size), -1, -1):
            load[index] = copies
            yield from self._extend(index + 1, free - copies * size, load, counts, reachable, slack)
        load[index] = 0

    def _takes_more(self, free: int, load: Counts, counts: Counts) -> bool:
        """Whether a piece left out would still fit."""
        for index in range(len(counts) - 1, -1, -1):
            if self._sizes[index] > free:
                return False
            if load[index] < counts[index]:
                return True
        return False

    def _reachable(self, room: int, start: int, left: Counts) -> list[int]:
        """For each index the loads that the sizes from it on can make, as bits."""
        mask = (1 << (room + 1)) - 1
        sets = [1] * (len(left) + 1)
        for index in range(len(left) - 1, start - 1, -1):
            reached, open_pieces = sets[index + 1], min(left[index], room // self._sizes[index])
            copies = 1
            while open_pieces:
                copies = min(copies, open_pieces)
                reached |= (reached << (copies * self._sizes[index])) & mask
                open_pieces -= copies
                copies *= 2
            sets[index] = reached
        return sets


def _as_given(rooms: Sequence[int], placed: list[tuple[int, Counts]], sizes: int) -> Loads:
    by_room: dict[int, list[Counts]] = {}
    for room, load in placed:
        by_room.setdefault(room, []).append(load)
    return [by_room[room].pop() if by_room.get(room) else [0] * sizes for room in rooms]
