"""Solves the model: cheapest first, then the tie-breaks of planning rules 6, each with the ones before it held."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from optimizer.progress import Progress
from optimizer.solve.circuits import MOST_BY_SETS
from optimizer.solve.demands import DEMANDS
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.instance import Instance
from optimizer.solve.joined_circuits import JOINED_CIRCUIT_RULES
from optimizer.solve.purchases import Buying, Purchases
from optimizer.solve.rules import RULES, Rule, average_terms, most_average
from optimizer.solve.variables import Term, Var, Variables, total, upper
from optimizer.solve.whole_circuits import WHOLE_CIRCUIT_RULES

Report = Callable[[Progress], None]
NO_LIMIT_S = 1e6
TIE_LIMIT = 8.0  # deterministic seconds for each tie-break after price and power; then the best so far stands


@dataclass(slots=True)
class PlanModel:
    """A built model with the handles needed to solve and to read it."""

    cp: cp_model.CpModel
    v: Variables
    bought: Purchases


@dataclass(slots=True)
class Solved:
    """Outcome of a search; `value` reads a variable of the best solution, None where there is no solution."""

    status: str  # optimal, feasible, infeasible, unknown
    total_cents: int | None
    bound_cents: int | None
    value: Callable[[Var], int] | None


def build_model(instance: Instance, without: Iterable[Rule] = (), most_by_sets: int = MOST_BY_SETS) -> PlanModel:
    """The model of an instance, optionally without some rules, to find out which stand in the way."""
    cp = cp_model.CpModel()
    v = Variables(cp, instance, most_by_sets)
    left_out = set(without)
    for rule in (*WHOLE_CIRCUIT_RULES, *JOINED_CIRCUIT_RULES, *RULES, *DEMANDS):
        if rule not in left_out:
            rule(cp, v)
    bought = Buying(cp, v).build()
    return PlanModel(cp, v, bought)


class Search:
    """One search: keeps the clock, the limits and the best solution so far."""

    def __init__(
        self,
        built: PlanModel,
        time_limit_s: float | None,
        report: Report | None,
        stop: threading.Event | None = None,
    ) -> None:
        self._built = built
        self._stop = stop
        self._limit_s = time_limit_s or NO_LIMIT_S
        self._report = report
        self._start_s = time.monotonic()
        self._solution: list[int] = []
        self._best_cents: int | None = None
        self._cent = 1  # one cent in the joint objective

    def run(self) -> Solved:
        """Cheapest plan and, among the cheapest, the least average power; then the other tie-breaks.

        Price and power are one objective, price weighted above any power: that was measured several times faster
        than the least power under a fixed price.
        """
        cp, cost, power = self._built.cp, self._built.bought.cost, average_terms(self._built.v)
        self._cent = 1 + most_average(self._built.v)
        both = [(self._cent * coef, var) for coef, var in cost] + power
        cp.minimize(total(both))
        solver = self._solver()
        status = solve(
            solver,
            cp,
            stop=self._stop,
            on_solution=_Reporter(self) if self._report else None,
            on_bound=self._better_bound if self._report else None,
        )
        if status == cp_model.INFEASIBLE:
            return Solved("infeasible", None, None, None)
        if status == cp_model.UNKNOWN:
            return Solved("unknown", None, None, None)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise RuntimeError(f"solver ended with {solver.status_name(status)}: {cp.validate()}")
        self._keep(solver)
        best = sum(coef * self._value(var) for coef, var in cost)
        if status == cp_model.FEASIBLE:
            bound = self._whole_cents(solver.best_objective_bound)
            status_word = "optimal" if bound >= best else "feasible"
            return Solved(status_word, best, min(bound, best), self._value)
        cp.add(total(cost) <= best)
        self._hold_power_of_each_load()
        self._break_ties()
        return Solved("optimal", best, best, self._value)

    def _whole_cents(self, objective: float) -> int:
        """The cents in a value of the joint objective. A bound of 10.3 cents is one of 10.3 and so of 10 and power."""
        return max(0, math.floor(objective / self._cent))

    def _hold_power_of_each_load(self) -> None:
        """Leaves every load the feeds that draw exactly as much as its feed in the plan at hand."""
        v, cp = self._built.v, self._built.cp
        for load in v.instance.loads:
            for var in v.ac(load):
                cp.add(var == self._value(var))
            feeds = list(v.all_feeds(load))
            chosen_w = [option.average_w for option, var in feeds if self._value(var)]
            for option, var in feeds:
                if option.average_w not in chosen_w:
                    cp.add(var == 0)

    def _break_ties(self) -> None:
        """Least fuse ratings and, among those, fewest order lines; then smallest ids."""
        lines = self._order_lines()
        first = lines + [((1 + len(lines)) * coef, var) for coef, var in self._fuse_total()]
        for objective in (first, self._id_order()):
            cp = self._built.cp
            cp.minimize(total(objective))
            cp.clear_hints()  # type: ignore[no-untyped-call]
            for n, value in enumerate(self._solution):
                cp.add_hint(cp.get_int_var_from_proto_index(n), value)
            solver = self._solver(TIE_LIMIT)
            if solve(solver, cp, stop=self._stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return
            self._keep(solver)
            cp.add(total(objective) <= round(solver.objective_value))

    def _fuse_total(self) -> list[Term]:
        """Fuse ratings of all circuits. [1/10 A]"""
        v = self._built.v
        return [(round(rating * 10), var) for circuit in v.circuits for rating, var in v.ratings(circuit)]

    def _order_lines(self) -> list[Term]:
        cp, bought = self._built.cp, self._built.bought
        lines: list[Term] = []
        for name, quantity in sorted({**bought.quantity, **bought.filler}.items()):
            line = cp.new_bool_var(f"line[{name}]")
            cp.add(quantity <= upper(quantity) * line)
            lines.append((1, line))
            self._solution.append(int(self._solution[quantity.index] > 0))
        return lines

    def _id_order(self) -> list[Term]:
        """Smallest fuse first, then thinnest pair, then feeds and offers in the order of their ids."""
        v, bought = self._built.v, self._built.bought
        terms: list[Term] = []
        for load in v.instance.loads:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.all_feeds(load))]
        for circuit in v.circuits:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.pairs(circuit))]
        terms += [(rank, var) for rank, (_, var) in enumerate(v.bank)]
        terms += [(rank, bought.quantity[offer]) for rank, offer in enumerate(sorted(bought.quantity))]
        return terms

    # -- solver ---------------------------------------------------------------------------------------------------

    def _solver(self, most: float = NO_LIMIT_S) -> cp_model.CpSolver:
        """A solver for the time that is left, and for at most so much work in deterministic seconds."""
        left_s = max(0.01, self._limit_s - self.elapsed_s())
        return new_solver(limit_s=left_s, deterministic_limit=min(left_s, most))

    def _keep(self, solver: cp_model.CpSolver) -> None:
        self._solution = list(solver.response_proto.solution)

    def _value(self, var: Var) -> int:
        return self._solution[var.index]

    def elapsed_s(self) -> float:
        return time.monotonic() - self._start_s

    def better_plan(self, best: float, bound: float) -> None:
        self._best_cents = self._whole_cents(best)
        self._better_bound(bound)

    def _better_bound(self, bound: float) -> None:
        if self._report is not None:
            bound_cents = self._whole_cents(bound)
            self._report(Progress(best_cents=self._best_cents, bound_cents=bound_cents, elapsed_s=self.elapsed_s()))


class _Reporter(cp_model.CpSolverSolutionCallback):
    """Streams every better plan to whoever listens."""

    def __init__(self, search: Search) -> None:
        super().__init__()
        self._search = search

    def on_solution_callback(self) -> Any:
        self._search.better_plan(self.objective_value, self.best_objective_bound)
