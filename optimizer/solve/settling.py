"""Buying what given feeds and circuits take: for a first answer, and where the cuts of a solution do not fit."""

from __future__ import annotations

from ortools.sat.python import cp_model

from optimizer.by_hand import Answer
from optimizer.solve.best import Best
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.first_answer import choosable, decided

_TRIES = 20  # each without what could not be cut
_FIRST_TRIES = 2  # of a first answer: as it buys, which can be cut, and then cheaper
_LIMIT_S = 5.0  # wall-clock guard, also when time is up: else nothing is to show
_LIMIT = 2.0  # deterministic seconds, all tries together
_CLOSE = 0.001  # relative gap at which many loads are bought for well enough


class Settling:
    """Buys for choices that stay as they are."""

    def __init__(self, best: Best, *, few_loads: bool) -> None:
        """few_loads: CP-SAT buys for them at once; for many HiGHS is sooner."""
        self._best, self._few_loads = best, few_loads

    def take(self, first: Answer) -> None:
        """A first answer's choices, as cheap as they can be had; where HiGHS buys, first as the answer does."""
        best, values = self._best, decided(self._best.built.v, first.choices)
        if self._few_loads:
            self._by_cp(values)
            return
        until_s, bought = best.elapsed_s + _LIMIT_S, best.built.bought.quantity
        as_bought = {var.index: first.bill.quantity.get(offer, 0) for offer, var in bought.items()}
        self._by_highs(values | as_bought, _FIRST_TRIES, until_s)
        self._by_highs(values, _FIRST_TRIES if best.solution else _TRIES, until_s)

    def settle(self, unfit: list[int]) -> None:
        """Keeps feeds and circuits of a solution whose cuts do not fit, and buys what they take."""
        values = {var.index: unfit[var.index] for var in choosable(self._best.built.v)}
        if self._few_loads:
            self._by_cp(values)
        else:
            self._by_highs(values, _TRIES, self._best.elapsed_s + _LIMIT_S)

    def _by_cp(self, values: dict[int, int]) -> None:
        best, left = self._best, _LIMIT
        for _ in range(_TRIES):
            held = best.built.cp.clone()
            for index, value in values.items():
                held.add(held.get_int_var_from_proto_index(index) == value)
            solver = new_solver(limit_s=_LIMIT_S, deterministic_limit=left)
            if solve(solver, held, stop=best.stop) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                return
            left -= solver.response_proto.deterministic_time
            if best.consider(list(solver.response_proto.solution)) or left <= 0:
                return

    def _by_highs(self, values: dict[int, int], tries: int, until_s: float) -> None:
        best = self._best
        for _ in range(tries):
            found = best.linear().look(values, limit_s=until_s - best.elapsed_s, stop=best.stop, close=_CLOSE)
            if found is None or best.keeps(found) or best.elapsed_s >= until_s:
                return
