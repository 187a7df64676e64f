"""What a bank can deliver on average over the autonomy asked for."""

from __future__ import annotations


def average_current_a(
    *, capacity_ah: float, usable_fraction: float, rated_hours: float, peukert: float, autonomy_h: float
) -> float:
    """Largest average current that the usable share of a bank sustains for the autonomy. [A]

    Args:
        capacity_ah: Rated capacity counted on, derating included. [Ah]
        usable_fraction: Share that may be drawn, 0-1.
        rated_hours: Discharge time at which the capacity is rated. [h]
        peukert: Peukert's exponent, ≥ 1.
        autonomy_h: Time to last without charging, > 0. [h]
    Source: planning rules 4; Peukert's law in its rated-hour form, t = H (C / (I H))^k. No credit is taken
        for a discharge slower than rated.
    """
    current_a = usable_fraction * capacity_ah / autonomy_h
    if autonomy_h < usable_fraction * rated_hours:
        peukert_a = (capacity_ah / rated_hours) * (usable_fraction * rated_hours / autonomy_h) ** (1 / peukert)
        current_a = min(current_a, peukert_a)
    return current_a


def hours_at(
    *, capacity_ah: float, usable_fraction: float, rated_hours: float, peukert: float, current_a: float
) -> float:
    """How long the usable share of a bank lasts at an average current. [h]

    The inverse of average_current_a; the arguments are the same, current_a > 0. [A]
    """
    plain_h = usable_fraction * capacity_ah / current_a
    peukert_h = usable_fraction * rated_hours * (capacity_ah / (rated_hours * current_a)) ** peukert
    return min(plain_h, peukert_h) if plain_h < usable_fraction * rated_hours else plain_h
