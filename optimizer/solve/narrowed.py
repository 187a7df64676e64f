"""The model without what is too dear for any plan that is no dearer than the cheapest one known.

A relaxation tells what one more of a variable costs at the least. Of jobs of 24 loads half of the variables go so, and
on the rest CP-SAT raises the bound further in a minute than HiGHS does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve.beside import AnyOf
from optimizer.solve.best import Best
from optimizer.solve.engine import hint, new_solver, solve
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.variables import total

_FURTHER, _FURTHER_CENTS = 1.02, 100.0  # as far above what is proven, and at the least so far
_FEWER = 0.8  # once no more than so much of the variables would be left open, the model is asked anew
_NO_LIMIT = 1e9  # deterministic seconds: the clock is what ends it
_CENT = 1e-4  # a bound this close below a whole cent is that cent


@dataclass(frozen=True, slots=True, eq=False)
class Narrow:
    """The model as it was at one time. It has every plan of at most so much, and says nothing of dearer ones."""

    model: cp_model.CpModel
    most_cents: float
    has_known: bool  # whether the cheapest plan known then is no dearer
    too_dear: int  # variables left out
    left: int

    def is_missing(self, status: int, cents: float) -> bool:
        """Whether what is known at that price turned out to be no plan of this model: then nothing is proven."""
        is_none = status == cp_model.INFEASIBLE and self.too_dear > 0
        return self.has_known and (is_none or (status == cp_model.OPTIMAL and cents >= self.most_cents + 1))


class Narrowed:
    """The model, narrower the cheaper the plan known."""

    def __init__(self, best: Best, relaxed: Relaxation) -> None:
        self.best, self._relaxed = best, relaxed
        self._none_below_cents = float(relaxed.bound_cents)

    def least_price(self) -> tuple[int, list[int] | None]:
        """A status of CP-SAT's and, where there is one, a solution of the model as it was at the end.

        It looks no further than a little above what is proven: while the plan known is far dearer, half the variables
        would be open in vain. Where nothing is found there, it looks further. The better the plans that others find
        meanwhile, the less is left: then it is asked anew.
        """
        while True:
            narrow = self.model(max(_FURTHER * self._least_cents, self._least_cents + _FURTHER_CENTS))
            status, solution = self._ask(narrow)
            if status == cp_model.INFEASIBLE and not narrow.has_known:
                self._none_below_cents = narrow.most_cents
                self.best.raise_bound(int(narrow.most_cents))
                del narrow  # before the next one is made: that of 200 loads takes 50 MB
                continue
            is_answer = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
            if is_answer or self.best.is_over or self.best.halt.is_set():
                return status, solution

    @property
    def _least_cents(self) -> float:
        """What no plan costs less than. [cents]"""
        return max(self._none_below_cents, self.best.bound_cents)

    def _ask(self, narrow: Narrow) -> tuple[int, list[int] | None]:
        best = self.best
        narrow.model.minimize(total(best.built.bought.cost))
        solver = new_solver(limit_s=max(0.01, best.left_s), deterministic_limit=_NO_LIMIT, for_bound=True)

        def better_bound(cents: float) -> None:
            if math.isfinite(cents):
                best.raise_bound(max(0, math.ceil(min(cents, narrow.most_cents) - _CENT)))

        stop = AnyOf(best.halt, _Outdated(self, narrow.left))
        status = solve(solver, narrow.model, stop=stop, on_bound=better_bound)
        has_solution = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        if narrow.is_missing(status, solver.objective_value if has_solution else 0.0):
            best.ended.set()
            return int(cp_model.UNKNOWN), None
        if has_solution:
            better_bound(solver.best_objective_bound)
        return status, list(solver.response_proto.solution) if has_solution else None

    def model(self, most_cents: float = math.inf) -> Narrow:
        """As it is by now, with the best solution as hint and the objective that the whole model has.

        Args:
            most_cents: No plan that is dearer is of interest, be the one known as it may. [cents]
        """
        best = self.best
        with best.lock:
            known, model, cents = best.solution, best.built.cp.clone(), math.inf if best.cents is None else best.cents
            has_known = cents <= most_cents
            too_dear = self.too_dear() if has_known else self._relaxed.too_dear(math.floor(most_cents), [])
        for index, least in too_dear.items():
            model.add(model.get_int_var_from_proto_index(index) == least)
        if has_known:
            hint(model, known)
        else:
            model.clear_hints()  # type: ignore[no-untyped-call]
            model.add(total(best.built.bought.cost) <= math.floor(most_cents))
        left = len(model.proto.variables) - len(too_dear)
        return Narrow(model, cents if has_known else math.floor(most_cents), has_known, len(too_dear), left)

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
