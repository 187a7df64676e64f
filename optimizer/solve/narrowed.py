"""The model without what is too dear for any plan that is no dearer than the cheapest one known.

A relaxation tells what one more of a variable costs at the least. Of jobs of 24 loads half of the variables go so, and
on the rest CP-SAT raises the bound further in a minute than HiGHS does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve.best import Best
from optimizer.solve.engine import hint
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.variables import total


@dataclass(frozen=True, slots=True, eq=False)
class Narrow:
    """The model as it was at one time. It has every plan of at most so much, and says nothing of dearer ones."""

    model: cp_model.CpModel
    most_cents: float
    has_known: bool  # whether the cheapest plan known then is no dearer
    too_dear: int  # variables left out

    def is_missing(self, status: int, cents: float) -> bool:
        """Whether what is known at that price turned out to be no plan of this model: then nothing is proven."""
        is_none = status == cp_model.INFEASIBLE and self.too_dear > 0
        return self.has_known and (is_none or (status == cp_model.OPTIMAL and cents >= self.most_cents + 1))


class Narrowed:
    """The model, narrower the cheaper the plan known."""

    def __init__(self, best: Best, relaxed: Relaxation) -> None:
        self._best, self._relaxed = best, relaxed

    def model(self, most_cents: float = math.inf) -> Narrow:
        """As it is by now, with the best solution as hint and the objective that the whole model has.

        Args:
            most_cents: No plan that is dearer is of interest, be the one known as it may. [cents]
        """
        best = self._best
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
        return Narrow(model, cents if has_known else math.floor(most_cents), has_known, len(too_dear))

    def too_dear(self) -> dict[int, int]:
        """Variables that no plan as cheap as the cheapest one known makes use of, with their least values."""
        cents = self._best.cents
        return {} if cents is None else self._relaxed.too_dear(cents, self._best.solution)
