"""The run behind stages that stand at the panel (additions 2), worked out afresh from the job and the catalogue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.catalogue import Cable
from optimizer.job import Limits
from optimizer.physics import line, resistance


@dataclass(frozen=True, kw_only=True)
class RunFacts:
    """A conductor pair from a converter at the panel to the place."""

    cables: tuple[Cable, ...]
    length_m: float  # one way, slack included
    source_v: float  # what the stages at the panel put out; NaN where they fix none
    loop_ohm: float  # out and back, warm, joints included

    def place_v(self, place_w: float) -> float | None:
        """Voltage at the place while it takes a constant power; None where the run cannot carry that. [V]"""
        return line.constant_power_v(self.source_v, self.loop_ohm, place_w) if math.isfinite(place_w) else None

    def into_w(self, place_w: float) -> float:
        """Power into the run for a constant power at the place, what the run loses included. [W]"""
        place_v = self.place_v(place_w)
        return self.source_v * place_w / place_v if place_v else math.inf


def run_ohm(cables: Sequence[Cable], length_m: float, limits: Limits) -> float:
    """Loop of a run: both conductors warm, and the joints at its ends. [Ω]"""
    wire_ohm = resistance.loop_ohm(pair_ohm_per_km(cables), length_m, limits.conductor_c)
    return wire_ohm + limits.joint_mohm / 1000


def pair_ohm_per_km(cables: Sequence[Cable]) -> float:
    """Sum of the going and the returning conductor at 20 °C. [Ω/km]"""
    return sum(cable.ohm_per_km_20c * cable.cores for cable in cables)
