"""One side of a solution kept, and the rest chosen anew with all that is bought: conductors, feeds, or circuits kept.

Plans near the cheapest mostly lay the same circuits and differ in what has to change together: one cable for another on
many runs, and feeds that go with it. Neither a few loads anew nor a mixture comes to that. Of a job of 24 loads, ten
solutions mixed stood at 508.64; with circuits kept it was 507.16 after some seconds, then with feeds and with
conductors kept 506.76, which is the least.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from optimizer.solve.rows import Solution
from optimizer.solve.variables import Var, Variables

_STEP = 1.3  # by which the reach grows or shrinks


@dataclass(slots=True, eq=False)
class Side:
    """What is kept of a solution, and how far the rest is searched."""

    kept: list[int]  # variables, by index
    near_cents: float  # what is priced no dearer is open
    each_s: float  # for a search, by load
    _searched: tuple[int, float] = (0, 0.0)  # price of a solution beside which, so far, nothing cheaper is left

    def held(self, solution: Solution) -> dict[int, int]:
        """The values that a solution keeps, by index of variable."""
        return {index: solution[index] for index in self.kept}

    def is_searched(self, cents: int) -> bool:
        """Is nothing cheaper left beside the best solution, of that price, as far as the next search would go?"""
        return self._searched[0] == cents and self.near_cents <= self._searched[1]

    def searched(self, cents: int, above_cents: float, *, is_ended: bool) -> None:
        """Notes a search beside the best solution: the next one goes further, or less far where its time was up.

        Args:
            cents: What that solution costs. [cents]
            above_cents: How much more that is than the least with fractions allowed. [cents]
        """
        if not is_ended:
            self.near_cents /= _STEP
        elif self.near_cents >= above_cents:
            self._searched = cents, math.inf
        else:
            self._searched = cents, self.near_cents
            self.near_cents *= _STEP


def conductors(v: Variables) -> list[int]:
    """The conductors of every circuit that may be laid, by index of variable."""
    return _indices(var for circuit in v.circuits for _, var in v.pairs(circuit))


def circuits(v: Variables) -> list[int]:
    """Which circuits are laid, by index of variable."""
    return _indices(var for circuit in v.circuits for var in v.opened(circuit))


def feeds(v: Variables) -> list[int]:
    """Which circuits are laid and how each load is fed, by index of variable."""
    return [*circuits(v), *_indices(var for load in v.instance.loads for var in v.of_load(load))]


def _indices(variables: Iterable[Var]) -> list[int]:
    return sorted({var.index for var in variables})
