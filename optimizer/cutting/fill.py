"""One length filled as full as it goes, and a whole set of lengths filled one after the other.

Reachable loads are the bits of one big integer: adding a piece of size s is `reached | reached << s`. Pieces come long
first and a fill stops as soon as the length is exactly full, so short pieces stay over for the lengths that come last.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence

from .pieces import Counts, Loads, Pieces, Room


def fullest(room: int, sizes: Sequence[int], counts: Sequence[int], order: Sequence[int]) -> dict[int, int]:
    """How many of which class make the largest load that fits; classes early in `order` are taken before late ones."""
    mask = (1 << (room + 1)) - 1
    reached = 1
    steps: list[tuple[int, int, int]] = []
    for at in order:
        size = sizes[at]
        left = min(counts[at], room // size)
        copies = 1
        while left:
            copies = min(copies, left)
            steps.append((at, copies, reached))
            reached |= (reached << (size * copies)) & mask
            left -= copies
            copies *= 2
        if reached >> room & 1:
            break
    return _traced(reached.bit_length() - 1, sizes, steps)


def _traced(load: int, sizes: Sequence[int], steps: list[tuple[int, int, int]]) -> dict[int, int]:
    taken: dict[int, int] = {}
    for at, copies, before in reversed(steps):
        if not before >> load & 1:
            taken[at] = taken.get(at, 0) + copies
            load -= copies * sizes[at]
    return taken


def fill(rooms: Sequence[Room], pieces: Pieces, counts: Sequence[int], tries: int) -> Loads | None:
    """Loads that place every piece, or None where no try did: which proves nothing."""
    loads, left = best_fill(rooms, pieces, counts, tries)
    return None if any(left) else loads


def best_fill(
    rooms: Sequence[Room],
    pieces: Pieces,
    counts: Sequence[int],
    tries: int,
    is_over: Callable[[], bool] = lambda: False,
) -> tuple[Loads, Counts]:
    """The loads of the try that left the least length over, and what it left of each class."""
    best: tuple[Loads, Counts] = ([[0] * len(counts) for _ in rooms], list(counts))
    least = pieces.length(counts)
    for attempt in _attempts(rooms, pieces, tries):
        loads, left = attempt.run(counts)
        length = pieces.length(left)
        if length < least:
            best, least = (loads, left), length
        if not length or is_over():
            break
    return best


def _attempts(rooms: Sequence[Room], pieces: Pieces, tries: int) -> Iterator[_Attempt]:
    cables = sorted({cable for _, cable in rooms})
    plain = list(range(len(pieces.sizes)))
    every = range(len(rooms))
    for heavy_first in (True, False)[: len(cables)]:
        place = {cable: -at if heavy_first else at for at, cable in enumerate(cables)}
        for sign in (1, -1):
            order = sorted(every, key=lambda at: (place[rooms[at][1]], sign * rooms[at][0]))
            for forced in (True, False):
                yield _Attempt(rooms, pieces, order, plain, forced)
    rng = random.Random(0)  # noqa: S311  # a search order, nothing secret
    for _ in range(tries):
        places = rng.sample(range(len(cables)), len(cables))
        place = dict(zip(cables, places, strict=True))
        order = sorted(every, key=lambda at: (place[rooms[at][1]], rooms[at][0] * rng.uniform(0.6, 1.6)))
        shuffled = sorted(plain, key=lambda at: -pieces.sizes[at] * rng.uniform(0.5, 1.5))
        yield _Attempt(rooms, pieces, order, shuffled, rng.random() < 0.7)


class _Attempt:
    """One order of lengths and one of pieces; `forced`: the longest open piece goes into every length."""

    def __init__(
        self, rooms: Sequence[Room], pieces: Pieces, lengths: Sequence[int], order: Sequence[int], forced: bool
    ) -> None:
        self._rooms, self._pieces, self._lengths, self._forced = rooms, pieces, lengths, forced
        self._orders = self._by_cable(order)

    def _by_cable(self, order: Sequence[int]) -> dict[int, tuple[list[int], int]]:
        """For each cable its classes, those first that no later cable serves, and how many those are."""
        turn = {cable: at for at, cable in enumerate(dict.fromkeys(self._rooms[at][1] for at in self._lengths))}
        orders: dict[int, tuple[list[int], int]] = {}
        for cable, at in turn.items():
            own = set(self._pieces.served_by.get(cable, ()))
            urgent = [c for c in order if c in own and at == max(turn.get(o, -1) for o in self._pieces.allowed[c])]
            hurried = set(urgent)
            orders[cable] = (urgent + [c for c in order if c in own and c not in hurried], len(urgent))
        return orders

    def run(self, counts: Sequence[int]) -> tuple[Loads, Counts]:
        """The loads and what is left over."""
        left = list(counts)
        loads: Loads = [[0] * len(left) for _ in self._rooms]
        for at in self._lengths:
            room, cable = self._rooms[at]
            order, urgent = self._orders[cable]
            for piece, taken in self._load(room, left, order, urgent).items():
                loads[at][piece] = taken
                left[piece] -= taken
        return loads, left

    def _load(self, room: int, left: Counts, order: list[int], urgent: int) -> dict[int, int]:
        sizes = self._pieces.sizes
        longest = self._longest(room, left, order[:urgent])
        if longest is None:
            longest = self._longest(room, left, order[urgent:])
        if longest is None or not self._forced:
            return fullest(room, sizes, left, order)
        left[longest] -= 1
        load = fullest(room - sizes[longest], sizes, left, order)
        left[longest] += 1
        load[longest] = load.get(longest, 0) + 1
        return load

    def _longest(self, room: int, left: Counts, order: Sequence[int]) -> int | None:
        return min((at for at in order if left[at] and self._pieces.sizes[at] <= room), default=None)
