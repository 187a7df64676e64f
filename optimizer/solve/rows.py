"""The rows of a CP-SAT model whose constraints are all linear, in whole numbers, read as far as the model has come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from optimizer.arrays import Bools, Ints
from optimizer.solve.variables import Term

_FAR = 1 << 61  # the solver's way of saying that a row has no such bound

Solution = list[int]


@dataclass(frozen=True, slots=True, eq=False)
class Whole:
    """Rows least <= sum of coef * var <= most, each where its condition holds, and the price of what they allow."""

    var_least: Ints
    var_most: Ints
    gaps: tuple[tuple[int, tuple[int, ...]], ...]  # variables whose domain has gaps: index, first and last of each part
    starts: Ints  # of each row among its terms, and the end of the last
    vars: Ints
    coefs: Ints
    least: Ints
    most: Ints
    only_if: Ints  # the variable that is a row's condition; -1: none
    cost: Ints  # by variable [cents]

    @property
    def has_least(self) -> Bools:
        return np.asarray(self.least >= -_FAR)

    @property
    def has_most(self) -> Bools:
        return np.asarray(self.most <= _FAR)

    def sums(self, terms: Ints) -> Ints:
        """Sum of what stands for each term, by row."""
        return np.asarray(np.add.reduceat(terms, self.starts[:-1])) if len(self.starts) > 1 else terms[:0]

    def cents(self, solution: Solution) -> int:
        """The price of a solution, which may know further variables. [cents]"""
        return int(self.cost @ np.array(solution[: len(self.cost)], dtype=np.int64))

    def holds(self, solution: Solution) -> bool:
        """Whether a solution obeys every row and every domain exactly."""
        values = np.array(solution, dtype=np.int64)
        if (values < self.var_least).any() or (values > self.var_most).any():
            return False
        if not all(_is_in(domain, solution[index]) for index, domain in self.gaps):
            return False
        found = self.sums(self.coefs * values[self.vars])
        is_asked = (self.only_if < 0) | (values[self.only_if] != 0)
        broken = (self.has_least & (found < self.least)) | (self.has_most & (found > self.most))
        return not (broken & is_asked).any()


class Rows:
    """Reads a model that grows by rows and their variables, each once."""

    def __init__(self, model: cp_model.CpModel, cost: Sequence[Term]) -> None:
        self._model, self._cost = model, cost
        self._var_least: list[int] = []
        self._var_most: list[int] = []
        self._gaps: list[tuple[int, tuple[int, ...]]] = []
        self._whole: Whole | None = None
        self._starts, self._read = [0], 0
        self._vars: list[int] = []
        self._coefs: list[int] = []
        self._least: list[int] = []
        self._most: list[int] = []
        self._only_if: list[int] = []

    def read(self) -> Whole:
        """All rows of the model as it is by now; the same object where nothing is new."""
        proto = self._model.proto
        if self._whole is not None and self._read == len(proto.constraints):
            return self._whole
        for index in range(len(self._var_least), len(proto.variables)):
            domain = tuple(proto.variables[index].domain)
            self._var_least.append(domain[0])
            self._var_most.append(domain[-1])
            if len(domain) > 2:
                self._gaps.append((index, domain))
        for number in range(self._read, len(proto.constraints)):
            self._add(proto.constraints[number])
        self._read = len(proto.constraints)
        cost = np.zeros(len(self._var_least), dtype=np.int64)
        for coef, var in self._cost:
            cost[var.index] += coef
        self._whole = Whole(
            var_least=_ints(self._var_least),
            var_most=_ints(self._var_most),
            gaps=tuple(self._gaps),
            starts=_ints(self._starts),
            vars=_ints(self._vars),
            coefs=_ints(self._coefs),
            least=_ints(self._least),
            most=_ints(self._most),
            only_if=_ints(self._only_if),
            cost=cost,
        )
        return self._whole

    def _add(self, constraint: Any) -> None:
        condition = list(constraint.enforcement_literal)
        if len(condition) > 1 or any(literal < 0 for literal in condition):
            raise NotImplementedError("rows with several or negated conditions")
        terms, least, most = _terms(constraint)
        terms = terms or {0: 0}  # a row of nothing is one of nothing times something
        self._vars += terms
        self._coefs += terms.values()
        self._starts.append(len(self._vars))
        self._least.append(least)
        self._most.append(most)
        self._only_if.append(condition[0] if condition else -1)


def _terms(constraint: Any) -> tuple[dict[int, int], int, int]:
    """Coefficients by variable, least and most. Only linear rows and clauses of true literals are known here."""
    if constraint.has_bool_or():
        literals = list(constraint.bool_or.literals)
        if any(literal < 0 for literal in literals):
            raise NotImplementedError("clauses with negated literals")
        return dict.fromkeys(literals, 1), 1, _FAR + 1
    if not constraint.has_linear():
        raise NotImplementedError("constraints that are not linear")
    domain = list(constraint.linear.domain)
    if len(domain) != 2:
        raise NotImplementedError("rows with gaps")
    vars_, coefs = list(constraint.linear.vars), list(constraint.linear.coeffs)
    together = dict(zip(vars_, coefs, strict=True))
    if len(together) < len(vars_):
        together = dict.fromkeys(vars_, 0)
        for var, coef in zip(vars_, coefs, strict=True):
            together[var] += coef
    return together, domain[0], domain[1]


def _ints(values: Sequence[int]) -> Ints:
    return np.array(values, dtype=np.int64)


def _is_in(domain: Sequence[int], value: int) -> bool:
    return any(first <= value <= last for first, last in zip(domain[::2], domain[1::2], strict=True))
