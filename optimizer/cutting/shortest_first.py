"""Whether pieces fit lengths with hardly any waste: cable after cable, the shortest length of each is filled first.

Few loads fill a short length, so a set of lengths that cannot be filled shows there. The longest length takes what the
others leave: rooms less waste less loads is what it has. Where a length holds few pieces, it is the long pieces that
decide: see `fits`.

Cables come in turn (`turns`), each with a slack that no load may take below 0.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate

from .fill import fullest
from .fits import UNDECIDED, Fits
from .pieces import Counts, Loads, Pieces, Room
from .turns import Turns

_MOST_CLASSES = 400  # beyond, one load of each length must do: the others are listed by one call a class
_STEPS = 20_000  # of the search for one load

Load = dict[int, int]  # how many of which class


class ShortestFirst:
    """Asked about the same pieces again and again: short lengths that could not be filled are remembered."""

    def __init__(self, pieces: Pieces, counts: Sequence[int]) -> None:
        """Classes of pieces and how many of each."""
        self._pieces = pieces
        self._counts = list(counts)
        self._turns: dict[tuple[int, ...], Turns | None] = {}
        self._impossible: list[tuple[Turns, list[Room], list[int]]] = []  # lengths, slacks

    def fits(self, rooms: Sequence[Room], work: int) -> Fits:
        """Loads that place every piece, None where there are none (proven), or UNDECIDED at the work limit.

        Args:
            rooms: Effective length and cable of each length that can be cut from, at least one.
            work: Times the search may go back before it gives up.
        """
        turns = self._turns_of(rooms)
        if turns is None:
            return None
        order = sorted(range(len(rooms)), key=rooms.__getitem__)
        if len(turns.place) > 1:
            order.sort(key=lambda at: turns.place[rooms[at][1]])
        lengths = [rooms[at] for at in order]
        slacks = turns.slacks(lengths)
        if min(slacks) < 0 or self._is_impossible(turns, lengths, slacks):
            return None
        if not _have_homes(lengths, self._pieces, self._counts, slacks[-1]):
            return None
        search = _Search(turns, lengths, self._pieces.sizes, slacks)
        placed = search.run(self._counts, work)
        if placed is None:
            self._impossible.append((turns, lengths[: search.deepest], slacks))
        if not isinstance(placed, list):
            return placed
        loads: Loads = [[]] * len(rooms)
        for at, load in zip(order, placed, strict=True):
            loads[at] = load
        return loads

    def _turns_of(self, rooms: Sequence[Room]) -> Turns | None:
        """The cables in turn; None where one piece has none."""
        cables = tuple(sorted({cable for _, cable in rooms}))
        if cables not in self._turns:
            turns = Turns(self._pieces, self._counts, cables)
            self._turns[cables] = turns if turns.serve_all else None
        return self._turns[cables]

    def _is_impossible(self, turns: Turns, lengths: list[Room], slacks: list[int]) -> bool:
        return any(
            lengths[: len(short)] == short
            and turns is other
            and slacks[:-1] == allowed[:-1]
            and slacks[-1] <= allowed[-1]
            for other, short, allowed in self._impossible
        )


def _have_homes(rooms: Sequence[Room], pieces: Pieces, counts: Sequence[int], slack: int) -> bool:
    """Whether every piece too long to lie beside an equal one has a length to be in without too much waste."""
    falling = sorted(set(rooms), reverse=True)
    for at, size in enumerate(pieces.sizes):
        if 2 * size <= falling[0][0]:
            return True
        if not counts[at]:
            continue
        homes = [(room, cable) for room, cable in falling if size <= room and cable in pieces.allowed[at]]
        if not any(_waste(room - size, pieces, counts, cable, at) <= slack for room, cable in homes):
            return False
    return True


def _waste(room: int, pieces: Pieces, counts: Sequence[int], cable: int, longest: int) -> int:
    """What pieces shorter than a class leave of a room at least."""
    shorter = [at for at in pieces.served_by[cable] if at > longest]
    return room - sum(pieces.sizes[at] * taken for at, taken in fullest(room, pieces.sizes, counts, shorter).items())


class _OutOfWork(Exception):
    pass


class _Search:
    """Lengths in the order in which they are filled."""

    def __init__(self, turns: Turns, rooms: Sequence[Room], sizes: Sequence[int], slacks: list[int]) -> None:
        self._turns = turns
        self._rooms = rooms
        self._sizes = sizes
        self._slacks = slacks
        self._early = turns.early(slacks)
        self._steps = 0
        self.deepest = 1  # lengths that were looked at: later ones do not matter where these cannot be filled

    def run(self, counts: Counts, work: int) -> Fits:
        """Loads of all lengths."""
        chosen: Loads = []
        if not self._is_allowed(self._slacks):
            return None
        levels = [(self._loads(0, counts, self._slacks), counts)]
        failed: set[tuple[int, tuple[int, ...]]] = set()
        while levels:
            if len(levels) == len(self._rooms):
                return [*chosen, levels[-1][1]]
            self.deepest = max(self.deepest, len(levels))
            loads, left = levels[-1]
            self._steps = _STEPS
            try:
                load, slacks = next(loads, (None, ()))
            except _OutOfWork:
                return UNDECIDED
            if load is None:
                levels.pop()
                del chosen[-1:]
                failed.add((len(levels), tuple(left)))
                work -= 1
                if work < 0:
                    return UNDECIDED
                continue
            used, left = [0] * len(left), left.copy()
            for at, taken in load.items():
                used[at] = taken
                left[at] -= taken
            chosen.append(used)
            known = (len(chosen), tuple(left)) in failed
            levels.append((iter(()) if known else self._loads(len(chosen), left, slacks), left))
        return None

    def _after(self, home: Room, load: Load, slacks: Sequence[int]) -> list[int]:
        """The slacks that a load leaves; some below 0 where it may not be."""
        if len(slacks) == 1:
            return [slacks[0] - home[0] + sum([self._sizes[at] * taken for at, taken in load.items()])]
        turn = self._turns.place[home[1]]
        due = [0] * len(slacks)
        for at, taken in load.items():
            due[self._turns.due[at]] += taken * self._sizes[at]
        held = list(accumulate(due))
        return [*slacks[:turn], *[slacks[at] - home[0] + held[at] for at in range(turn, len(slacks))]]

    def _is_allowed(self, slacks: Sequence[int]) -> bool:
        """Whether no slack is below 0, and each can be used up by waste and by pieces that are not due yet.

        Of the slack of some turns no more than that of more turns can be wasted or go to pieces due later still: the
        rest goes to pieces due in between.
        """
        if min(slacks) < 0:
            return False
        for turn, until, loads in self._early:
            slack = slacks[turn]
            least = max(slack - slacks[until], 0)
            if not (loads >> least) & ((1 << (slack - least + 1)) - 1):
                return False
        return True

    def _loads(self, step: int, left: Counts, slacks: Sequence[int]) -> Iterator[tuple[Load, list[int]]]:
        """Every load that may be and the slacks it leaves; pieces that are due, and long ones, first."""
        home = self._rooms[step]
        room, turn = home[0], self._turns.place[home[1]]
        order = [at for at in self._turns.orders[turn] if left[at] and self._sizes[at] <= room]
        is_last = len(slacks) > 1 and home[1] != self._rooms[step + 1][1]
        first = self._first(room, order, left, turn) if is_last else fullest(room, self._sizes, left, order)
        after = self._after(home, first, slacks)
        if self._is_allowed(after):
            yield first, after
        elif len(slacks) == 1:
            return  # no load wastes less
        if len(order) > _MOST_CLASSES:
            raise _OutOfWork
        most_free = self._most_free(order, left, slacks, turn)
        for load in self._extended({}, room, 0, order, self._sets(room, order, left), most_free, left, slacks[-1]):
            if load != first:
                after = self._after(home, load, slacks)
                if self._is_allowed(after):
                    yield load, after

    def _first(self, room: int, order: Sequence[int], left: Counts, turn: int) -> Load:
        """The fullest load with all pieces that are due with a turn."""
        load = {at: left[at] for at in order if self._turns.due[at] == turn}
        free = room - sum(self._sizes[at] * taken for at, taken in load.items())
        return load | fullest(free, self._sizes, left, [at for at in order if at not in load])

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

    def _most_free(self, order: Sequence[int], left: Counts, slacks: Sequence[int], now: int) -> list[float]:
        """For each place in the order what may be free there, so that pieces due soon can still use up enough."""
        most: list[float] = [math.inf] * (len(order) + 1)
        for turn, slack in enumerate(slacks[now:-1], start=now):
            end = bisect_right(order, turn, key=self._turns.due.__getitem__)
            most[end] = min(most[end], slack)
            for step in range(end - 1, -1, -1):
                slack += self._sizes[order[step]] * left[order[step]]
                most[step] = min(most[step], slack)
        return most

    def _extended(
        self,
        load: Load,
        free: int,
        step: int,
        order: Sequence[int],
        sets: Sequence[int],
        most_free: Sequence[float],
        left: Counts,
        slack: int,
    ) -> Iterator[Load]:
        """Every way to go on with a load by the classes from `step` on, down to a waste within the slack."""
        self._steps -= 1
        if self._steps < 0:
            raise _OutOfWork
        least = max(free - slack, 0)
        if free > most_free[step] or not (sets[step] >> least) & ((1 << (free - least + 1)) - 1):
            return
        if step == len(order):
            yield load
            return
        at = order[step]
        size = self._sizes[at]
        for taken in range(min(left[at], free // size), -1, -1):
            more = {**load, at: taken} if taken else load
            yield from self._extended(more, free - taken * size, step + 1, order, sets, most_free, left, slack)
