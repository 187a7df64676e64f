"""Mixtures of solutions: what they all have in common is kept, and the rest chosen anew with all that is bought.

Little is open between solutions of one search, so what is cheapest there is proven in half a second, mostly between
as many as are kept: then nothing is left to be found between any of them.
"""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.solve.first_answer import choosable
from optimizer.solve.rows import Solution
from optimizer.solve.variables import Variables

MOST = 8  # solutions that are mixed with one another

Choice = tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Some solutions that differ in what they choose."""

    of: frozenset[Choice]
    common: dict[int, int]  # what they all choose alike, by index of variable


class Mixing:
    """The cheapest solutions that differ in what they choose, and which of them were mixed."""

    def __init__(self, v: Variables) -> None:
        self._choosable = sorted({var.index for var in choosable(v)})
        self._kept: dict[Choice, tuple[int, Solution]] = {}  # the cheapest first
        self._searched: list[frozenset[Choice]] = []  # nothing cheaper is left between these
        self._tried: set[frozenset[Choice]] = set()
        self._width = MOST  # solutions at a time

    def add(self, solution: Solution, cents: int) -> None:
        """One more solution, kept if it is among the cheapest. [cents]"""
        choice = self._choice(solution)
        if choice not in self._kept or cents < self._kept[choice][0]:
            self._kept[choice] = (cents, solution)
        cheapest = sorted(self._kept.items(), key=lambda item: item[1][0])
        self._kept = dict(cheapest[:MOST])

    def next(self, best: Solution) -> Mixture | None:
        """The best one with one it was not mixed with and the cheapest others; None: nothing is left to be mixed.

        Args:
            best: One that can be cut, as not all that are kept can.
        """
        first = self._choice(best)
        others = [each for each in self._kept if each != first]
        for other in others:
            near = [each for each in others if each is not other]
            of = frozenset([first, other, *near[: self._width - 2]])
            if of not in self._tried and not any(of <= searched for searched in self._searched):
                return Mixture(of, self._common(of))
        return None

    def mixed(self, mixture: Mixture, found: Solution | None, *, is_ended: bool) -> None:
        """Notes what a mixture came to.

        Args:
            found: Cheaper than the best of them.
            is_ended: Nothing cheaper is left between them: next time there may be one more, otherwise one less.
        """
        self._tried.add(mixture.of)
        if is_ended:
            self._searched.append(mixture.of if found is None else mixture.of | {self._choice(found)})
        self._width = min(MOST, self._width + 1) if is_ended else max(2, len(mixture.of) - 1)

    def _choice(self, solution: Solution) -> Choice:
        return tuple(solution[index] for index in self._choosable)

    def _common(self, of: frozenset[Choice]) -> dict[int, int]:
        by_variable = zip(self._choosable, zip(*of, strict=True), strict=True)
        return {index: values[0] for index, values in by_variable if len(set(values)) == 1}
