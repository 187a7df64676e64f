"""What parts of a model cost at the least, with fractions allowed: the same rows again and again, in other spans.

Each answer starts from the one before it. What no plan worth having makes use of is left out of the rows beforehand.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass

import highspy
import numpy as np
import numpy.typing as npt
from ortools.sat.python import cp_model

from optimizer.arrays import Bools, Floats, Ints
from optimizer.solve.basis import Basis
from optimizer.solve.engine import Halt
from optimizer.solve.highs import silent_highs, stop_with
from optimizer.solve.linear import LinearModel
from optimizer.solve.root_rows import RootRow, WholeRow
from optimizer.solve.variables import Model

_NEARLY = 1e-9

Spans = Mapping[int, tuple[int, int]]  # least and most of some variables, by index


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """The least that a part of the model can cost. Infinite: nothing in it is worth having."""

    cents: float
    columns: Ints  # what is left, as indices of the model's variables and of the further columns
    value: Floats
    reduced_cents: Floats  # what one more of it costs at the least


NOTHING = Priced(math.inf, np.zeros(0, dtype=np.int64), np.zeros(0), np.zeros(0))


class Shrunk:
    """The rows of a model without the variables that keep their values."""

    def __init__(
        self,
        linear: LinearModel,
        held: Mapping[int, int],
        within_cents: float = math.inf,
        basis: Basis | None = None,
    ) -> None:
        """Rows about plans of at most a price.

        Args:
            held: Values that some variables keep in all of these, by index.
            within_cents: That price. [cents]
            basis: Of the relaxation that told which variables these are: what is asked first begins there.
        """
        self.within_cents = within_cents
        self._further: list[WholeRow] = []
        of = linear.columns
        self._own = of.own
        least, most = of.least.copy(), of.most.copy()
        kept = np.fromiter(held.keys(), dtype=np.int64, count=len(held))
        least[kept] = most[kept] = np.fromiter(held.values(), dtype=np.float64, count=len(held))
        is_left = most > least
        self.columns = np.flatnonzero(is_left)  # indices of the model's variables, then of the further columns
        self.place = {int(index): n for n, index in enumerate(self.columns)}
        self.least, self.most = least[is_left], most[is_left]
        cost = np.concatenate([linear.whole.cost, np.zeros(len(of.least) - of.own)]).astype(float)
        self.cost, self.sure_cents = cost[is_left], float(cost[~is_left] @ least[~is_left])

        row = np.repeat(np.arange(len(of.row_least)), np.diff(of.starts))
        known = np.bincount(row, np.where(is_left[of.vars], 0.0, of.coefs * least[of.vars]), len(of.row_least))
        row_least, row_most = of.row_least - known, of.row_most - known
        is_asked = _can_break(row, of.vars, of.coefs, least, most, is_left, row_least, row_most)
        terms = is_left[of.vars] & is_asked[row]
        self.row_least, self.row_most = row_least[is_asked], row_most[is_asked]
        sizes = np.bincount(row[terms], minlength=len(of.row_least))[is_asked]
        self.starts = np.concatenate([[0], np.cumsum(sizes)]).astype(np.int32)
        self.vars = (np.cumsum(is_left) - 1)[of.vars[terms]].astype(np.int32)
        self.coefs = of.coefs[terms]
        self._row_keys, self._basis = of.row_keys[is_asked], basis

    def with_rows(self, rows: Sequence[RootRow]) -> Shrunk:
        """The same with more rows."""
        more = copy(self)
        more._further = [*self._further, *(whole for row in rows if (whole := row.whole(self.columns, self._own)))]
        more.row_least = np.concatenate([self.row_least, np.full(len(rows), -math.inf)])
        more.row_most = np.concatenate([self.row_most, [row.most for row in rows]])
        sizes = [len(row.columns) for row in rows]
        more.starts = np.concatenate([self.starts, self.starts[-1] + np.cumsum(sizes)]).astype(np.int32)
        more.vars = np.concatenate([self.vars, *(row.columns for row in rows)])
        more.coefs = np.concatenate([self.coefs, *(row.coefs for row in rows)])
        return more

    def add_further_to(self, model: Model) -> None:
        """The rows that came later, as CP-SAT takes them."""
        for row in self._further:
            vars_ = [model.get_int_var_from_proto_index(index) for index in row.vars]
            model.add(cp_model.LinearExpr.weighted_sum(vars_, row.coefs) <= row.most)

    def has_basis(self, highs: highspy.Highs) -> bool:
        """Whether HiGHS, which has been given the rows, can begin where the relaxation was left; then it does."""
        if self._basis is None:
            return False
        return self._basis.set_in(highs, self.columns.tolist(), self._own, self._row_keys.tolist())

    def lp(self) -> highspy.HighsLp:
        """The rows as HiGHS takes them, with fractions allowed."""
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(self.least), len(self.row_least)
        lp.col_cost_, lp.col_lower_, lp.col_upper_ = self.cost, self.least, self.most
        lp.row_lower_, lp.row_upper_ = self.row_least, self.row_most
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = self.starts, self.vars, self.coefs
        return lp


def _can_break(
    row: Ints,
    vars_: npt.NDArray[np.int32],
    coefs: Floats,
    least: Floats,
    most: Floats,
    is_left: Bools,
    row_least: Floats,
    row_most: Floats,
) -> Bools:
    """Whether each row says more than the spans of its variables do."""
    ends = coefs * least[vars_], coefs * most[vars_]
    low = np.bincount(row, np.where(is_left[vars_], np.minimum(*ends), 0.0), len(row_least))
    high = np.bincount(row, np.where(is_left[vars_], np.maximum(*ends), 0.0), len(row_least))
    return np.asarray((low < row_least - _NEARLY) | (high > row_most + _NEARLY))


class Fractional:
    """The rows with fractions allowed, for one thread."""

    def __init__(self, rows: Shrunk, stop: Halt | None = None) -> None:
        """stop: Once it is set, what is asked ends without an answer."""
        self.rows = rows
        self._highs = highs = silent_highs()
        if highs.passModel(rows.lp()) == highspy.HighsStatus.kError:
            raise RuntimeError("HiGHS refused the rows")
        stop_with(highs, stop)
        # from nothing by interior points: of many loads the simplex method takes half a minute
        highs.setOptionValue("solver", "simplex" if rows.has_basis(highs) else "ipm")

    def priced(self, spans: Spans, most_cents: float, limit_s: float) -> Priced | None:
        """What is cheapest in these spans; `NOTHING` where it is dearer than that, None without an answer in time.

        Args:
            spans: Of variables that are left among the columns, by index of the model.
            most_cents: What is dearer is not worth having. [cents]
            limit_s: Wall-clock limit. [s]
        """
        rows, highs = self.rows, self._highs
        columns = np.array([rows.place[index] for index in spans], dtype=np.int32)
        ends = np.array(list(spans.values()), dtype=float).reshape(-1, 2)
        highs.changeColsBounds(len(columns), columns, ends[:, 0].copy(), ends[:, 1].copy())
        highs.setOptionValue("time_limit", highs.getRunTime() + max(0.01, limit_s))  # it counts all its runs
        highs.run()
        status, least = highs.getModelStatus(), highs.getInfo().objective_function_value + rows.sure_cents
        solution = highs.getSolution()
        if status == highspy.HighsModelStatus.kOptimal:
            highs.setOptionValue("solver", "simplex")  # from what is known by now
        found = Priced(least, rows.columns, np.array(solution.col_value), np.array(solution.col_dual))
        highs.changeColsBounds(len(columns), columns, rows.least[columns], rows.most[columns])
        if status == highspy.HighsModelStatus.kInfeasible:
            return NOTHING
        if status != highspy.HighsModelStatus.kOptimal:
            return None
        return found if least <= most_cents else NOTHING
