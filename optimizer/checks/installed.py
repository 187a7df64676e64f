"""What is left of a conductor's ampacity where it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.catalogue import Cable
from optimizer.physics import ampacity


@dataclass(frozen=True, kw_only=True)
class Installed:
    """A conductor as it lies: what the table gives it and what is left."""

    table_a: float
    ambient_c: float
    ambient_factor: float
    bundled: int
    bundling_factor: float
    ampacity_a: float


def installed(ambient_c: float, bundled: int, cables: Sequence[Cable]) -> Installed:
    """The weaker conductor of a pair as it lies along a run."""
    each = [
        Installed(
            table_a=cable.ampacity_a,
            ambient_c=ambient_c,
            ambient_factor=ampacity.ambient_factor(cable.insulation_c, ambient_c),
            bundled=bundled,
            bundling_factor=ampacity.bundling_factor(bundled),
            ampacity_a=ampacity.ampacity_a(cable.ampacity_a, cable.insulation_c, ambient_c, bundled),
        )
        for cable in cables
    ]
    return min(each, key=lambda one: one.ampacity_a)
