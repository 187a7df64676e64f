"""The model as rows of numbers, for HiGHS, which proves prices of large jobs far sooner than CP-SAT.

Measured on jobs of 12 loads and more: the cuts HiGHS adds at the root close most of what the linear relaxation leaves
open. It works in floating point; so what it finds is looked at here in whole numbers before it counts.
"""

from __future__ import annotations

import ctypes
import functools
import math
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import highspy
import numpy as np
import numpy.typing as npt

from optimizer.solve.engine import Halt
from optimizer.solve.rows import Floats, Solution, Whole
from optimizer.solve.variables import Var

_LARGE = 1e4  # rows with larger coefficients are scaled down to about one
_CENT = 1e-4  # a bound this close below a whole cent is that cent

_SURE_CENTS = 1.0  # beyond what a relaxation in floating point says
_CLOSE = 0.005  # relative gap at which a part of the model is solved well enough


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
    least_cents: float  # the same before rounding up
    reduced_cents: Floats  # by variable: what one more of it costs at the least
    value: Floats
    least: Floats

    def too_dear(self, cents: int, but: Solution) -> dict[int, int]:
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
    """A model with fractions allowed, to which rows are added."""

    def __init__(self, highs: highspy.Highs, least: Floats) -> None:
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
            least_cents=highs.getInfo().objective_function_value,
            reduced_cents=np.array(solution.col_dual)[:known],
            value=np.array(solution.col_value)[:known],
            least=self._least,
        )


@dataclass(frozen=True, slots=True, eq=False)
class _Columns:
    """The rows in floating point: conditions are slacks, and further columns say where among gaps a variable lies."""

    own: int  # variables of the model; the further columns come after them
    gaps: tuple[tuple[int, tuple[int, ...]], ...]
    least: Floats
    most: Floats
    starts: npt.NDArray[np.int32]
    vars: npt.NDArray[np.int32]
    coefs: Floats
    row_least: Floats
    row_most: Floats

    def values(self, solution: Solution) -> Floats:
        """Values of all columns under a solution that knows every variable of the model, and maybe more."""
        values = np.zeros(len(self.least))
        values[: self.own] = solution[: self.own]
        column = self.own
        for index, domain in self.gaps:
            for first, last in zip(domain[::2], domain[1::2], strict=True):
                if first <= solution[index] <= last:
                    values[column], values[column + 1] = 1.0, float(solution[index] - first)
                column += 2
        return values


def _columns(whole: Whole) -> _Columns:
    size = np.diff(whole.starts)
    is_conditional = whole.only_if >= 0
    kinds = (~is_conditional, is_conditional & whole.has_most, is_conditional & whole.has_least)
    sources, sides = zip(*((np.flatnonzero(kind), np.full(kind.sum(), n)) for n, kind in enumerate(kinds)), strict=True)
    source, side = np.concatenate(sources), np.concatenate(sides)
    order = np.lexsort((side, source))
    source, side = source[order], side[order]

    at_least = np.where(whole.has_least, whole.least, -math.inf)[source]
    at_most = np.where(whole.has_most, whole.most, math.inf)[source]
    ends = whole.coefs * whole.var_least[whole.vars], whole.coefs * whole.var_most[whole.vars]
    above = np.maximum(whole.sums(np.maximum(*ends))[source] - at_most, 0.0)
    below = np.maximum(at_least - whole.sums(np.minimum(*ends))[source], 0.0)
    slack = np.where(side == 1, above, -below)
    row_most = np.where(side == 1, at_most + above, np.where(side == 0, at_most, math.inf))
    row_least = np.where(side == 2, at_least - below, np.where(side == 0, at_least, -math.inf))

    has_slack = side > 0
    starts = np.concatenate([[0], np.cumsum(size[source] + has_slack)])
    inside = np.arange(size[source].sum()) - np.repeat(np.cumsum(size[source]) - size[source], size[source])
    at = np.repeat(starts[:-1], size[source]) + inside
    term = np.repeat(whole.starts[:-1][source], size[source]) + inside
    columns, coefs = np.zeros(starts[-1], dtype=np.int32), np.zeros(starts[-1])
    columns[at], coefs[at] = whole.vars[term], whole.coefs[term]
    last = starts[1:][has_slack] - 1
    columns[last], coefs[last] = whole.only_if[source][has_slack], slack[has_slack]

    scale = np.maximum.reduceat(np.abs(coefs), starts[:-1]) if len(source) else np.zeros(0)
    scale = np.where(scale > _LARGE, scale, 1.0)
    coefs /= np.repeat(scale, np.diff(starts))
    gaps = _gap_rows(whole)
    return _Columns(
        own=len(whole.var_least),
        gaps=whole.gaps,
        least=np.concatenate([whole.var_least, np.zeros(len(gaps.most))]).astype(float),
        most=np.concatenate([whole.var_most, gaps.most]).astype(float),
        starts=np.concatenate([starts, starts[-1] + np.array(gaps.starts, dtype=np.int64)]).astype(np.int32),
        vars=np.concatenate([columns, gaps.vars]).astype(np.int32),
        coefs=np.concatenate([coefs, gaps.coefs]),
        row_least=np.concatenate([row_least / scale, gaps.row_least]),
        row_most=np.concatenate([row_most / scale, gaps.row_most]),
    )


