"""The bound, step by step: CP-SAT refutes that any plan costs at most so much, then a little more.

The nearer a step, the less of the model is left (`narrowed`) and the sooner it is refuted: every 0.1 to 0.2 % further
takes twice as long. Of one job of 24 loads CP-SAT's own search for bounds stood at 50,438 after 150 s; that no plan
costs 50,500 was refuted in 15 s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve.beside import AnyOf
from optimizer.solve.best import Best
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.highs import whole_cents
from optimizer.solve.narrowed import Narrow, Narrowed
from optimizer.solve.variables import total

_FIRST, _NEXT = 0.0125, 0.003  # of the relaxation's price: the first step, and the next ones to begin with
_TIME_S = 0.4  # for the first step, by load
_QUICK, _SLOW = 0.2, 0.5  # shares of its time: a step that takes less is followed by a longer one, more by a shorter
_LONGER, _SHORTER = 1.5, 0.5  # by which steps grow or shrink
_MORE_TIME = 1.5  # for the step after one that was not refuted in its time
_AGAIN = 6.0  # a step has so many times what the last one took
_LAST, _LEAST = 0.6, 1.1  # of the time left, for one more step; times the last one, at the least
_NO_LIMIT = 1e9  # deterministic seconds: the clock is what ends it


@dataclass(frozen=True, slots=True)
class Outcome:
    """A status of CP-SAT's and, where there is one, a solution of the model as it was at the end."""

    status: int
    solution: list[int] | None = None

    @property
    def is_answer(self) -> bool:
        return self.status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)


class Refuting:
    """One search for the least price, from below."""

    def __init__(self, best: Best, narrowed: Narrowed, relaxed_cents: float) -> None:
        """relaxed_cents: What the relaxation costs. [cents]"""
        self._best, self._narrowed = best, narrowed
        self._none_below_cents = relaxed_cents
        self._step_cents, self._next_cents = _FIRST * relaxed_cents, _NEXT * relaxed_cents
        self._step_s = _TIME_S * len(best.built.v.instance.loads)
        self._has_refuted = False
        self._last = (relaxed_cents, math.inf)  # refuted up to there, and how long that took

    def run(self) -> Outcome:
        """The least price, or what is known once somebody asks to stop. May be asked again for a changed model."""
        best = self._best
        while True:
            narrow, started_s = self._narrowed.model(self._most_cents()), best.elapsed_s
            outcome = self._ask(narrow)
            is_refuted = outcome.status == cp_model.INFEASIBLE and not narrow.has_known
            if is_refuted:
                self._none_below_cents = narrow.most_cents + 1
                best.raise_bound(int(self._none_below_cents))
                outcome = Outcome(int(cp_model.UNKNOWN))
            if outcome.is_answer or best.is_over or best.halt.is_set():
                return outcome
            if outcome.solution is not None:
                best.keeps(outcome.solution)
            self._adapt(best.elapsed_s - started_s, is_refuted=is_refuted)
            del narrow  # before the next one is made: that of 200 loads takes 50 MB

    def _most_cents(self) -> float:
        """How far the next step goes: below the plan known, as long as anything below it is open. [cents]"""
        none_below, known = max(self._none_below_cents, self._best.bound_cents), self._best.cents
        if known is None:
            return math.inf if self._has_refuted else none_below + self._step_cents
        return known if known <= none_below else min(none_below + self._step_cents, known - 1)

    def _ask(self, narrow: Narrow) -> Outcome:
        best = self._best
        narrow.model.minimize(total(best.built.bought.cost))
        limit_s = best.left_s if narrow.has_known else min(self._step_s, best.left_s)
        solver = new_solver(limit_s=max(0.01, limit_s), deterministic_limit=_NO_LIMIT, refutes=True)

        def better_bound(cents: float) -> None:
            best.raise_bound(int(min(whole_cents(cents), narrow.most_cents)))

        stop = AnyOf(best.halt, _Outdated(best, narrow))
        status = solve(solver, narrow.model, stop=stop, on_bound=better_bound)
        has_solution = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        if narrow.is_missing(status, solver.objective_value if has_solution else 0.0):
            best.ended.set()
            return Outcome(int(cp_model.UNKNOWN))
        if has_solution:
            better_bound(solver.best_objective_bound)
        return Outcome(status, list(solver.response_proto.solution) if has_solution else None)

    def _adapt(self, took_s: float, *, is_refuted: bool) -> None:
        """Steps as long as they are refuted in their time."""
        if is_refuted:
            if not self._has_refuted:
                self._step_cents = min(self._step_cents, self._next_cents)
            elif took_s < _QUICK * self._step_s:
                self._step_cents *= _LONGER
            elif took_s > _SLOW * self._step_s:
                self._step_cents *= _SHORTER
            self._step_cents = min(self._step_cents, self._in_time_left_cents(took_s))
            self._has_refuted = True
            self._step_s = max(self._step_s, _AGAIN * took_s)
        elif took_s >= self._step_s:
            self._step_cents *= _SHORTER
            self._step_s *= _MORE_TIME

    def _in_time_left_cents(self, took_s: float) -> float:
        """How much further can be refuted before time is up, as far as the last two steps tell. [cents]"""
        before_cents, before_s = self._last
        self._last = self._none_below_cents, took_s
        if not before_s < took_s:
            return math.inf
        cents_each = (self._none_below_cents - before_cents) / math.log(took_s / before_s)
        return cents_each * math.log(max(_LEAST, _LAST * self._best.left_s / took_s))


class _Outdated:
    """Set once a cheaper plan is known that leaves less than half of a step to be refuted."""

    def __init__(self, best: Best, narrow: Narrow) -> None:
        self._best, self._most_cents = best, narrow.most_cents
        self._half_cents = (best.bound_cents + narrow.most_cents) / 2

    def is_set(self) -> bool:
        known = self._best.cents
        return known is not None and known < self._most_cents and known <= self._half_cents
