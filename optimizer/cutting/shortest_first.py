"""Whether pieces of one cable fit lengths with hardly any waste: the shortest length is filled first.

Few loads fill a short length, so a set of lengths that cannot be filled shows there. The longest length takes what the
others leave: rooms less waste less loads is what it has. Where a length holds few pieces, it is the long pieces that
decide: see `fits`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from operator import mul, neg

from .fill import fullest
from .fits import UNDECIDED, Fits
from .pieces import Counts, Loads

_MOST_CLASSES = 400  # beyond, one load of each length must do: the others are listed by one call a class


class ShortestFirst:
    """Asked about the same pieces again and again: short lengths that could not be filled are remembered."""

    def __init__(self, sizes: Sequence[int], counts: Sequence[int]) -> None:
        """Sizes of the classes of pieces, long to short, and how many of each."""
        self._sizes = sizes
        self._counts = list(counts)
        self._total = sum(map(mul, sizes, counts))
        self._impossible: list[tuple[list[int], int]] = []  # shortest lengths, and the waste that was allowed

    def fits(self, rooms: Sequence[int], work: int) -> Fits:
        """Loads that place every piece, None where there are none (proven), or UNDECIDED at the work limit.

        Args:
            rooms: Effective length of each length that can be cut from, at least one.
            work: Times the search may go back before it gives up.
        """
        slack = sum(rooms) - self._total
        order = sorted(range(len(rooms)), key=rooms.__getitem__)
        rising = [rooms[at] for at in order]
        if slack < 0 or any(rising[: len(short)] == short and slack <= most for short, most in self._impossible):
            return None
        if not _have_homes(rising, self._sizes, self._counts, slack):
            return None
        search = _Search(rising, self._sizes)
        placed = search.run(self._counts, slack, work)
        if placed is None:
            self._impossible.append((rising[: search.deepest], slack))
        if not isinstance(placed, list):
            return placed
        loads: Loads = [[]] * len(rooms)
        for at, load in zip(order, placed, strict=True):
            loads[at] = load
        return loads


def _have_homes(rooms: Sequence[int], sizes: Sequence[int], counts: Sequence[int], slack: int) -> bool:
    """Whether every piece too long to lie beside an equal one has a length to be in without too much waste."""
    falling = sorted(set(rooms), reverse=True)
    for at, size in enumerate(sizes):
        if 2 * size <= falling[0]:
            return True
        shorter = range(at + 1, len(sizes))
        if not any(_waste(room - size, sizes, counts, shorter) <= slack for room in falling if size <= room):
            return False
    return True


def _waste(room: int, sizes: Sequence[int], counts: Sequence[int], order: Sequence[int]) -> int:
    """What is left of a room at least."""
    return room - sum(sizes[at] * taken for at, taken in fullest(room, sizes, counts, order).items())


class _Search:
    """Lengths from short to long."""

    def __init__(self, rooms: Sequence[int], sizes: Sequence[int]) -> None:
        self._rooms = rooms
        self._sizes = sizes
        self._is_exact = True
        self.deepest = 1  # lengths that were looked at: the longer ones do not matter where these cannot be filled

    def run(self, counts: Counts, slack: int, work: int) -> Fits:
        """Loads of all lengths. `slack` is what may be wasted in all."""
        chosen: Loads = []
        levels = [(self._loads(self._rooms[0], counts, slack), counts, slack)]
        failed: set[tuple[int, tuple[int, ...]]] = set()
        while levels:
            if len(levels) == len(self._rooms):
                return [*chosen, levels[-1][1]]
            self.deepest = max(self.deepest, len(levels))
            loads, left, slack = levels[-1]
            load = next(loads, None)
            if load is None:
                levels.pop()
                del chosen[-1:]
                failed.add((len(levels), tuple(left)))
                work -= 1
                if work < 0:
                    return UNDECIDED
                continue
            used, left, free = [0] * len(left), left.copy(), self._rooms[len(chosen)]
            for at, taken in load.items():
                used[at] = taken
                left[at] -= taken
                free -= taken * self._sizes[at]
            chosen.append(used)
            known = (len(chosen), tuple(left)) in failed
            loads = iter(()) if known else self._loads(self._rooms[len(chosen)], left, slack - free)
            levels.append((loads, left, slack - free))
        return None if self._is_exact else UNDECIDED

    def _loads(self, room: int, left: Counts, slack: int) -> Iterator[dict[int, int]]:
        """Every load that wastes no more than the slack, one with long pieces first."""
        fitting = range(bisect_left(self._sizes, -room, key=neg), len(left))
        first = fullest(room, self._sizes, left, fitting)
        if room - sum(self._sizes[at] * taken for at, taken in first.items()) > slack:
            return  # and none wastes less
        yield first
        order = [at for at in fitting if left[at]]
        if len(order) > _MOST_CLASSES:
            self._is_exact = False
            return
        every = self._extended({}, room, 0, order, self._sets(room, order, left), left, slack)
        yield from (load for load in every if load != first)

    def _sets(self, room: int, order: Sequence[int], left: Counts) -> list[int]:
        """For each place in the order the loads that the classes from it on can make, as bits."""
        mask = (1 << (room + 1)) - 1
        sets = [1]
        for at in reversed(order):
            reached, count, copies = sets[-1], min(left[at], room // self._sizes[at]), 1
            while count:
                copies = min(copies, count)
                reached |= (reached << (copies * self._sizes[at])) & mask
                count -= copies
                copies *= 2
            sets.append(reached)
        return sets[::-1]

    def _extended(
        self,
        load: dict[int, int],
        free: int,
        step: int,
        order: Sequence[int],
        sets: Sequence[int],
        left: Counts,
        slack: int,
    ) -> Iterator[dict[int, int]]:
        """Every way to go on with a load by the classes from `step` on, down to a waste within the slack."""
        least = max(free - slack, 0)
        if not (sets[step] >> least) & ((1 << (free - least + 1)) - 1):
            return
        if step == len(order):
            yield load
            return
        at = order[step]
        size = self._sizes[at]
        for taken in range(min(left[at], free // size), -1, -1):
            more = {**load, at: taken} if taken else load
            yield from self._extended(more, free - taken * size, step + 1, order, sets, left, slack)
