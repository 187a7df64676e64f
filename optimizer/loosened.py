"""The model with a switch on every limit, to ask which of them cannot all hold. No objective is set for that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from optimizer.solve import demands, joined_circuits, rules, whole_circuits
from optimizer.solve.engine import new_solver
from optimizer.solve.instance import Instance
from optimizer.solve.purchases import Buying
from optimizer.solve.rules import Rule
from optimizer.solve.variables import Term, Var, Variables, total
from optimizer.solving import Clock

# Circuits that end at a converter at the panel are laid whole; one row there stands for several limits at once.
_AT_PANEL: dict[Rule, tuple[Rule, ...]] = {
    whole_circuits.fed_from_a_circuit: (),
    whole_circuits.conductor_suits_feed: (joined_circuits.drop_at_floor, joined_circuits.conductor_fits_first_stage),
    whole_circuits.fuse_suits_feed: (
        joined_circuits.fuse_carries_design_current,
        joined_circuits.fuse_within_feed,
        joined_circuits.fuse_not_oversized,
    ),
}
# Only its first row is the limit of this rule; the others say that the inverter idles while anything is on it.
_LIMIT_ROWS: dict[Rule, int] = {rules.outlet_power: 1}
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
        for rule, limits_in_it in _AT_PANEL.items():
            self._add(rule, limits_in_it)
        self.v.needs.clear()  # they follow from rows that may be off
        Buying(self.cp, self.v).build()
        self._order = [rule for rule in limits if rule in self._held]

    def _add(self, rule: Rule, limits_in_it: Iterable[Rule] = ()) -> None:
        """Rows of a rule, which bind only where the limits in it are held: the rule itself, where it may give."""
        rows = self.cp.proto.constraints
        before = len(rows)
        rule(self.cp, self.v)
        if rule in self._may_give:
            self._held[rule] = self.cp.new_bool_var(f"held[{rule.__name__}]")
        held = [self._held[limit] for limit in (rule, *limits_in_it) if limit in self._held]
        for n in range(before, min(len(rows), before + _LIMIT_ROWS.get(rule, len(rows)))):
            for var in held:
                rows[n].enforcement_literal.append(var.index)

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
