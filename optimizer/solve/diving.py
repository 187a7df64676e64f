"""CP-SAT asked for what is cheaper than a solution, with part of the model held.

It starts at the solution and learns from what it tries: of more than twelve loads it finds in seconds what HiGHS, which
learns nothing, did not find in a minute.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from optimizer.solve.best import Best
from optimizer.solve.engine import hint, new_solver, solve
from optimizer.solve.rows import Solution
from optimizer.solve.variables import total

_NO_LIMIT = 1e9  # deterministic seconds: the clock is what ends it


@dataclass(frozen=True, slots=True)
class Dive:
    """What a question came to."""

    solution: Solution | None  # cheaper than the one it began with
    is_ended: bool  # before its time was up: in that part nothing is cheaper


class Diving:
    """Questions about one model, each asked in another order."""

    def __init__(self, best: Best) -> None:
        self._best = best
        self._asked = 0

    def below(
        self,
        solution: Solution,
        held: Mapping[int, int],
        *,
        limit_s: float,
        on_solution: Callable[[Solution], Any] = lambda _: None,
    ) -> Dive:
        """The cheapest that is found below a solution.

        Args:
            held: Values that some variables keep, by index: those of the solution.
            limit_s: Wall-clock limit. [s]
            on_solution: Called with every cheaper solution, the last one included.
        """
        best, cost = self._best, self._best.built.bought.cost
        with best.lock:
            model = best.built.cp.clone()
        for index, value in held.items():
            model.add(model.get_int_var_from_proto_index(index) == value)
        hint(model, solution)
        model.minimize(total(cost))
        solver = new_solver(limit_s=max(0.01, min(limit_s, best.left_s)), deterministic_limit=_NO_LIMIT)
        solver.parameters.random_seed = self._asked
        self._asked += 1
        cheaper = _Cheaper(best.cents_of, best.cents_of(solution), on_solution)
        status = solve(solver, model, stop=best.halt, on_solution=cheaper)
        return Dive(cheaper.solution, is_ended=status in (cp_model.OPTIMAL, cp_model.INFEASIBLE))


class _Cheaper(cp_model.CpSolverSolutionCallback):
    """Keeps the cheapest solution and tells of each cheaper one."""

    def __init__(self, cents_of: Callable[[Solution], int], cents: int, tell: Callable[[Solution], Any]) -> None:
        super().__init__()
        self.solution: Solution | None = None
        self._cents_of, self._cents, self._tell = cents_of, cents, tell

    def on_solution_callback(self) -> Any:
        solution = list(self.response_proto.solution)
        cents = self._cents_of(solution)
        if cents < self._cents:
            self.solution, self._cents = solution, cents
            self._tell(solution)
