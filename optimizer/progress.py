"""What a solve reports while it works."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """Best total so far and the proven bound; None while there is none yet."""

    best_cents: int | None
    bound_cents: int | None
    elapsed_s: float
