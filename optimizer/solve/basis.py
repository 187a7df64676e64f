"""The basis of a relaxation, by what its columns and rows say: other rows of the same model begin there.

To solve the relaxation of a job of many loads from nothing takes seconds; from there its rows are solved as they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import highspy
import numpy as np

from optimizer.arrays import Ints
from optimizer.solve.columns import Columns

Status = highspy.HighsBasisStatus


@dataclass(frozen=True, slots=True, eq=False)
class Basis:
    """What lies at an end of its span and what in between."""

    own: int  # variables of the model then; the further columns come after them
    columns: list[Status]
    rows: dict[int, Status]  # by key

    def set_in(self, highs: highspy.Highs, columns: Sequence[int], own: int, rows: Sequence[int]) -> bool:
        """Whether some columns and rows of the model, which may have grown, can begin here: what is new lies free.

        Args:
            columns: Their indices.
            own: Variables of the model by now.
            rows: Their keys; fewer than there are where the last ones are in no model.
        """
        basis = highspy.HighsBasis()
        basis.col_status = [self._column(index, own) for index in columns]
        known = [self.rows.get(key, Status.kBasic) for key in rows]
        basis.row_status = [*known, *([Status.kBasic] * (highs.getNumRow() - len(known)))]
        basis.valid = True
        return bool(highs.setBasis(basis) == highspy.HighsStatus.kOk)

    def _column(self, index: int, own: int) -> Status:
        before = index if index < self.own else index - own + self.own if index >= own else len(self.columns)
        return self.columns[before] if before < len(self.columns) else Status.kLower


def basis_of(highs: highspy.Highs, columns: Columns, added: Ints) -> Basis:
    """Where a relaxation was left.

    Args:
        columns: The columns and the first rows of it.
        added: Keys of the rows that were added.
    """
    found = highs.getBasis()
    keys = np.concatenate([columns.row_keys, added])
    return Basis(columns.own, list(found.col_status), dict(zip(keys.tolist(), found.row_status, strict=True)))
