"""Conversions and integer scales: the only place where a number changes its unit.

Rounding is against us, demand up and capacity down, but where a search looks for ties (`Rounding`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

MM_PER_M = 1000
HOURS_PER_DAY = 24.0
FORGIVEN = 1e-9  # relative, by the checks: a limit that is met exactly holds, whatever binary fractions make of it
_TIE = FORGIVEN / 10
_FINEST = 10**9  # parts of a metre that decimal input can mean
_DUST = 1e-6  # binary fractions of decimal input: 2.93 m + 0.30 m must be 3,230 mm, not 3,231


def is_within(value: float, limit: float) -> bool:
    """Whether a value is at most a limit; an exact tie is, whatever binary fractions make of it."""
    return value <= limit or math.isclose(value, limit, rel_tol=_TIE, abs_tol=0.0)


def cut_mm(length_m: float) -> int:
    """Length of a cut to make, rounded up to the millimetre. [mm]"""
    return math.ceil(length_m * MM_PER_M - _DUST)


def stock_mm(length_m: float) -> int:
    """Length that a spool or offcut surely holds, rounded down to the millimetre. [mm]"""
    return math.floor(length_m * MM_PER_M + _DUST)


def step_mm(step_m: float) -> Fraction:
    """One step of cable sold by the metre, exact: a foot is 304.8 mm, and only what is bought is rounded. [mm]"""
    return Fraction(step_m).limit_denominator(_FINEST) * MM_PER_M


def steps_for(length_mm: int, step_m: float) -> int:
    """Fewest steps that together hold a length."""
    return -(-length_mm // step_mm(step_m))


def steps_mm(steps: int, step_m: float) -> int:
    """Length that so many steps surely hold in one piece, rounded down to the millimetre. [mm]"""
    return math.floor(steps * step_mm(step_m))


def scaled_up(value: float, scale: int) -> int:
    """A demand as an integer in 1/scale of its unit, never less than the value."""
    return math.ceil(value * scale - _DUST)


def scaled_down(value: float, scale: int) -> int:
    """A capacity as an integer in 1/scale of its unit, never more than the value."""
    return math.floor(value * scale + _DUST)


@dataclass(frozen=True, slots=True)
class Rounding:
    """Which way the terms of a sum and its limit become whole numbers.

    Against us, whatever passes is allowed, but an exact tie of several terms is not seen: three times 10/3 A come to
    more than 10 A. With us, whatever is allowed passes, and what passes must be looked at without rounding.
    """

    against_us: bool

    def demand(self, value: float, scale: int) -> int:
        """A term, in 1/scale of its unit."""
        return scaled_up(value, scale) if self.against_us else scaled_down(value, scale)

    def capacity(self, value: float, scale: int) -> int:
        """A limit, in 1/scale of its unit."""
        return scaled_down(value, scale) if self.against_us else scaled_up(value, scale)


AGAINST_US, WITH_US = Rounding(against_us=True), Rounding(against_us=False)
