"""The model with a switch on every limit, to ask which of them cannot all hold. No objective is set for that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve import demands, joined_circuits, rules
from optimizer.solve.engine import new_solver
from optimizer.solve.instance import Instance
from optimizer.solve.purchases import Buying
from optimizer.solve.rules import Rule
from optimizer.solve.variables import Term, Var, Variables, total
from optimizer.solving import Clock

_QUESTION_S = 3.0  # deterministic, for each question put to the solver


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Limits that cannot all hold."""

    limits: tuple[Rule, ...]
    is_minimal: bool  # whether the others are proven to hold without any one of them


class Loosened:
    """Every limit of a list may be switched off: then its rows bind nothing."""

    def __init__(self, instance: Instance, limits: Iterable[Rule], clock: Clock) -> None:
        self.instance = instance
        self._clock = clock
        self.cp = cp_model.CpModel()
        self.v = Variables(self.cp, instance, most_by_sets=0)
        self._may_give = set(limits)
        self._held: dict[Rule, Var] = {}
        for rule in (*joined_circuits.JOINED_CIRCUIT_RULES, *rules.RULES, *demands.DEMANDS):
            self._add(rule)
        self.v.needs.clear()  # they follow from rows that may be off
        Buying(self.cp, self.v).build()
        self._order = [rule for rule in limits if rule in self._held]

    def _add(self, rule: Rule) -> None:
        rows = self.cp.proto.constraints
        before = len(rows)
        rule(self.cp, self.v)
        if rule not in self._may_give:
            return
        held = self._held[rule] = self.cp.new_bool_var(f"held[{rule.__name__}]")
        for n in range(before, len(rows)):
            rows[n].enforcement_literal.append(held.index)

    def conflicts(self, given_up: Iterable[Rule] = ()) -> list[Conflict] | None:
        """Minimal sets of limits that cannot all hold, none with a limit of another; None where time did not do.

        Empty where the limits all hold, or none of them is in the way.

        Args:
            given_up: Limits that do not count.
        """
        found: list[Conflict] = []
        off = set(given_up)
        left = [rule for rule in self._order if rule not in off]
        while True:
            status, core = self._refuted(left)
            if status is None and not found:
                return None
            if not status or not core:
                return found
            found.append(self._minimal(core))
            left = [rule for rule in left if rule not in found[-1].limits]

    def _minimal(self, core: list[Rule]) -> Conflict:
        """A conflict without what it does not need: of what may go, the earliest in the list goes first."""
        minimal = True
        for rule in [each for each in self._order if each in core]:
            if rule not in core or len(core) == 1:
                continue
            status, smaller = self._refuted([other for other in core if other is not rule])
            if status:
                core = smaller
            elif status is None:
                minimal = False
        return Conflict(limits=tuple(rule for rule in self._order if rule in core), is_minimal=minimal)

    def _refuted(self, held: Sequence[Rule]) -> tuple[bool | None, list[Rule]]:
        """Whether these limits cannot all hold, None for no answer in time; and the limits that show it."""
        if self._clock.left_s <= 0:
            return None, []
        self.cp.clear_assumptions()
        self.cp.add_assumptions([self._held[rule] for rule in held])
        solver = self._solver()
        status = solver.solve(self.cp)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False, []
        if status != cp_model.INFEASIBLE:
            return None, []
        indices = set(solver.sufficient_assumptions_for_infeasibility())
        return True, [rule for rule in held if self._held[rule].index in indices]

    def least(self, terms: list[Term], given_up: Iterable[Rule]) -> float | None:
        """The least that some terms can come to where some limits are given up and all others hold."""
        if self._clock.left_s <= 0:
            return None
        off = set(given_up)
        self.cp.clear_assumptions()
        self.cp.add_assumptions([held for rule, held in self._held.items() if rule not in off])
        self.cp.minimize(total(terms))
        solver = self._solver()
        status = solver.solve(self.cp)
        self.cp.clear_objective()  # type: ignore[no-untyped-call]
        return solver.best_objective_bound if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None

    def _solver(self) -> cp_model.CpSolver:
        return new_solver(limit_s=max(0.01, self._clock.left_s), deterministic_limit=_QUESTION_S)
