"""Plans that do without one seller's delivery, or pay one more: a step that a search around one plan hardly makes.

To leave a seller out most feeds with a part of his have to change at once. What pays among such plans is near what
their own relaxation buys, not near what the relaxation of all does, which pays half of a delivery: of a job of 24 loads
the search around that came to 288.34 in 4 s and to 285.53 in 8 s more; without one seller it found 275.29 in 4 s.
"""

from __future__ import annotations

import math

from optimizer.solve.best import Best
from optimizer.solve.cases import Cases
from optimizer.solve.fractional import Priced
from optimizer.solve.relaxing import Relaxation

NEAR_CENTS = 150.0  # what the relaxation of such plans prices no dearer is open
WORTH = 1.01  # plans are mostly so much dearer than their relaxation, at the least


class OtherSellers:
    """Each seller once with and once without, the one with the cheapest relaxation first."""

    def __init__(self, best: Best, relaxed: Relaxation, cases: Cases) -> None:
        self._best, self._relaxed, self._cases = best, relaxed, cases
        self._priced: dict[tuple[int, int], Priced | None] = {}
        self._searched: set[tuple[int, int]] = set()

    def next(self) -> dict[int, int] | None:
        """What is held in the next search: a seller used otherwise than by the best plan; None where none pays."""
        best = self._best
        others = {(var.index, 1 - best.solution[var.index]) for var in best.built.bought.used.values()}
        worth = {other: cents for other in others - self._searched if (cents := self._cents(other)) < best.cost_cents}
        if not worth:
            return None
        index, value = other = min(sorted(worth), key=worth.__getitem__)
        self._searched.add(other)
        priced = self._priced[other]
        assert priced is not None
        too_dear = self._relaxed.too_dear(best.cost_cents - 1, [])
        return {**too_dear, **self._cases.dear({index: (value, value)}, priced, NEAR_CENTS), index: value}

    def _cents(self, other: tuple[int, int]) -> float:
        """What such a plan costs at the least, and mostly does."""
        index, value = other
        if other not in self._priced:
            self._priced[other] = self._cases.priced({index: (value, value)})
        priced = self._priced[other]
        return math.inf if priced is None else WORTH * priced.cents
