"""A load behind a resistive line: what it sees and what it draws."""

from __future__ import annotations

import math


def constant_power_v(source_v: float, loop_ohm: float, load_w: float) -> float | None:
    """Voltage that a constant-power load sees behind a line; None where the line cannot carry it. [V]

    Args:
        source_v: At the head of the line, > 0. [V]
        loop_ohm: Out and back, ≥ 0. [Ω]
        load_w: Power of the load, ≥ 0. [W]
    Source: circuit theory, V = (U + √(U² − 4 R P)) / 2, the stable root.
    """
    square = source_v * source_v - 4 * loop_ohm * load_w
    return None if square < 0 else (source_v + math.sqrt(square)) / 2


def resistive_v(source_v: float, loop_ohm: float, load_ohm: float) -> float:
    """Voltage that a resistive load sees behind a line. [V]

    Source: circuit theory, V = U r / (r + R).
    """
    return source_v * load_ohm / (load_ohm + loop_ohm)
