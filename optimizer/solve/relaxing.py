"""A model with fractions allowed: the least it can cost, and what one more of each variable costs at the least."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from optimizer.arrays import Floats
from optimizer.solve.basis import Basis, basis_of
from optimizer.solve.columns import Columns, row_key
from optimizer.solve.highs import whole_cents
from optimizer.solve.rows import Solution
from optimizer.solve.variables import Var

_SURE_CENTS = 1.0  # beyond what a relaxation in floating point says


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The model with fractions allowed."""

    bound_cents: int  # which no plan goes below
    least_cents: float  # the same before rounding up
    reduced_cents: Floats  # by variable: what one more of it costs at the least
    value: Floats
    least: Floats
    basis: Basis

    def too_dear(self, cents: float, but: Solution) -> dict[int, int]:
        """Variables that no plan of at most so much makes any use of, with their least values.

        Args:
            but: A solution whose own variables are left out; may be empty.
        """
        return self.dear(cents - self.least_cents + _SURE_CENTS, but)

    def dear(self, within_cents: float, but: Solution) -> dict[int, int]:
        """Variables that the relaxation does without and would take only above a price, with their least values.

        Args:
            but: A solution whose own variables are left out; may be empty.
        """
        dear = (self.reduced_cents > within_cents) & (self.value <= self.least)
        known = min(len(but), len(dear))
        dear[:known] &= np.array(but[:known]) <= self.least[:known]
        return {int(n): int(self.least[n]) for n in np.flatnonzero(dear)}


class Relaxing:
    """A model with fractions allowed, to which rows are added, as to the model itself."""

    def __init__(self, highs: highspy.Highs, columns: Columns, rows: int) -> None:
        """rows: Of the model, before any is added."""
        self._highs, self._columns, self._first = highs, columns, rows
        self._least = columns.least[: columns.own]
        self._added = 0

    def add(self, terms: Sequence[tuple[int, Var]], most: int) -> None:
        """One more row: the sum of the terms is at most so much. A variable may stand in several terms."""
        together: dict[int, float] = defaultdict(float)
        for coef, var in terms:
            together[var.index] += coef
        columns, coefs = np.array([*together], dtype=np.int32), np.array([*together.values()])
        if self._highs.addRow(-math.inf, float(most), len(columns), columns, coefs) == highspy.HighsStatus.kError:
            raise RuntimeError("HiGHS refused a row")
        self._added += 1

    def solve(self, limit_s: float) -> Relaxation | None:
        """What is cheapest with fractions allowed; None where there was no time for it. [s]"""
        highs, known = self._highs, len(self._least)
        highs.setOptionValue("time_limit", highs.getRunTime() + max(0.01, limit_s))  # it counts all its runs
        highs.run()
        if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        highs.setOptionValue("solver", "simplex")  # from what is known by now
        solution = highs.getSolution()
        return Relaxation(
            bound_cents=whole_cents(highs.getInfo().objective_function_value),
            least_cents=highs.getInfo().objective_function_value,
            reduced_cents=np.array(solution.col_dual)[:known],
            value=np.array(solution.col_value)[:known],
            least=self._least,
            basis=basis_of(highs, self._columns, row_key(self._first + np.arange(self._added))),
        )
