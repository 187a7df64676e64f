"""The model as rows of numbers, for HiGHS, which proves prices of large jobs far sooner than CP-SAT.

Measured on jobs of 12 loads and more: the cuts HiGHS adds at the root close most of what the linear relaxation leaves
open. It works in floating point; so what it finds is looked at here in whole numbers before it counts.
"""

from __future__ import annotations

import ctypes
import math
import os
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import highspy
import numpy as np
import numpy.typing as npt
from ortools.sat.python import cp_model

from optimizer.solve.variables import Term, Var

_FAR = 1 << 61  # the solver's way of saying that a row has no such bound
_LARGE = 1e4  # rows with larger coefficients are scaled down to about one
_CENT = 1e-4  # a bound this close below a whole cent is that cent

_CLOSE = 0.005  # relative gap at which a part of the model is solved well enough

Solution = list[int]


@dataclass(slots=True)
class _Row:
    """Whole numbers: least <= sum of coef * var <= most, where its condition holds."""

    vars: list[int]
    coefs: list[int]
    least: int | None
    most: int | None
    only_if: int | None


@dataclass(slots=True)
class Found:
    """What a run came to."""

    is_optimal: bool
    is_infeasible: bool
    bound_cents: int
    solution: Solution | None  # of the least price that also holds in whole numbers


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The model with fractions allowed."""

    bound_cents: int  # which no plan goes below
    reduced_cents: npt.NDArray[np.float64]  # by variable: what one more of it costs at the least
    value: npt.NDArray[np.float64]
    least: npt.NDArray[np.float64]

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
    """A model with fractions allowed, to which rows are added."""

    def __init__(self, highs: highspy.Highs, least: npt.NDArray[np.float64]) -> None:
        self._highs, self._least = highs, least

    def add(self, terms: Sequence[tuple[int, Var]], most: int) -> None:
        """One more row: the sum of the terms is at most so much."""
        columns = np.array([var.index for _, var in terms], dtype=np.int32)
        self._highs.addRow(-math.inf, float(most), len(terms), columns, np.array([float(coef) for coef, _ in terms]))

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
            bound_cents=_whole(highs.getInfo().objective_function_value),
            reduced_cents=np.array(solution.col_dual)[:known],
            value=np.array(solution.col_value)[:known],
            least=self._least,
        )


@dataclass(slots=True)
class _Columns:
    least: list[float]
    most: list[float]
    starts: list[int] = field(default_factory=lambda: [0])
    vars: list[int] = field(default_factory=list)
    coefs: list[float] = field(default_factory=list)
    row_least: list[float] = field(default_factory=list)
    row_most: list[float] = field(default_factory=list)

    def new(self, most: float) -> int:
        self.least.append(0.0)
        self.most.append(most)
        return len(self.least) - 1

    def row(self, terms: Sequence[tuple[float, int]], least: float, most: float) -> None:
        scale = max((abs(coef) for coef, _ in terms), default=1.0)
        scale = scale if scale > _LARGE else 1.0
        self.vars += [var for _, var in terms]
        self.coefs += [coef / scale for coef, _ in terms]
        self.starts.append(len(self.vars))
        self.row_least.append(least / scale)
        self.row_most.append(most / scale)


class LinearModel:
    """The rows of a CP-SAT model whose constraints are all linear."""

    def __init__(self, model: cp_model.CpModel, cost: Sequence[Term]) -> None:
        proto = model.proto
        self._domains = [list(var.domain) for var in proto.variables]
        self._rows = [_row(constraint) for constraint in proto.constraints]
        self._cost = np.zeros(len(self._domains))
        for coef, var in cost:
            self._cost[var.index] += coef

    # -- in whole numbers -----------------------------------------------------------------------------------------

    def cents(self, solution: Solution) -> int:
        return round(float(self._cost @ np.array(solution, dtype=float)))

    def holds(self, solution: Solution) -> bool:
        """Whether a solution obeys every row and every domain exactly."""
        inside = (_is_in(domain, value) for domain, value in zip(self._domains, solution, strict=True))
        return all(inside) and all(_holds(row, solution) for row in self._rows)

    # -- in floating point ----------------------------------------------------------------------------------------

    def relaxing(self) -> Relaxing:
        """The same with fractions allowed, open for further rows."""
        highs, columns = self._load()
        _set_kind(highs, np.arange(len(columns.least), dtype=np.int32), highspy.HighsVarType.kContinuous)
        return Relaxing(highs, np.array(columns.least)[: len(self._domains)])

    def minimize(
        self,
        *,
        limit_s: float,
        start: Solution,
        stop: threading.Event | None,
        on_solution: Callable[[Solution], Any],
        on_bound: Callable[[int], Any],
        held: Mapping[int, int] | None = None,
        close: float = _CLOSE,
    ) -> Found:
        """The least price, or the best bound and solution when time is up or somebody asks to stop.

        Args:
            held: Values that some variables keep: a small model, solved until it is `close` (relative gap). Its bound
                is none of the whole, so none is given.
            limit_s: Wall-clock limit. [s]
            start: A solution to start from; may be empty.
            on_solution: Called with every better solution that holds.
            on_bound: Called with every better bound. [cents]
        """
        highs, columns = self._load()
        highs.setOptionValue("time_limit", max(0.01, limit_s))
        if held is not None:
            _hold(highs, held)
            highs.setOptionValue("mip_rel_gap", close)
        if start:
            values = np.zeros(len(columns.least))
            values[: len(start)] = start
            given = np.arange(len(start), dtype=np.int32)
            highs.setSolution(len(start), given, values[: len(start)])
        best: list[Solution] = []
        bound = [0]

        def improved(event: Any) -> None:
            solution = self._rounded(event.data_out.mip_solution)
            if self.holds(solution) and (not best or self.cents(solution) < self.cents(best[-1])):
                best.append(solution)
                on_solution(solution)

        def working(event: Any) -> None:
            cents = _whole(event.data_out.mip_dual_bound)
            if cents > bound[0] and held is None:
                bound[0] = cents
                on_bound(cents)
            if stop is not None and stop.is_set():
                event.data_in.user_interrupt = True

        highs.cbMipImprovingSolution.subscribe(improved)
        highs.cbMipInterrupt.subscribe(working)
        highs.run()
        found = self._found(highs, best, bound[0])
        if held is not None:
            return Found(is_optimal=False, is_infeasible=False, bound_cents=0, solution=found.solution)
        return found

    def _found(self, highs: highspy.Highs, best: list[Solution], bound: int) -> Found:
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return Found(is_optimal=False, is_infeasible=True, bound_cents=bound, solution=None)
        is_optimal = status == highspy.HighsModelStatus.kOptimal
        last = self._rounded(highs.getSolution().col_value)
        if last and self.holds(last):
            best.append(last)
        solution = min(best, key=self.cents, default=None)
        bound = max(bound, _whole(highs.getInfo().mip_dual_bound))
        proven = is_optimal and solution is not None and self.cents(solution) <= bound
        return Found(is_optimal=proven, is_infeasible=False, bound_cents=bound, solution=solution)

    def _rounded(self, values: Sequence[float]) -> Solution:
        return [round(value) for value in list(values)[: len(self._domains)]]

    def _load(self) -> tuple[highspy.Highs, _Columns]:
        columns = _Columns(
            least=[float(domain[0]) for domain in self._domains], most=[float(domain[-1]) for domain in self._domains]
        )
        for row in self._rows:
            self._add(columns, row)
        for index, domain in enumerate(self._domains):
            if len(domain) > 2:
                _add_gaps(columns, index, domain)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(columns.least), len(columns.row_least)
        lp.col_cost_ = np.concatenate([self._cost, np.zeros(lp.num_col_ - len(self._cost))])
        lp.col_lower_, lp.col_upper_ = np.array(columns.least), np.array(columns.most)
        lp.row_lower_, lp.row_upper_ = np.array(columns.row_least), np.array(columns.row_most)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(columns.starts, dtype=np.int32)
        lp.a_matrix_.index_ = np.array(columns.vars, dtype=np.int32)
        lp.a_matrix_.value_ = np.array(columns.coefs)
        lp.integrality_ = [highspy.HighsVarType.kInteger] * lp.num_col_
        highs = silent_highs()
        highs.setOptionValue("random_seed", 0)
        highs.setOptionValue("mip_rel_gap", 0.0)
        highs.setOptionValue("mip_abs_gap", 0.99)
        # from nothing to the first relaxation; of 50 loads in 5 s, where the simplex method takes 26
        highs.setOptionValue("solver", "ipm")
        highs.setOptionValue("mip_lp_solver", "ipm")
        # two searches of parts of the model, which cost more than they find once `within_cents` has been looked into
        highs.setOptionValue("mip_heuristic_run_root_reduced_cost", False)
        highs.setOptionValue("mip_heuristic_run_rens", False)
        highs.passModel(lp)
        return highs, columns

    def _add(self, columns: _Columns, row: _Row) -> None:
        least = -math.inf if row.least is None else float(row.least)
        most = math.inf if row.most is None else float(row.most)
        terms = [(float(coef), var) for coef, var in zip(row.coefs, row.vars, strict=True)]
        if row.only_if is None:
            columns.row(terms, least, most)
            return
        if row.most is not None:
            slack = sum(max(coef * d for d in self._domains[var]) for coef, var in terms) - most
            columns.row([*terms, (max(slack, 0.0), row.only_if)], -math.inf, most + max(slack, 0.0))
        if row.least is not None:
            slack = least - sum(min(coef * d for d in self._domains[var]) for coef, var in terms)
            columns.row([*terms, (-max(slack, 0.0), row.only_if)], least - max(slack, 0.0), math.inf)


def _hold(highs: highspy.Highs, held: Mapping[int, int]) -> None:
    columns = np.fromiter(held.keys(), dtype=np.int32, count=len(held))
    values = np.fromiter(held.values(), dtype=np.float64, count=len(held))
    highs.changeColsBounds(len(held), columns, values, values)


def _set_kind(highs: highspy.Highs, columns: npt.NDArray[np.int32], kind: highspy.HighsVarType) -> None:
    highs.changeColsIntegrality(len(columns), columns, np.full(len(columns), int(kind), dtype=np.uint8))


def silent_highs() -> highspy.Highs:
    """The first HiGHS of a process greets on standard output, which carries the plan."""
    sys.stdout.flush()
    output, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        highs = highspy.Highs()  # type: ignore[no-untyped-call]
        if os.name == "posix":
            ctypes.CDLL(None).fflush(None)
    finally:
        os.dup2(output, 1)
        os.close(output)
        os.close(nowhere)
    highs.setOptionValue("log_to_console", False)
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # in every one of a process: the first run sets how many, and others then fail
    return highs


def _add_gaps(columns: _Columns, index: int, domain: Sequence[int]) -> None:
    """A variable with gaps lies in exactly one of its intervals."""
    inside: list[tuple[float, int]] = []
    value: list[tuple[float, int]] = [(-1.0, index)]
    for first, last in zip(domain[::2], domain[1::2], strict=True):
        here, above = columns.new(1.0), columns.new(float(last - first))
        inside.append((1.0, here))
        value += [(float(first), here), (1.0, above)]
        columns.row([(1.0, above), (-float(last - first), here)], -math.inf, 0.0)
    columns.row(inside, 1.0, 1.0)
    columns.row(value, 0.0, 0.0)


def _row(constraint: Any) -> _Row:
    """One row of a constraint; only linear ones and clauses of true literals are known here."""
    condition = list(constraint.enforcement_literal)
    if len(condition) > 1 or any(literal < 0 for literal in condition):
        raise NotImplementedError("rows with several or negated conditions")
    only_if = condition[0] if condition else None
    if constraint.has_bool_or():
        literals = list(constraint.bool_or.literals)
        if any(literal < 0 for literal in literals):
            raise NotImplementedError("clauses with negated literals")
        return _Row(literals, [1] * len(literals), 1, None, only_if)
    if not constraint.has_linear():
        raise NotImplementedError("constraints that are not linear")
    together: dict[int, int] = {}
    for var, coef in zip(constraint.linear.vars, constraint.linear.coeffs, strict=True):
        together[var] = together.get(var, 0) + coef
    domain = list(constraint.linear.domain)
    if len(domain) != 2:
        raise NotImplementedError("rows with gaps")
    least = None if domain[0] < -_FAR else domain[0]
    most = None if domain[1] > _FAR else domain[1]
    return _Row(list(together), list(together.values()), least, most, only_if)


def _holds(row: _Row, solution: Solution) -> bool:
    if row.only_if is not None and not solution[row.only_if]:
        return True
    value = sum(coef * solution[var] for coef, var in zip(row.coefs, row.vars, strict=True))
    return (row.least is None or value >= row.least) and (row.most is None or value <= row.most)


def _is_in(domain: Sequence[int], value: int) -> bool:
    return any(first <= value <= last for first, last in zip(domain[::2], domain[1::2], strict=True))


def _whole(bound: float) -> int:
    """A bound on whole cents. [cents]"""
    return math.ceil(bound - _CENT) if math.isfinite(bound) and bound > 0 else 0
