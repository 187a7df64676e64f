"""What a conductor may carry as installed."""

from __future__ import annotations

import math

BASE_AMBIENT_C = 30.0
# loaded conductors bundled together, up to and including -> factor. NFPA 70 table 310.15(C)(1)
BUNDLING = ((3, 1.00), (6, 0.80), (9, 0.70), (20, 0.50), (30, 0.45), (40, 0.40))
BUNDLING_BEYOND = 0.35  # 41 and more, same table


def bundling_factor(bundled: int) -> float:
    """Share of its ampacity left to each of so many loaded conductors bundled together (fraction 0-1).

    Source: NFPA 70 table 310.15(C)(1).
    """
    return next((factor for upto, factor in BUNDLING if bundled <= upto), BUNDLING_BEYOND)


def ambient_factor(insulation_c: float, ambient_c: float) -> float:
    """Correction from the 30 °C table value to another ambient; 0 at or above the insulation's limit.

    Args:
        insulation_c: Temperature the insulation stands, > 30. [°C]
        ambient_c: Temperature around the cable. [°C]
    Source: NFPA 70 310.15(B), I' = I √((Tc − Ta') / (Tc − Ta)).
    """
    if ambient_c >= insulation_c:
        return 0.0
    return math.sqrt((insulation_c - ambient_c) / (insulation_c - BASE_AMBIENT_C))


def ampacity_a(base_ampacity_a: float, insulation_c: float, ambient_c: float, bundled: int) -> float:
    """Continuous current a conductor may carry as installed. [A]

    Args:
        base_ampacity_a: Table value at 30 °C, up to three loaded conductors together. [A]
        insulation_c: Temperature the insulation stands. [°C]
        ambient_c: Temperature around the cable. [°C]
        bundled: Loaded conductors bundled along the run, ≥ 1.
    Source: planning rules 3; NFPA 70 310.15(B) and (C)(1).
    """
    return base_ampacity_a * ambient_factor(insulation_c, ambient_c) * bundling_factor(bundled)
