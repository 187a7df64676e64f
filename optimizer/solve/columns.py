"""The rows of a model in floating point, as HiGHS takes them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from optimizer.arrays import Floats, Ints
from optimizer.solve.rows import Solution, Whole

_SIDES = ("as it stands", "at most", "at least")
_LARGE = 1e4  # rows with larger coefficients are scaled down to about one


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
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
    row_keys: Ints  # of each row what it says, however much the model grows

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


def columns_of(whole: Whole) -> Columns:
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
    return Columns(
        own=len(whole.var_least),
        gaps=whole.gaps,
        least=np.concatenate([whole.var_least, np.zeros(len(gaps.most))]).astype(float),
        most=np.concatenate([whole.var_most, gaps.most]).astype(float),
        starts=np.concatenate([starts, starts[-1] + np.array(gaps.starts, dtype=np.int64)]).astype(np.int32),
        vars=np.concatenate([columns, gaps.vars]).astype(np.int32),
        coefs=np.concatenate([coefs, gaps.coefs]),
        row_least=np.concatenate([row_least / scale, gaps.row_least]),
        row_most=np.concatenate([row_most / scale, gaps.row_most]),
        row_keys=np.concatenate([row_key(source, side), -1 - np.arange(len(gaps.row_most))]),
    )


def row_key(source: Ints, side: Ints | int = 0) -> Ints:
    """What a row says: a row of the model as it stands, or with its condition what is at most, or at least."""
    return np.asarray(len(_SIDES) * source + side)


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