@dataclass(slots=True)
class _GapRows:
    """A variable with gaps lies in exactly one of its intervals."""

    most: list[float] = field(default_factory=list)  # of the further columns
    starts: list[int] = field(default_factory=list)  # of the next row, each
    vars: list[int] = field(default_factory=list)
    coefs: list[float] = field(default_factory=list)
    row_least: list[float] = field(default_factory=list)
    row_most: list[float] = field(default_factory=list)

    def row(self, terms: Sequence[tuple[float, int]], least: float, most: float) -> None:
        self.vars += [var for _, var in terms]
        self.coefs += [coef for coef, _ in terms]
        self.starts.append(len(self.vars))
        self.row_least.append(least)
        self.row_most.append(most)


def _gap_rows(whole: Whole) -> _GapRows:
    rows = _GapRows()
    for index, domain in whole.gaps:
        inside: list[tuple[float, int]] = []
        value: list[tuple[float, int]] = [(-1.0, index)]
        for first, last in zip(domain[::2], domain[1::2], strict=True):
            here = len(whole.var_least) + len(rows.most)
            above = here + 1
            rows.most += [1.0, float(last - first)]
            inside.append((1.0, here))
            value += [(float(first), here), (1.0, above)]
            rows.row([(1.0, above), (-float(last - first), here)], -math.inf, 0.0)
        rows.row(inside, 1.0, 1.0)
        rows.row(value, 0.0, 0.0)
    return rows


