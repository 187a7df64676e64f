"""Fuses against continuous load, cable and short circuit."""

from __future__ import annotations

CONTINUOUS_FACTOR = 1.25  # 125 % for continuous loads, NFPA 70 210.20(A)


def least_rating_a(design_a: float) -> float:
    """Smallest fuse rating that carries a continuous design current. [A]

    Source: NFPA 70 210.20(A).
    """
    return CONTINUOUS_FACTOR * design_a


def far_fault_a(nominal_v: float, fault_a: float, loop_ohm: float) -> float:
    """Current of a short at the far end of a run. [A]

    Args:
        nominal_v: Nominal voltage of the bus. [V]
        fault_a: Prospective short-circuit current at the panel. [A]
        loop_ohm: The run, out and back. [Ω]
    Source: planning rules 3 (far fault): the bus as a source of resistance nominal_v / fault_a.
    """
    return nominal_v / (nominal_v / fault_a + loop_ohm)
