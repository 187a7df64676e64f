"""Weights of cuts that no spool holds more than one whole of: rows that every way of cutting obeys.

A weight for each length such that the cuts of any one spool weigh at most 1 together (a dual solution of Gilmore and
Gomory's relaxation, 1961). What all cuts weigh is then no more than the number of spools.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import gcd

import highspy
import numpy as np

from optimizer.solve.highs import silent_highs

_SCALES = (12, 60, 1000, 100_000)  # whole numbers to write weights in, small ones first
_NEARLY = 1e-6
_MOST_PATTERNS = 400


@dataclass(frozen=True, slots=True)
class Weights:
    """Sum of weight * cuts <= capacity * spools, for all cuts of one stock length."""

    weight: dict[int, int]  # by length [mm]
    capacity: int


def weights_against(
    stock_mm: int, wanted: Mapping[int, float], spools: float, lengths_mm: Sequence[int]
) -> Weights | None:
    """The row that cuts wanted from too few spools break by most; None where none of this kind does.

    Args:
        stock_mm: Length of a spool.
        wanted: Cuts by length, fractions allowed. [mm] -> count
        spools: How many spools there are, fractions allowed.
        lengths_mm: All lengths that the row is to be about.
    """
    lengths = sorted(mm for mm in lengths_mm if mm <= stock_mm)
    share = _heaviest(stock_mm, lengths, np.array([wanted.get(mm, 0.0) for mm in lengths]))
    for scale in _SCALES:
        whole = np.maximum.accumulate(np.floor(share * scale + _NEARLY)).astype(np.int64)
        capacity = int(_fullest(stock_mm, lengths, whole.astype(float))[0])
        weighed = sum(int(w) * wanted.get(mm, 0.0) for w, mm in zip(whole, lengths, strict=True))
        if capacity and weighed > capacity * spools + _NEARLY * capacity:
            return Weights({mm: int(w) for w, mm in zip(whole, lengths, strict=True) if w}, capacity)
    return None


def _heaviest(stock_mm: int, lengths: Sequence[int], wanted: np.ndarray) -> np.ndarray:
    """Weights under which what is wanted weighs most, found pattern by pattern."""
    highs = silent_highs()
    for n, mm in enumerate(lengths):
        highs.addVar(0.0, 1.0 / (stock_mm // mm))
        highs.changeColCost(n, -float(wanted[n]))
    weight = np.zeros(len(lengths))
    for _ in range(_MOST_PATTERNS):
        highs.run()
        weight = np.array(highs.getSolution().col_value)
        most, counts = _fullest(stock_mm, lengths, weight)
        if most <= 1 + _NEARLY:
            break
        used = np.flatnonzero(counts).astype(np.int32)
        highs.addRow(-highspy.kHighsInf, 1.0, len(used), used, counts[used].astype(float))
    else:
        return np.zeros(len(lengths))
    return weight


def _fullest(stock_mm: int, lengths: Sequence[int], weight: np.ndarray) -> tuple[float, np.ndarray]:
    """The heaviest cuts of one spool: an unbounded knapsack, a block of a length at a time."""
    step = gcd(stock_mm, *lengths)
    room, size = stock_mm // step, [mm // step for mm in lengths]
    best = np.zeros(room + 1)
    last = np.full(room + 1, -1, dtype=np.int32)
    for n, (mm, one) in enumerate(zip(size, weight, strict=True)):
        if one <= 0:
            continue
        for start in range(mm, room + 1, mm):
            end = min(start + mm, room + 1)
            heavier = best[start - mm : end - mm] + one
            better = heavier > best[start:end]
            best[start:end][better] = heavier[better]
            last[start:end][better] = n
    counts = np.zeros(len(lengths), dtype=np.int64)
    at = room
    while at >= 0 and last[at] >= 0:
        counts[last[at]] += 1
        at -= size[last[at]]
    return float(best[room]), counts
