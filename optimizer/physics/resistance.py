"""Conductor resistance."""

from __future__ import annotations

COPPER_PER_K = 0.00393  # 1/K at 20 °C, annealed copper, IEC 60228 (the same as 1 / (234.5 + 20), rounded)


def at_temperature_ohm(r20_ohm: float, conductor_c: float) -> float:
    """Resistance of copper at a conductor temperature. [Ω]

    Args:
        r20_ohm: Resistance at 20 °C, ≥ 0. [Ω]
        conductor_c: Temperature of the copper, not of the air. [°C]
    Source: planning rules 3, R(T) = R20 × (1 + 0.00393 × (T − 20)); IEC 60228.
    """
    return r20_ohm * (1 + COPPER_PER_K * (conductor_c - 20.0))


def loop_ohm(pair_ohm_per_km_20c: float, length_m: float, conductor_c: float) -> float:
    """Resistance out and back over a length one way. [Ω]

    Args:
        pair_ohm_per_km_20c: Sum of the two conductors' resistance at 20 °C. [Ω/km]
        length_m: One way, slack included, ≥ 0. [m]
        conductor_c: Temperature of the copper. [°C]
    Source: planning rules 3; IEC 60228.
    """
    return at_temperature_ohm(pair_ohm_per_km_20c * length_m / 1000, conductor_c)
