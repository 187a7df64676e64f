"""Cables in turn, those that serve most first, and what each must have placed.

A piece is due with the last of them that serves it. What is due with the first t cables must fit their lengths, so
these have a slack: their rooms less the lengths of such pieces. A load takes from it what it wastes and what it holds
of pieces that are due later. No slack may go below 0: with the last length of a cable that says that all due pieces
are placed.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import accumulate

from .pieces import Counts, Pieces, Room
from .reachable import reachable

_MOST_KNOWN = 1_000_000  # slacks beyond are not looked at: their loads would be long numbers


class Turns:
    """Cables in turn, and with which of them each class is due."""

    def __init__(self, pieces: Pieces, counts: Counts, cables: tuple[int, ...]) -> None:
        self._sizes, self._counts = pieces.sizes, counts
        if len(cables) == 1 and set(pieces.allowed) == {cables}:
            self.place, self.due, self.serve_all = {cables[0]: 0}, [0] * len(counts), True
            self.orders = [list(range(len(counts)))]
            self._lengths_due = [pieces.length(counts)]
            return
        served = pieces.served_by
        lengths = {c: sum(pieces.sizes[at] * counts[at] for at in served.get(c, ())) for c in cables}
        turns = sorted(cables, key=lambda cable: (-lengths[cable], cable))
        self.place = {cable: turn for turn, cable in enumerate(turns)}
        self.due = [
            max([self.place.get(cable, -1) for cable in allowed]) if count else 0
            for allowed, count in zip(pieces.allowed, counts, strict=True)
        ]
        self.serve_all = min(self.due) >= 0
        self.orders = [sorted(served.get(cable, ()), key=lambda at: (self.due[at], at)) for cable in turns]
        by_turn: dict[int, int] = defaultdict(int)
        for at, turn in enumerate(self.due):
            by_turn[turn] += pieces.sizes[at] * counts[at]
        self._lengths_due = list(accumulate(by_turn[turn] for turn in range(len(turns))))

    def early(self, slacks: Sequence[int]) -> list[tuple[int, int, int]]:
        """Two turns each; as bits the loads of pieces due after the one, by the other, that can be cut by the one."""
        served: set[int] = set()
        early = []
        for turn, slack in enumerate(slacks[:-1]):
            served.update(self.orders[turn])
            if slack > _MOST_KNOWN:
                continue
            for until in range(turn + 1, len(slacks)):
                own = [(self._sizes[at], self._counts[at]) for at in served if turn < self.due[at] <= until]
                early.append((turn, until, reachable(own, slack).bits))
        return early

    def slacks(self, lengths: Sequence[Room]) -> list[int]:
        """What the lengths of the cables up to each turn have more than is due by then."""
        if len(self.orders) == 1:
            return [sum([room for room, _ in lengths]) - self._lengths_due[0]]
        rooms = [0] * len(self.orders)
        for room, cable in lengths:
            rooms[self.place[cable]] += room
        return [room - due for room, due in zip(accumulate(rooms), self._lengths_due, strict=True)]
