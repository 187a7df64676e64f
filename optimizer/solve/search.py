"""Solves the model: cheapest first, then the tie-breaks of planning rules 6, each with the ones before it held."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from optimizer.by_hand import Answer
from optimizer.solve.around import LookAround
from optimizer.solve.beside import Beside
from optimizer.solve.best import Best, Report
from optimizer.solve.cases import Cases
from optimizer.solve.circuits import FEW_LOADS, is_restricted
from optimizer.solve.engine import hint, new_solver, solve
from optimizer.solve.model import PlanModel
from optimizer.solve.narrowed import Narrowed
from optimizer.solve.packing import Packed
from optimizer.solve.refuting import Refuting
from optimizer.solve.rules import average_terms, most_average
from optimizer.solve.settling import Settling
from optimizer.solve.sure_price import surely_spent_cents
from optimizer.solve.ties import Ties
from optimizer.solve.variables import Var, total, upper

_LARGEST = 1 << 60  # objective that the solver's whole numbers hold
JOINT_LIMIT = 20.0  # deterministic seconds for price and power together
LOADS_TO_LOOK = 8  # from which good solutions are looked for in parts of the model first


@dataclass(slots=True)
class Solved:
    """Outcome of a search; `value` reads a variable of the best solution, None where there is no solution."""

    status: str  # optimal, feasible, infeasible, unknown
    total_cents: int | None
    bound_cents: int | None
    value: Callable[[Var], int] | None
    packed: list[Packed] = field(default_factory=list)  # cuts from spools that the model knows by length only
    cheaper: Answer | None = None  # worked over by hand, below `total_cents` or where there is none


class Search:
    """One search, to be run once."""

    def __init__(
        self,
        built: PlanModel,
        time_limit_s: float | None,
        report: Report | None,
        stop: threading.Event | None = None,
        first: Answer | None = None,
        *,
        known_cents: int | None = None,
        by_price_alone: bool = False,
    ) -> None:
        """A search of a model.

        Args:
            first: Choices to start from, whether or not their plan holds.
            known_cents: What a plan that holds costs, already told to whoever listens: none dearer is looked for.
            by_price_alone: Any plan of the least price will do: no ties are broken.
        """
        self._built = built
        self._first = first
        self._by_price_alone = by_price_alone
        self._has_few_loads = len(built.v.instance.loads) <= FEW_LOADS
        self._best = Best(built, time_limit_s, report, stop, known_cents, is_worked_over=not self._has_few_loads)
        self._settling = Settling(self._best, few_loads=self._has_few_loads)
        self._ties = Ties(self._best, few_loads=self._has_few_loads)
        self._has_unfit = False
        self._cent = 1  # one cent in the joint objective
        self._asks_for_power = True
        self._has_power = False
        self._narrowed: Narrowed | None = None
        self._most_cents = math.inf  # beyond it the model that is asked says nothing

    def run(self) -> Solved:
        """Cheapest plan and, among the cheapest, the least average power; then the other tie-breaks.

        Price and power are one objective, price weighted above any power: that was measured several times faster
        than the least power under a fixed price.
        """
        best, instance = self._best, self._built.v.instance
        self._ask_for_price_and_power()
        if self._first is not None:
            self._settling.take(self._first)
        best.raise_bound(surely_spent_cents(instance))
        best.is_restricted = is_restricted(instance)
        status = self._cheapest()
        if status == cp_model.INFEASIBLE and not best.is_restricted:
            return Solved("infeasible", None, None, None)
        if not best.solution:
            return Solved("unknown", None, best.bound_cents, None, cheaper=best.worked_over)
        cents = best.cost_cents
        if status == cp_model.OPTIMAL and not best.is_restricted and best.undecided_cents is None:
            if not self._by_price_alone:
                self._leave_out_too_dear()
                self._ties.break_others()
            return Solved("optimal", cents, cents, best.value, best.packed)
        bound = min(best.bound_cents, cents)
        cheaper = best.worked_over if best.worked_over and best.worked_over.total_cents < cents else None
        return Solved("optimal" if bound == cents else "feasible", cents, bound, best.value, best.packed, cheaper)

    def _leave_out_too_dear(self) -> None:
        """Ties are broken without what no plan of the least price makes use of, where that is known."""
        if self._narrowed is not None:
            cp = self._built.cp
            for index, least in self._narrowed.too_dear().items():
                cp.add(cp.get_int_var_from_proto_index(index) == least)

    def _ask_for_price_and_power(self) -> None:
        cost, power = self._built.bought.cost, average_terms(self._built.v)
        self._cent = 1 + most_average(self._built.v)
        most_cents = sum(abs(coef) * upper(var) for coef, var in cost)
        if self._by_price_alone or self._cent * most_cents > _LARGEST:
            # prices too large to stand beside a power in one number
            self._cent, power, self._asks_for_power = 1, [], False
        self._built.cp.minimize(total([(self._cent * coef, var) for coef, var in cost] + power))

    def _cheapest(self) -> int:
        """The least price; then, where that is proven and did not bring it along, the least power."""
        status = self._jointly_or_by_price() if self._has_few_loads else self._by_price_looking_around()
        if status == cp_model.OPTIMAL and not self._has_power and self._best.undecided_cents is None:
            self._least_power()
        return status

    def _jointly_or_by_price(self) -> int:
        """Price and power together where that is proven soon; otherwise the price by HiGHS."""
        around, looks_first = LookAround(self._best, self._settling), len(self._built.v.instance.loads) >= LOADS_TO_LOOK
        if looks_first:
            relaxed = around.first()
            self._narrowed = None if relaxed is None else Narrowed(self._best, relaxed)
        status = self._until_cut(self._jointly)
        self._has_power = self._asks_for_power and status == cp_model.OPTIMAL
        if status not in (cp_model.FEASIBLE, cp_model.UNKNOWN) or self._best.is_over:
            return status
        if not looks_first:
            around.first()
        return self._until_cut(self._by_price)

    def _by_price_looking_around(self) -> int:
        """The whole model and, at the same time, what lies around the best solution so far."""
        best, around = self._best, LookAround(self._best, self._settling)
        relaxed = around.tightened(best.elapsed_s + best.left_s)
        if relaxed is None:
            is_over = best.is_over or best.halt.is_set()
            return int(cp_model.UNKNOWN) if is_over else self._until_cut(self._by_price)
        narrowed = Narrowed(best, relaxed)
        cases = Cases(best, narrowed, relaxed, self._settling.settle)
        refuting = Refuting(best, narrowed, cases)
        with Beside(lambda: around.on(relaxed, cases), best.ended):
            return self._until_cut(lambda: self._from_below(refuting))

    def _least_power(self) -> None:
        if not self._by_price_alone:
            self._ties.least_power()

    def _until_cut(self, ask: Callable[[], int]) -> int:
        """Asks until the answer can be cut as well, each time without what turned out not to fit."""
        while True:
            status = ask()
            if not self._has_unfit or self._best.is_over:
                is_answer = not self._has_unfit or status == cp_model.INFEASIBLE
                return status if is_answer else int(cp_model.FEASIBLE)

    def _jointly(self) -> int:
        best, cp = self._best, self._built.cp
        hint(cp, best.solution)
        narrow = self._narrowed.model() if self._narrowed else None
        self._most_cents = narrow.most_cents if narrow else math.inf
        left_s = max(0.01, best.left_s)
        solver = new_solver(limit_s=left_s, deterministic_limit=min(left_s, JOINT_LIMIT))
        status = solve(
            solver,
            narrow.model if narrow else cp,
            stop=best.stop,
            on_solution=_Reporter(self) if best.is_told else None,
            on_bound=self.better_bound if best.is_told else None,
        )
        if status == cp_model.MODEL_INVALID:
            raise RuntimeError(f"solver ended with {solver.status_name(status)}: {cp.validate()}")
        found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        if narrow and narrow.is_missing(status, solver.objective_value / self._cent if found else 0.0):
            self._has_unfit = False
            return int(cp_model.UNKNOWN)
        if status != cp_model.INFEASIBLE:
            self.better_bound(solver.best_objective_bound)
        self._keep(list(solver.response_proto.solution) if found else None)
        return status

    def _from_below(self, refuting: Refuting) -> int:
        outcome = refuting.run()
        self._has_unfit = False
        if outcome.status == cp_model.OPTIMAL:
            self._keep(outcome.solution)
        elif outcome.solution is not None:
            self._best.keeps(outcome.solution)
        return int(cp_model.OPTIMAL) if self._best.is_least else outcome.status

    def _by_price(self) -> int:
        found = self._best.least_by_highs()
        self._has_unfit = False
        if found.is_infeasible:
            return int(cp_model.INFEASIBLE)
        self._keep(found.solution)
        return int(cp_model.OPTIMAL if found.is_optimal or self._best.is_least else cp_model.FEASIBLE)

    def _keep(self, solution: list[int] | None) -> None:
        """Keeps a solution; where it cannot be cut, its circuits with what they take."""
        self._has_unfit = solution is not None and not self._best.consider(solution)
        if solution is not None and self._has_unfit:
            self._settling.settle(solution)

    def better_plan(self, objective: float, bound: float) -> None:
        """A better solution of price and power, which may yet turn out not to be cut."""
        if not self._built.bought.cutting.by_length:
            self._best.note(self._whole_cents(objective))
        self.better_bound(bound)

    def better_bound(self, bound: float) -> None:
        """A better bound of price and power."""
        self._best.raise_bound(int(min(self._whole_cents(bound), self._most_cents)))

    def _whole_cents(self, objective: float) -> int:
        """The cents in a value of the joint objective. A bound of 10.3 cents is one of 10.3 and so of 10 and power."""
        return max(0, math.floor(objective / self._cent))


class _Reporter(cp_model.CpSolverSolutionCallback):
    """Streams every better plan to whoever listens."""

    def __init__(self, search: Search) -> None:
        super().__init__()
        self._search = search

    def on_solution_callback(self) -> Any:
        self._search.better_plan(self.objective_value, self.best_objective_bound)