class LinearModel:
    """The rows of a model as they were at one time."""

    def __init__(self, whole: Whole) -> None:
        self.whole = whole
        self._columns = _columns(whole)

    # -- in floating point ----------------------------------------------------------------------------------------

    def relaxing(self, stop: Halt | None = None) -> Relaxing:
        """The same with fractions allowed, open for further rows, until somebody asks to stop."""
        highs, columns = self._load(), self._columns

        def working(event: Any) -> None:
            event.data_in.user_interrupt = stop is not None and stop.is_set()

        highs.cbIpmInterrupt.subscribe(working)
        highs.cbSimplexInterrupt.subscribe(working)
        _set_kind(highs, np.arange(len(columns.least), dtype=np.int32), highspy.HighsVarType.kContinuous)
        return Relaxing(highs, columns.least[: columns.own])

    def minimize(
        self,
        *,
        limit_s: float,
        start: Solution,
        stop: Halt | None,
        on_solution: Callable[[Solution], Any],
        on_bound: Callable[[int], Any],
        known: Callable[[], Solution] = list,
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
            known: The best solution that others found by now, asked for again and again; empty where there is none.
        """
        highs, columns = self._load(), self._columns
        highs.setOptionValue("time_limit", max(0.01, limit_s))
        if held is not None:
            _hold(highs, held)
            highs.setOptionValue("mip_rel_gap", close)
        if start:
            given = np.arange(min(columns.own, len(start)), dtype=np.int32)
            highs.setSolution(len(given), given, np.array(start[: columns.own], dtype=float))
        run = _Run(self.whole, columns, stop, on_solution, known)
        run.listen(highs)
        if held is None:
            highs.cbMipInterrupt.subscribe(run.on(on_bound))
        highs.run()
        found = self._found(highs, run)
        return found if held is None else replace(found, is_optimal=False, is_infeasible=False, bound_cents=0)

    def _found(self, highs: highspy.Highs, run: _Run) -> Found:
        best, bound, status = run.solutions, run.bound_cents, highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return Found(is_optimal=False, is_infeasible=True, bound_cents=bound, solution=None)
        is_optimal = status == highspy.HighsModelStatus.kOptimal
        last = run.rounded(highs.getSolution().col_value)
        if last and self.whole.holds(last):
            best.append(last)
        solution = min(best, key=self.whole.cents, default=None)
        bound = max(bound, _whole(highs.getInfo().mip_dual_bound))
        proven = is_optimal and solution is not None and self.whole.cents(solution) <= bound
        return Found(is_optimal=proven, is_infeasible=False, bound_cents=bound, solution=solution)

    def _load(self) -> highspy.Highs:
        columns = self._columns
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(columns.least), len(columns.row_least)
        lp.col_cost_ = np.concatenate([self.whole.cost, np.zeros(lp.num_col_ - columns.own)])
        lp.col_lower_, lp.col_upper_ = columns.least, columns.most
        lp.row_lower_, lp.row_upper_ = columns.row_least, columns.row_most
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_, lp.a_matrix_.index_ = columns.starts, columns.vars
        lp.a_matrix_.value_ = columns.coefs
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
        if highs.passModel(lp) == highspy.HighsStatus.kError:
            raise RuntimeError("HiGHS refused the model")
        return highs


@dataclass(slots=True)
class _Run:
    """What HiGHS calls while it runs."""

    whole: Whole
    columns: _Columns
    stop: Halt | None
    on_solution: Callable[[Solution], Any]
    known: Callable[[], Solution]
    solutions: list[Solution] = field(default_factory=list)  # each cheaper than the one before
    bound_cents: int = 0

    def listen(self, highs: highspy.Highs) -> None:
        highs.cbMipImprovingSolution.subscribe(self._improved)
        highs.cbMipUserSolution.subscribe(self._asked)
        highs.cbMipInterrupt.subscribe(self._working)

    def on(self, on_bound: Callable[[int], Any]) -> Callable[[Any], None]:
        """Tells of better bounds."""

        def told(event: Any) -> None:
            cents = _whole(event.data_out.mip_dual_bound)
            if cents > self.bound_cents:
                self.bound_cents = cents
                on_bound(cents)

        return told

    def rounded(self, values: Sequence[float]) -> Solution:
        return [round(value) for value in list(values)[: self.columns.own]]

    def _improved(self, event: Any) -> None:
        solution, before = self.rounded(event.data_out.mip_solution), [self.known(), *self.solutions[-1:]]
        is_better = all(self.whole.cents(solution) < self.whole.cents(one) for one in before if one)
        if is_better and self.whole.holds(solution):
            self.solutions.append(solution)
            self.on_solution(solution)

    def _working(self, event: Any) -> None:
        if self.stop is not None and self.stop.is_set():
            event.data_in.user_interrupt = True

    def _asked(self, event: Any) -> None:
        """Gives HiGHS what others found meanwhile."""
        solution = self.known()
        if len(solution) < self.columns.own:
            return
        if self.whole.cents(solution) < event.data_out.mip_primal_bound - _CENT:
            event.data_in.setSolution(self.columns.values(solution))


def _hold(highs: highspy.Highs, held: Mapping[int, int]) -> None:
    columns = np.fromiter(held.keys(), dtype=np.int32, count=len(held))
    values = np.fromiter(held.values(), dtype=np.float64, count=len(held))
    highs.changeColsBounds(len(held), columns, values, values)


def _set_kind(highs: highspy.Highs, columns: npt.NDArray[np.int32], kind: highspy.HighsVarType) -> None:
    highs.changeColsIntegrality(len(columns), columns, np.full(len(columns), int(kind), dtype=np.uint8))


def silent_highs() -> highspy.Highs:
    """HiGHS without a word on standard output, which carries the plan."""
    _greet_nobody()
    highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("log_to_console", False)
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # in every one of a process: the first run sets how many, and others then fail
    return highs


@functools.cache
def _greet_nobody() -> None:
    """The first HiGHS of a process greets on standard output. Once, since other threads may want to write there."""
    sys.stdout.flush()
    output, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        highspy.Highs()  # type: ignore[no-untyped-call]
        if os.name == "posix":
            ctypes.CDLL(None).fflush(None)
    finally:
        os.dup2(output, 1)
        os.close(output)
        os.close(nowhere)


def _whole(bound: float) -> int:
    """A bound on whole cents. [cents]"""
    return math.ceil(bound - _CENT) if math.isfinite(bound) and bound > 0 else 0
