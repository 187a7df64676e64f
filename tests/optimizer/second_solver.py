"""The planner's model, handed to another solver: HiGHS branches on linear programs and shares no code with CP-SAT."""

from __future__ import annotations

from collections import defaultdict

import highspy
import numpy as np
from ortools.sat.python import cp_model

_FAR = 1 << 61  # CP-SAT's way to say "no bound"
_BIG = 1e4  # rows with larger coefficients are scaled down for HiGHS's tolerances


def to_highs(model: cp_model.CpModel) -> highspy.Highs:
    """The same variables, rows and objective. Refuses what is not linear, so that nothing is lost on the way."""
    proto = model.proto
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.5)
    highs.setOptionValue("mip_feasibility_tolerance", 1e-7)
    for var in proto.variables:
        domain = list(var.domain)
        _add_integer(highs, domain[0], domain[-1])
    for constraint in proto.constraints:
        _add_row(highs, constraint)
    for column, var in enumerate(proto.variables):
        if len(domain := list(var.domain)) > 2:
            _keep_holes(highs, column, domain)
    for column, cost in zip(proto.objective.vars, proto.objective.coeffs, strict=True):
        highs.changeColCost(column, cost)
    return highs


def _add_integer(highs: highspy.Highs, least: float, most: float) -> int:
    column = int(highs.numVariables)
    highs.addVar(least, most)
    highs.changeColIntegrality(column, highspy.HighsVarType.kInteger)
    return column


def _add_row(highs: highspy.Highs, constraint: object) -> None:
    assert not constraint.enforcement_literal, "a conditional row is not linear"
    if constraint.has_bool_or():
        _row(highs, 1, highspy.kHighsInf, dict.fromkeys(constraint.bool_or.literals, 1))
        return
    assert constraint.has_linear(), constraint
    linear = constraint.linear
    terms: dict[int, int] = defaultdict(int)
    for column, coef in zip(linear.vars, linear.coeffs, strict=True):
        assert column >= 0
        terms[column] += coef
    least, most = linear.domain
    _row(
        highs,
        -highspy.kHighsInf if least < -_FAR else least,
        highspy.kHighsInf if most > _FAR else most,
        terms,
    )


def _row(highs: highspy.Highs, least: float, most: float, terms: dict[int, int]) -> None:
    largest = max((abs(coef) for coef in terms.values()), default=1)
    scale = 1.0 if largest < _BIG else largest / _BIG
    columns = np.array(list(terms), dtype=np.int32)
    highs.addRow(least / scale, most / scale, len(terms), columns, np.array(list(terms.values())) / scale)


def _keep_holes(highs: highspy.Highs, column: int, domain: list[int]) -> None:
    """One binary for each value of a domain with gaps."""
    values = [x for low, high in zip(domain[::2], domain[1::2], strict=True) for x in range(low, high + 1)]
    chosen = [_add_integer(highs, 0, 1) for _ in values]
    _row(highs, 1, 1, dict.fromkeys(chosen, 1))
    _row(highs, 0, 0, {column: -1, **dict(zip(chosen, values, strict=True))})
