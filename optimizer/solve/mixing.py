"""Mixtures of two solutions: what they have in common is kept, and the rest chosen anew with all that is bought.

Little is open between two solutions of one search, so what is cheapest there is proven in half a second.
"""

from __future__ import annotations

from optimizer.solve.first_answer import choosable
from optimizer.solve.rows import Solution
from optimizer.solve.variables import Variables

MOST = 8  # solutions that are mixed with one another

Choice = tuple[int, ...]


class Mixing:
    """The cheapest solutions that differ in what they choose, and which of them were mixed."""

    def __init__(self, v: Variables) -> None:
        self._choosable = sorted({var.index for var in choosable(v)})
        self._kept: dict[Choice, tuple[int, Solution]] = {}  # the cheapest first
        self._mixed: set[frozenset[Choice]] = set()

    def add(self, solution: Solution, cents: int) -> None:
        """One more solution, kept if it is among the cheapest. [cents]"""
        choice = tuple(solution[index] for index in self._choosable)
        if choice not in self._kept or cents < self._kept[choice][0]:
            self._kept[choice] = (cents, solution)
        cheapest = sorted(self._kept.items(), key=lambda item: item[1][0])
        self._kept = dict(cheapest[:MOST])

    def next(self) -> tuple[Solution, dict[int, int]] | None:
        """The cheaper one of two not mixed yet, and what it has in common with the other; None: all were mixed."""
        choices = list(self._kept)
        for n, dearer in enumerate(choices):
            for cheaper in choices[:n]:
                if frozenset((cheaper, dearer)) not in self._mixed:
                    self._mixed.add(frozenset((cheaper, dearer)))
                    return self._kept[cheaper][1], self._common(cheaper, dearer)
        return None

    def _common(self, one: Choice, other: Choice) -> dict[int, int]:
        return {index: a for index, a, b in zip(self._choosable, one, other, strict=True) if a == b}
