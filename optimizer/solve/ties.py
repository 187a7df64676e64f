"""The tie-breaks of planning rules 6 after the price, each with the ones before it held and a fixed amount of work."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimizer.solve.best import Best
from optimizer.solve.engine import hint, new_solver, solve
from optimizer.solve.rules import average_terms
from optimizer.solve.variables import Term, total, upper

# deterministic seconds for power at a proven price, and for fuse ratings and order lines after; then the best stands
LIMIT = 1.0
LIMIT_LARGE = 0.5  # the same for more loads, where neither is proven in any time worth waiting for
ID_LIMIT = 0.2  # for the order of ids, which matters to nobody but must come out the same


class Ties:
    """Breaks the ties of a solution of the least price."""

    def __init__(self, best: Best, *, few_loads: bool) -> None:
        self._best = best
        self._limit = LIMIT if few_loads else LIMIT_LARGE

    def least_power(self) -> None:
        """The least average power at the least price, or the least found in the work allowed."""
        cp, cost = self._best.built.cp, self._best.built.bought.cost
        cp.add(total(cost) == self._best.cost_cents)
        cp.minimize(total(average_terms(self._best.built.v)))
        self._improved(self._limit)

    def break_others(self) -> None:
        """Power of each load held: least fuse ratings and, among those, fewest order lines; then smallest ids."""
        cp = self._best.built.cp
        cp.add(total(self._best.built.bought.cost) <= self._best.cost_cents)
        self._hold_power_of_each_load()
        lines = self._order_lines()
        first = lines + [((1 + len(lines)) * coef, var) for coef, var in self._fuse_total()]
        for objective, most in ((first, self._limit), (self._id_order(), ID_LIMIT)):
            cp.minimize(total(objective))
            solver = self._improved(most)
            if solver is None:
                return
            cp.add(total(objective) <= round(solver.objective_value))

    def _improved(self, most: float) -> cp_model.CpSolver | None:
        """The solver that came to a solution which now stands, in at most so many deterministic seconds."""
        best = self._best
        hint(best.built.cp, best.solution)
        left_s = max(0.01, best.left_s)
        solver = new_solver(limit_s=left_s, deterministic_limit=min(left_s, most))
        if solve(solver, best.built.cp, stop=best.stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return solver if best.consider(list(solver.response_proto.solution), ranked=False) else None

    def _hold_power_of_each_load(self) -> None:
        """Leaves every load the feeds that draw exactly as much as its feed in the plan at hand."""
        v, cp, value = self._best.built.v, self._best.built.cp, self._best.value
        for load in v.instance.loads:
            for var in v.ac(load):
                cp.add(var == value(var))
            feeds = list(v.all_feeds(load))
            chosen_w = [option.average_w for option, var in feeds if value(var)]
            for option, var in feeds:
                if option.average_w not in chosen_w:
                    cp.add(var == 0)

    def _fuse_total(self) -> list[Term]:
        """Fuse ratings of all circuits. [1/10 A]"""
        v = self._best.built.v
        return [(round(rating * 10), var) for circuit in v.circuits for rating, var in v.ratings(circuit)]

    def _order_lines(self) -> list[Term]:
        cp, bought = self._best.built.cp, self._best.built.bought
        lines: list[Term] = []
        for name, quantity in sorted({**bought.quantity, **bought.filler}.items()):
            line = cp.new_bool_var(f"line[{name}]")
            cp.add(quantity <= upper(quantity) * line)
            lines.append((1, line))
            self._best.solution.append(int(self._best.solution[quantity.index] > 0))
        return lines

    def _id_order(self) -> list[Term]:
        """Smallest fuse first, then thinnest pair, then feeds and offers in the order of their ids."""
        v, bought = self._best.built.v, self._best.built.bought
        terms: list[Term] = []
        for load in v.instance.loads:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.all_feeds(load))]
        for circuit in v.circuits:
            terms += [(rank, var) for rank, (_, var) in enumerate(v.pairs(circuit))]
        terms += [(rank, var) for rank, (_, var) in enumerate(v.bank)]
        terms += [(rank, bought.quantity[offer]) for rank, offer in enumerate(sorted(bought.quantity))]
        return terms
