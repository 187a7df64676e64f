"""Mixes of several cables at once, cheapest first: a small CP-SAT model of what can be bought.

What is bought must hold, for every union of cables, the pieces that nothing outside it serves: their total length, and
how many of them are at least so long (Hall's condition). Each mix that was handed out is cut off with all it contains.
"""

from __future__ import annotations

from collections.abc import Iterator

from ortools.sat.python import cp_model

from .buying import Buying
from .clock import Clock
from .instance import Instance
from .mixes import Covers, Mix

_WORK = 20.0  # deterministic seconds of CP-SAT for one mix
_NO_PRICE = 10**18


class Master:
    """Mixes by price and number of lengths, until `below` or until the clock ends.

    `bound_cents`: every mix that is still to come costs at least so much.
    """

    def __init__(self, instance: Instance, covers: Covers, below: Mix | None, clock: Clock) -> None:
        self._buying = Buying(instance, covers, below)
        self._clock = clock
        self.bound_cents = 0

    def __iter__(self) -> Iterator[Mix]:
        is_first = True
        while not self._clock.is_over:
            solver, status = self._buying.solve(self._clock, _WORK)
            if status == cp_model.INFEASIBLE:
                self.bound_cents = _NO_PRICE
                return
            self.bound_cents = max(self.bound_cents, self._buying.bound_cents(solver))
            if status != cp_model.OPTIMAL:
                return
            mix = self._buying.mix(solver)
            yield mix
            if is_first:
                self._buying.share()  # many lists do without
                is_first = False
            self._cut_off(mix)

    def _cut_off(self, mix: Mix) -> None:
        model, more = self._buying.model, []
        variables = (*self._buying.bought, *self._buying.steps)
        for variable, value in zip(variables, (*mix.counts, *mix.steps), strict=True):
            larger = model.new_bool_var("")
            model.add(variable >= value + 1).only_enforce_if(larger)
            more.append(larger)
        model.add_bool_or(more)
