"""What to buy, decided before what it is for: the model where only purchases and circuits laid must be whole.

What is bought together decides the price; feeds, conductors and fuses between which a plan could be split in halves
raise it by little. Left as fractions they are not branched on, and the bound of jobs of 24 loads rises faster. What
such a solution buys is also nearly what the cheapest plan buys: the model with nothing else on sale is solved within
seconds.
"""

from __future__ import annotations

from collections.abc import Callable

from optimizer.solve.best import Best
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Floats, Solution

WITHIN_S, CLOSE = 3.0, 5e-4  # time for the model with what one solution buys on sale, relative gap
WORTH_CENTS = 5.0  # a solution that is cheaper by less is not looked into

Take = Callable[[Solution], None]


class BoughtFirst:
    """One search of what to buy."""

    def __init__(self, best: Best, relaxed: Relaxation, take: Take) -> None:
        """take: Takes a solution of the whole model if it is better than the best one and can be cut."""
        self._best, self._relaxed, self._take = best, relaxed, take
        self._looked_at = float("inf")  # price of the solution that was looked into last [cents]

    def run(self, limit_s: float) -> None:
        """Raises the bound and looks into what each better solution buys, until it is solved or time is up. [s]"""
        best = self._best
        assert best.cents is not None
        best.linear().least_partly_whole(
            self.whole(),
            self._relaxed.too_dear(best.cents, []),
            most_cents=best.cents,
            limit_s=limit_s,
            stop=best.halt,
            on_solution=self._look_into,
            on_bound=best.raise_bound,
        )

    def whole(self) -> set[int]:
        """The variables that must be whole: all that cost something, and the circuits."""
        built = self._best.built
        priced = {var.index for _, var in built.bought.cost}
        return priced | {var.index for circuit in built.v.whole for var in built.v.opened(circuit)}

    def _look_into(self, values: Floats) -> None:
        """The whole model with nothing on sale but what these values, or the best solution, buy."""
        best, linear = self._best, self._best.linear()
        cents = float(linear.whole.cost @ values[: len(linear.whole.cost)])
        if best.is_over or cents >= best.cost_cents or cents > self._looked_at - WORTH_CENTS:
            return
        self._looked_at = cents
        offers = [var.index for var in best.built.bought.quantity.values()]
        unsold = {index: 0 for index in offers if values[index] < 0.5 and not best.solution[index]}
        held = self._relaxed.too_dear(best.cost_cents, best.solution) | unsold
        found = linear.look(
            held, limit_s=min(WITHIN_S, best.left_s), stop=best.halt, close=CLOSE, below_cents=best.cost_cents
        )
        if found is not None:
            self._take(found)
