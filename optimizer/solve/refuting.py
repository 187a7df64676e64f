"""The least price from below: that anything is cheaper than the plan known is refuted, then that plan is asked for."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimizer.solve.best import Best
from optimizer.solve.cases import Cases, Outcome, ask
from optimizer.solve.narrowed import Narrowed


class Refuting:
    """One search for the least price, from below."""

    def __init__(self, best: Best, narrowed: Narrowed, cases: Cases) -> None:
        self._best, self._narrowed, self._cases = best, narrowed, cases

    def run(self) -> Outcome:
        """The least price, or what is known once somebody asks to stop. May be asked again for a changed model."""
        best = self._best
        while True:
            if best.cents is not None:
                self._cases.work()
            if best.is_over or best.halt.is_set():
                return Outcome(int(cp_model.UNKNOWN))
            outcome = ask(best, self._narrowed.model(), best.left_s, best.bound_cents, best.raise_bound)
            if outcome.status in (cp_model.OPTIMAL, cp_model.INFEASIBLE) or best.is_over or best.halt.is_set():
                return outcome
            if outcome.solution is not None:
                best.keeps(outcome.solution)
