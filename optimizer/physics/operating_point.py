"""The settled operating point of one circuit: what every place and load really sees at peak.

Solved from the circuit equations, so that it can be held against the optimizer's linear form. The bus is a voltage
source, the run a resistance, and at its end sit feeds of three kinds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from optimizer.physics import line

_STEPS = 200  # Newton on a convex curve needs about six; a double root halves its error each step
_CLOSE = 1e-14  # of the source voltage: a few units in the last place


class Draw(Protocol):
    """One feed as its place sees it. Currents are convex in the place voltage: settle() rests on that."""

    def current_a(self, place_v: float) -> float | None:
        """Current drawn at a place voltage; None where the feed cannot run at it. [A]"""

    def slope_a_per_v(self, place_v: float) -> float:
        """How the current changes with the place voltage. [A/V]"""

    def load_v(self, place_v: float) -> float | None:
        """Voltage at the load's own terminals; None where it cannot run. [V]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ConstantPower:
    """A load that takes the same power at any voltage, behind a lead."""

    load_w: float
    lead_ohm: float = 0.0

    def load_v(self, place_v: float) -> float | None:
        return line.constant_power_v(place_v, self.lead_ohm, self.load_w) if place_v > 0 else None

    def current_a(self, place_v: float) -> float | None:
        load_v = self.load_v(place_v)
        return None if load_v is None else self.load_w / load_v

    def slope_a_per_v(self, place_v: float) -> float:
        load_v = self.load_v(place_v)
        rest = 0.0 if load_v is None else load_v * load_v - self.lead_ohm * self.load_w
        return -self.load_w / rest if rest > 0 else -math.inf  # from V = v + R P / v


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistive:
    """A load that is a resistance, behind a lead."""

    load_ohm: float
    lead_ohm: float = 0.0

    def load_v(self, place_v: float) -> float | None:
        return line.resistive_v(place_v, self.lead_ohm, self.load_ohm)

    def current_a(self, place_v: float) -> float | None:
        return place_v / (self.load_ohm + self.lead_ohm)

    def slope_a_per_v(self, place_v: float) -> float:  # noqa: ARG002  the same at any voltage
        return 1 / (self.load_ohm + self.lead_ohm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Regulated:
    """A chain that holds its output voltage: constant power towards the place, its own lead and load behind it."""

    input_w: float
    out_v: float
    load: ConstantPower | Resistive

    def load_v(self, place_v: float) -> float | None:  # noqa: ARG002  regulated: the place voltage does not reach it
        return self.load.load_v(self.out_v)

    def current_a(self, place_v: float) -> float | None:
        return self.input_w / place_v if place_v > 0 else None

    def slope_a_per_v(self, place_v: float) -> float:
        return -self.input_w / (place_v * place_v)


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """Where a circuit settles."""

    place_v: float
    current_a: float


def total_current_a(draws: Sequence[Draw], place_v: float) -> float | None:
    """Current of all feeds at one place voltage; None where one of them cannot run at it. [A]"""
    currents_a = [draw.current_a(place_v) for draw in draws]
    return None if None in currents_a else math.fsum(a for a in currents_a if a is not None)


def settle(source_v: float, loop_ohm: float, draws: Sequence[Draw]) -> OperatingPoint | None:
    """Stable operating point of feeds at the end of one run; None where there is none.

    Args:
        source_v: At the head of the run, > 0. [V]
        loop_ohm: The run, out and back, ≥ 0. [Ω]
        draws: Every feed at the end of the run.
    Source: circuit theory, V + R I(V) = U. The left side is convex, so Newton's steps from V = U come down to its
        highest root, the stable one, without passing it; a step past the lowest point of the curve means no root.
    """
    place_v = source_v
    for _ in range(_STEPS):
        current_a = total_current_a(draws, place_v)
        slope = 1 + loop_ohm * sum(draw.slope_a_per_v(place_v) for draw in draws)
        if current_a is None or (loop_ohm and not slope > 0):
            return None
        excess_v = place_v + loop_ohm * current_a - source_v
        if excess_v <= _CLOSE * source_v:
            return OperatingPoint(place_v=place_v, current_a=current_a)
        place_v -= excess_v / slope
    return None
