"""The price of many loads: CP-SAT raises the bound over what no relaxation rules out by its price.

Measured on jobs of 24 and 50 loads, it gets further in a minute than HiGHS with the whole model.
"""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from optimizer.solve.beside import AnyOf
from optimizer.solve.best import Best
from optimizer.solve.engine import hint, new_solver, solve
from optimizer.solve.linear import Relaxation
from optimizer.solve.variables import total

_FEWER = 0.8  # once no more than so much of the variables would be left open, the model is asked anew
_NO_LIMIT = 1e9  # deterministic seconds: the clock is what ends it
_CENT = 1e-4  # a bound this close below a whole cent is that cent


class Narrowed:
    """The model without what is too dear for any plan no dearer than the cheapest one known."""

    def __init__(self, best: Best, relaxed: Relaxation) -> None:
        self.best, self._relaxed = best, relaxed

    def least_price(self) -> tuple[int, list[int] | None]:
        """A status of CP-SAT's and, where there is one, a solution of the model as it was at the end.

        The better the plans that others find meanwhile, the less is left: then it is asked anew.
        """
        while True:
            status, solution = self._ask()
            is_answer = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
            if is_answer or self.best.is_over or self.best.halt.is_set():
                return status, solution

    def _ask(self) -> tuple[int, list[int] | None]:
        best = self.best
        with best.lock:
            known, model, too_dear, left = best.solution, best.built.cp.clone(), self.too_dear(), self.left()
            most_cents = math.inf if best.cents is None else best.cents  # beyond it the model says nothing
        for index, least in too_dear.items():
            model.add(model.get_int_var_from_proto_index(index) == least)
        model.minimize(total(best.built.bought.cost))
        hint(model, known)
        solver = new_solver(limit_s=max(0.01, best.left_s), deterministic_limit=_NO_LIMIT, for_bound=True)

        def better_bound(cents: float) -> None:
            if math.isfinite(cents):
                best.raise_bound(max(0, math.ceil(min(cents, most_cents) - _CENT)))

        stop = AnyOf(best.halt, _Outdated(self, left))
        status = solve(solver, model, stop=stop, on_bound=better_bound)
        has_solution = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        is_none_so_cheap = status == cp_model.INFEASIBLE and bool(too_dear)
        if is_none_so_cheap or (status == cp_model.OPTIMAL and solver.objective_value > most_cents):
            # what is known at that price is no solution of this model, and nothing cheaper is
            best.raise_bound(int(most_cents))
            best.ended.set()
            return int(cp_model.UNKNOWN), None
        if has_solution:
            better_bound(solver.best_objective_bound)
        return status, list(solver.response_proto.solution) if has_solution else None

    def too_dear(self) -> dict[int, int]:
        """Variables that no plan as cheap as the cheapest one known makes use of, with their least values."""
        cents = self.best.cents
        return {} if cents is None else self._relaxed.too_dear(cents, self.best.solution)

    def left(self) -> int:
        """How many variables would be open by now."""
        with self.best.lock:
            return len(self.best.built.cp.proto.variables) - len(self.too_dear())


class _Outdated:
    """Set once far fewer variables would be left open."""

    def __init__(self, narrowed: Narrowed, left: int) -> None:
        self._narrowed, self._most = narrowed, _FEWER * left
        self._looked_at = narrowed.best.cents
        self._is_set = False

    def is_set(self) -> bool:
        if self._narrowed.best.cents != self._looked_at:
            self._looked_at = self._narrowed.best.cents
            self._is_set = self._narrowed.left() <= self._most
        return self._is_set
