"""Rows that HiGHS finds before its first branch: every plan obeys them, its relaxation does not.

They are rounded from sums of many rows (Chvátal-Gomory and mixed-integer rounding, cliques, covers): packs and spools
bought whole, whatever they are shared by. Of jobs of 24 loads they close a quarter to two thirds of what lies between
the relaxation and the least price.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import highspy
import numpy as np
import numpy.typing as npt

from optimizer.arrays import Floats, Ints
from optimizer.solve.engine import Halt
from optimizer.solve.highs import silent_highs

_SCALES = (1, 2, 3, 4, 12)  # whole numbers to write coefficients in
_LARGEST = 10_000.0  # coefficient, where none of these does
_NEARLY = 1e-6
_MOST_TERMS = 600  # of a row that is worth its time to CP-SAT


class WholeRow(NamedTuple):
    """In whole numbers, about variables of a model: the sum of the terms is at most so much."""

    vars: list[int]
    coefs: list[int]
    most: int


class RootRow(NamedTuple):
    """The sum of the terms is at most so much."""

    columns: npt.NDArray[np.int32]
    coefs: Floats
    most: float

    def whole(self, columns: Ints, own: int) -> WholeRow | None:
        """What it says in whole numbers of variables none of which is below zero: smaller coefficients ask for less.

        Args:
            columns: The index of each column.
            own: Indices from here on are no variables of the model.
        Returns:
            None where it is too long, or says nothing without other columns.
        """
        is_own = columns[self.columns] < own
        if np.any(self.coefs[~is_own] < 0) or is_own.sum() > _MOST_TERMS:
            return None
        scale = next((scale for scale in _SCALES if _is_whole(scale * self.coefs)), None)
        if scale is not None:
            coefs, most = np.round(self.coefs * scale), math.floor(self.most * scale + _NEARLY)
        else:
            inexact = _LARGEST / np.abs(self.coefs).max()
            coefs, most = np.floor(self.coefs * inexact), math.floor(self.most * inexact) + 1
        vars_ = columns[self.columns[is_own]].tolist()
        return WholeRow(vars_, coefs[is_own].astype(np.int64).tolist(), most)


def _is_whole(values: Floats) -> bool:
    return bool(np.allclose(values, np.round(values), rtol=0, atol=_NEARLY))


def root_rows(lp: highspy.HighsLp, *, known_cents: float, limit_s: float, stop: Halt | None) -> list[RootRow]:
    """What HiGHS adds to rows whose columns are whole numbers, while its relaxation rises.

    Args:
        lp: The rows. Its columns become whole numbers.
        known_cents: What is dearer is not worth having. If HiGHS comes to something cheaper, rows may hold for what is
            cheaper than that alone, and none are given. In the costs of `lp`. [cents]
        limit_s: Wall-clock limit. [s]
    """
    lp.integrality_ = [highspy.HighsVarType.kInteger] * lp.num_col_
    highs = silent_highs()
    for option, value in (
        ("random_seed", 0),
        ("presolve", "off"),  # rows of another model would be of no use
        ("mip_detect_symmetry", False),  # of plans that are alike it may keep one alone
        ("mip_lp_solver", "ipm"),
        ("mip_max_nodes", 1),
        ("mip_heuristic_effort", 0.0),
        ("mip_heuristic_run_feasibility_jump", False),
        ("time_limit", max(0.01, limit_s)),
    ):
        highs.setOptionValue(option, value)
    if highs.passModel(lp) == highspy.HighsStatus.kError:
        raise RuntimeError("HiGHS refused the rows")
    found = _Found(lp.num_col_, known_cents, stop)
    highs.cbMipGetCutPool.subscribe(found.take)
    for working in (highs.cbMipInterrupt, highs.cbSimplexInterrupt, highs.cbIpmInterrupt):
        working.subscribe(found.working)
    highs.run()
    return found.rows


class _Found:
    """What HiGHS tells while it runs."""

    def __init__(self, columns: int, known_cents: float, stop: Halt | None) -> None:
        self._columns, self._known_cents, self._stop = columns, known_cents, stop
        self._is_done = False
        self.rows: list[RootRow] = []

    def take(self, event: Any) -> None:
        told = event.data_out
        if told.cutpool_num_col != self._columns:  # of a part of the model, that HiGHS tries to solve on the way
            return
        self._is_done = True
        if told.mip_primal_bound < self._known_cents:
            return
        ends = [*told.cutpool_start, len(told.cutpool_index)]
        columns, coefs = np.array(told.cutpool_index, dtype=np.int32), np.array(told.cutpool_value)
        least, most = np.array(told.cutpool_lower), np.array(told.cutpool_upper)
        for n in range(told.cutpool_num_cut):
            terms = slice(ends[n], ends[n + 1])
            if math.isfinite(most[n]):
                self.rows.append(RootRow(columns[terms], coefs[terms], float(most[n])))
            if math.isfinite(least[n]):
                self.rows.append(RootRow(columns[terms], -coefs[terms], -float(least[n])))

    def working(self, event: Any) -> None:
        if self._is_done or (self._stop is not None and self._stop.is_set()):
            event.data_in.user_interrupt = True
