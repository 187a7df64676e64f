"""Whether pieces fit lengths, decided exactly by a search with a limit on its work.

The longest open piece goes into a length of each kind in turn; that length is completed in every way that wastes no
more than the slack left over all; what failed once is remembered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, TypeAlias

from .fill import fill
from .pieces import Counts, Loads, Pieces, Room

_MOST_DEPTH = 400  # lengths and classes: the search goes down one call each


class Undecided:
    """The work limit came before an answer."""


UNDECIDED: Final = Undecided()
Fits: TypeAlias = Loads | Undecided | None


def fits(rooms: Sequence[Room], pieces: Pieces, counts: Sequence[int], work: int, tries: int = 2) -> Fits:
    """Loads that place every piece, None where there are none (proven), or UNDECIDED at the work limit.

    Args:
        rooms: Effective length and cable of each length that can be cut from.
        pieces: Classes of pieces, long to short.
        counts: How many of each.
        work: Steps of the search; about a million a second.
        tries: Random orders of filling before the search.
    """
    if not pieces.may_fit(rooms, counts):
        return None
    loads = fill(rooms, pieces, counts, tries)
    if loads is not None:
        return loads
    if len(rooms) + len(counts) > _MOST_DEPTH:
        return UNDECIDED
    return _Search(pieces, work).run(rooms, counts)


class _OutOfWork(Exception):
    pass


class _Search:
    def __init__(self, pieces: Pieces, work: int) -> None:
        self._pieces = pieces
        self._sizes = pieces.sizes
        self._work = work
        self._failed: set[tuple[tuple[Room, ...], tuple[int, ...]]] = set()

    def run(self, rooms: Sequence[Room], counts: Sequence[int]) -> Fits:
        slack = sum(room for room, _ in rooms) - self._pieces.length(counts)
        try:
            placed = self._place(tuple(sorted(rooms)), list(counts), slack)
        except _OutOfWork:
            return UNDECIDED
        return None if placed is None else _as_given(rooms, placed, len(self._sizes))

    def _place(self, rooms: tuple[Room, ...], counts: Counts, slack: int) -> list[tuple[Room, Counts]] | None:
        """The lengths used with their loads, or None. `slack` is what may still be wasted."""
        if not any(counts):
            return []
        state = (rooms, tuple(counts))
        if state in self._failed:
            return None
        if self._pieces.may_fit(rooms, counts):
            longest = next(at for at, count in enumerate(counts) if count)
            for room in self._homes(rooms, longest):
                at = rooms.index(room)
                others = rooms[:at] + rooms[at + 1 :]
                for load, waste in self._completions(room, longest, counts, slack):
                    left = [count - taken for count, taken in zip(counts, load, strict=True)]
                    placed = self._place(others, left, slack - waste)
                    if placed is not None:
                        return [(room, load), *placed]
        self._failed.add(state)
        return None

    def _homes(self, rooms: tuple[Room, ...], longest: int) -> Iterator[Room]:
        size, allowed = self._sizes[longest], self._pieces.allowed[longest]
        return iter(dict.fromkeys(home for home in rooms if home[0] >= size and home[1] in allowed))

    def _completions(self, home: Room, longest: int, counts: Counts, slack: int) -> Iterator[tuple[Counts, int]]:
        """Every load with the longest piece in it to which no open piece could be added and that wastes ≤ slack."""
        room, cable = home
        order = [at for at in self._pieces.served_by[cable] if at > longest and counts[at]]
        reachable = self._reachable(room, order, counts)
        load = [0] * len(counts)
        for copies in range(min(counts[longest], room // self._sizes[longest]), 0, -1):
            load[longest] = copies
            free = room - copies * self._sizes[longest]
            spare = self._sizes[longest] if copies < counts[longest] else free + 1
            yield from self._extend(0, free, spare, load, counts, order, reachable, slack)

    def _extend(
        self,
        step: int,
        free: int,
        spare: int,
        load: Counts,
        counts: Counts,
        order: Sequence[int],
        reachable: Sequence[int],
        slack: int,
    ) -> Iterator[tuple[Counts, int]]:
        """`spare` is the shortest piece left out so far, which must not fit into what stays free."""
        self._work -= 1
        if self._work < 0:
            raise _OutOfWork
        if step == len(order):
            if free < spare and free <= slack:
                yield list(load), free
            return
        least = max(free - slack, 0)
        if not (reachable[step] >> least) & ((1 << (free - least + 1)) - 1):
            return  # the rest cannot bring the waste down to the slack
        at = order[step]
        size = self._sizes[at]
        for copies in range(min(counts[at], free // size), -1, -1):
            load[at] = copies
            out = spare if copies == counts[at] else min(spare, size)
            yield from self._extend(step + 1, free - copies * size, out, load, counts, order, reachable, slack)
        load[at] = 0

    def _reachable(self, room: int, order: Sequence[int], counts: Counts) -> list[int]:
        """For each step the loads that the classes from it on can make, as bits."""
        mask = (1 << (room + 1)) - 1
        sets = [1] * (len(order) + 1)
        for step in range(len(order) - 1, -1, -1):
            size = self._sizes[order[step]]
            reached, left = sets[step + 1], min(counts[order[step]], room // size)
            copies = 1
            while left:
                copies = min(copies, left)
                reached |= (reached << (copies * size)) & mask
                left -= copies
                copies *= 2
            sets[step] = reached
        return sets


def _as_given(rooms: Sequence[Room], placed: list[tuple[Room, Counts]], classes: int) -> Loads:
    by_room: dict[Room, list[Counts]] = {}
    for room, load in placed:
        by_room.setdefault(room, []).append(load)
    return [by_room[room].pop() if by_room.get(room) else [0] * classes for room in rooms]
