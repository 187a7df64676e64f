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
    stock_mm: int, wanted: Mapping[int, float], spools: float, most: Mapping[int, int]
) -> Weights | None:
    """The row that cuts wanted from too few spools break by most; None where none of this kind does.

    Args:
        stock_mm: Length of a spool.
        wanted: Cuts by length, fractions allowed. [mm] -> count
        spools: How many spools there are, fractions allowed.
        most: All lengths that the row is to be about, and how many cuts of each there can be. [mm] -> count
    """
    lengths = sorted(mm for mm in most if mm <= stock_mm)
    each = [min(most[mm], stock_mm // mm) for mm in lengths]
    share = _heaviest(stock_mm, lengths, each, np.array([wanted.get(mm, 0.0) for mm in lengths]))
    for scale in _SCALES:
        whole = np.floor(share * scale + _NEARLY).astype(np.int64)
        capacity = int(_fullest(stock_mm, lengths, each, whole.astype(float))[0])
        weighed = sum(int(w) * wanted.get(mm, 0.0) for w, mm in zip(whole, lengths, strict=True))
        if capacity and weighed > capacity * spools + _NEARLY * capacity:
            whole = _lifted(stock_mm, lengths, each, whole, capacity)
            return Weights({mm: int(w) for w, mm in zip(whole, lengths, strict=True) if w}, capacity)
    return None


def _lifted(
    stock_mm: int, lengths: Sequence[int], each: Sequence[int], weight: np.ndarray, capacity: int
) -> np.ndarray:
    """Each length as heavy as it can be while no spool holds more: so the row holds what nobody wanted so far as well.

    The longest first (sequential lifting of Padberg, 1975).
    """
    weight, step = weight.copy(), gcd(stock_mm, *lengths)
    for n in reversed(range(len(lengths))):
        others = weight.astype(float)
        others[n] = 0.0
        beside, _ = _knapsack(stock_mm, lengths, each, others)
        left = (int(capacity - beside[(stock_mm - k * lengths[n]) // step]) // k for k in range(1, each[n] + 1))
        weight[n] = max(weight[n], min(left, default=0))
    return weight


def _heaviest(stock_mm: int, lengths: Sequence[int], each: Sequence[int], wanted: np.ndarray) -> np.ndarray:
    """Weights under which what is wanted weighs most, found pattern by pattern."""
    highs = silent_highs()
    for n, fitting in enumerate(each):
        highs.addVar(0.0, 1.0 / max(1, fitting))
        highs.changeColCost(n, -float(wanted[n]))
    weight = np.zeros(len(lengths))
    for _ in range(_MOST_PATTERNS):
        highs.run()
        weight = np.array(highs.getSolution().col_value)
        most, counts = _fullest(stock_mm, lengths, each, weight)
        if most <= 1 + _NEARLY:
            break
        used = np.flatnonzero(counts).astype(np.int32)
        highs.addRow(-highspy.kHighsInf, 1.0, len(used), used, counts[used].astype(float))
    else:
        return np.zeros(len(lengths))
    return weight


def _fullest(
    stock_mm: int, lengths: Sequence[int], each: Sequence[int], weight: np.ndarray
) -> tuple[float, np.ndarray]:
    """The heaviest cuts of one spool, of each length no more than there can be."""
    heaviest, taken = _knapsack(stock_mm, lengths, each, weight)
    counts = np.zeros(len(lengths), dtype=np.int64)
    at = len(heaviest) - 1
    for n, size, heavier in reversed(taken):
        if heavier[at]:
            counts[n] += 1
            at -= size
    return float(heaviest[-1]), counts


def _knapsack(
    stock_mm: int, lengths: Sequence[int], each: Sequence[int], weight: np.ndarray
) -> tuple[np.ndarray, list[tuple[int, int, np.ndarray]]]:
    """The heaviest cuts by room, and piece by piece in which rooms one more of a length is heavier than none.

    Rooms and sizes are in steps of the greatest common divisor of all lengths.
    """
    step = gcd(stock_mm, *lengths)
    heaviest = np.zeros(stock_mm // step + 1)
    taken: list[tuple[int, int, np.ndarray]] = []
    for n, (mm, most, one) in enumerate(zip(lengths, each, weight, strict=True)):
        size = mm // step
        for _ in range(most if one > 0 else 0):
            with_one = heaviest[:-size] + one
            heavier = np.zeros(len(heaviest), dtype=bool)
            heavier[size:] = with_one > heaviest[size:]
            if not heavier.any():
                break
            heaviest[size:] = np.maximum(heaviest[size:], with_one)
            taken.append((n, size, heavier))
    return heaviest, taken
