"""A mixed-integer program collected row by row and handed to HiGHS in one piece."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import highspy
import numpy as np

from tests.benchmarks.clock import now_s

Column = int
Terms = list[tuple[float, Column]]


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What HiGHS found."""

    status: str  # optimal, feasible, infeasible, unknown
    total_cents: int | None
    bound_cents: float | None
    steps: list[tuple[float, int | None, float | None]]  # elapsed [s], best [cents], bound [cents]
    solve_s: float
    columns: int
    rows: int


class Milp:
    """Columns with cost and bounds, and rows; everything is integer unless it says otherwise."""

    def __init__(self) -> None:
        self._cost: list[float] = []
        self._upper: list[float] = []
        self._index: list[int] = []
        self._value: list[float] = []
        self._start: list[int] = [0]
        self._least: list[float] = []
        self._most: list[float] = []

    def integer(self, upper: float, cost: float = 0.0) -> Column:
        """A whole number from 0 to upper."""
        self._cost.append(cost)
        self._upper.append(upper)
        return len(self._cost) - 1

    def binary(self, cost: float = 0.0) -> Column:
        return self.integer(1, cost)

    def upper(self, column: Column) -> float:
        return self._upper[column]

    def add(self, terms: Iterable[tuple[float, Column]], *, least: float = -math.inf, most: float = math.inf) -> None:
        """least ≤ terms ≤ most; equal columns are added up."""
        summed: dict[Column, float] = {}
        for factor, column in terms:
            summed[column] = summed.get(column, 0.0) + factor
        self._index += summed
        self._value += summed.values()
        self._start.append(len(self._index))
        self._least.append(least)
        self._most.append(most)

    def equal(self, terms: Iterable[tuple[float, Column]], value: float = 0.0) -> None:
        self.add(terms, least=value, most=value)

    def solve(self, time_limit_s: float) -> Outcome:
        """HiGHS with its own settings, until proven to the cent or out of time."""
        highs = highspy.Highs()
        highs.setOptionValue("output_flag", False)
        highs.setOptionValue("time_limit", float(time_limit_s))
        highs.setOptionValue("mip_rel_gap", 0.0)
        highs.setOptionValue("mip_abs_gap", 0.99)  # prices are whole cents
        highs.passModel(self._model())
        steps: list[tuple[float, int | None, float | None]] = []
        start_s = now_s()

        def note(event: highspy.highs.HighsCallbackEvent) -> None:
            best, bound = event.data_out.mip_primal_bound, event.data_out.mip_dual_bound
            best_cents = round(best) if math.isfinite(best) else None
            steps.append((now_s() - start_s, best_cents, bound if math.isfinite(bound) else None))

        highs.cbMipImprovingSolution.subscribe(note)
        highs.cbMipLogging.subscribe(note)
        highs.run()
        return self._outcome(highs, steps, now_s() - start_s)

    def _model(self) -> highspy.HighsLp:
        model = highspy.HighsLp()
        columns, rows = len(self._cost), len(self._least)
        model.num_col_, model.num_row_ = columns, rows
        model.col_cost_ = np.array(self._cost)
        model.col_lower_, model.col_upper_ = np.zeros(columns), np.array(self._upper)
        model.row_lower_, model.row_upper_ = np.array(self._least), np.array(self._most)
        model.integrality_ = [highspy.HighsVarType.kInteger] * columns
        model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        model.a_matrix_.start_ = np.array(self._start)
        model.a_matrix_.index_ = np.array(self._index)
        model.a_matrix_.value_ = np.array(self._value)
        return model

    def _outcome(
        self, highs: highspy.Highs, steps: list[tuple[float, int | None, float | None]], solve_s: float
    ) -> Outcome:
        status, info = highs.getModelStatus(), highs.getInfo()
        has_answer = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        words = {highspy.HighsModelStatus.kOptimal: "optimal", highspy.HighsModelStatus.kInfeasible: "infeasible"}
        return Outcome(
            status=words.get(status, "feasible" if has_answer else "unknown"),
            total_cents=round(info.objective_function_value) if has_answer else None,
            bound_cents=info.mip_dual_bound if math.isfinite(info.mip_dual_bound) else None,
            steps=steps,
            solve_s=solve_s,
            columns=len(self._cost),
            rows=len(self._least),
        )
