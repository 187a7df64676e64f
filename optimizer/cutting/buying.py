"""What can be bought, as a CP-SAT model: the part that the master and the whole model share."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ortools.sat.python import cp_model

from .clock import Clock
from .engine import solved
from .instance import Instance, Reel
from .mixes import Covers, Mix, mix_of

_TABLED = 30  # pieces up to which rooms on reels are looked up
_MOST_STEPS = 5_000  # the same, steps
Weighted = tuple[Sequence[int], Sequence[cp_model.IntVar]]


class Buying:
    """Spools of each kind, steps of each reel; price first, then number of lengths, is least."""

    def __init__(self, instance: Instance, covers: Covers, below: Mix | None) -> None:
        self.instance = instance
        self.model = cp_model.CpModel()
        self.bought = [self.model.new_int_var(0, kind.most, "") for kind in instance.kinds]
        self.steps = [self.model.new_int_var(0, reel.most, "") for reel in instance.reels]
        self.opened = [self.model.new_bool_var("") for _ in instance.reels]
        self._lengths = instance.pieces + len(instance.reels) + 1  # more than any list has
        self._unit_cents = (
            math.gcd(*(kind.cents for kind in instance.kinds), *(reel.cents for reel in instance.reels)) or 1
        )
        for reel, steps, opened in zip(instance.reels, self.steps, self.opened, strict=True):
            self.model.add(steps <= reel.most * opened)
            self.model.add(steps >= opened)
        self.rooms = [self._room(*reel) for reel in zip(instance.reels, self.steps, self.opened, strict=True)]
        for row in covers.rows():
            self.model.add(weighted((row.kinds, self.bought), (row.reels, self.rooms)) >= row.need)
        self._goal = self._priced()
        self.model.minimize(self._goal)
        if below is not None:
            self.model.add(self._goal <= self._as_goal(below) - 1)

    def _room(self, reel: Reel, steps: cp_model.IntVar, opened: cp_model.IntVar) -> cp_model.IntVar:
        """Room on a reel, rounded down to loads that exist where that is known."""
        room = self.model.new_int_var(0, reel.room(reel.most), "")
        if self.instance.pieces <= _TABLED and reel.most <= _MOST_STEPS:  # few pieces leave gaps; else it costs time
            self.model.add_element(steps, [reel.room(number) for number in range(reel.most + 1)], room)
        self.model.add(reel.unit_mm * room <= reel.offer.step_mm * steps + reel.extra_mm * opened)
        return room

    def _priced(self) -> cp_model.LinearExpr:
        instance, unit, lengths = self.instance, self._unit_cents, self._lengths
        return weighted(
            ([lengths * (kind.cents // unit) + 1 for kind in instance.kinds], self.bought),
            ([lengths * (reel.cents // unit) for reel in instance.reels], self.steps),
            ([1] * len(self.opened), self.opened),
        )

    def _as_goal(self, mix: Mix) -> int:
        return self._lengths * (mix.cents // self._unit_cents) + mix.lengths

    def at_least(self, cents: int) -> None:
        """No list is cheaper: known from elsewhere."""
        self.model.add(self._goal >= self._lengths * -(-cents // self._unit_cents))

    def solve(self, clock: Clock, work: float) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        """What the solver comes to in so many deterministic seconds."""
        return solved(self.model, clock, work)

    def bound_cents(self, solver: cp_model.CpSolver) -> int:
        """What the solver has proven to be the least price."""
        return math.floor(solver.best_objective_bound + 1e-6) // self._lengths * self._unit_cents

    def mix(self, solver: cp_model.CpSolver) -> Mix:
        """What the solver buys."""
        counts = [solver.value(number) for number in self.bought]
        return mix_of(self.instance, counts, [solver.value(number) for number in self.steps])


def weighted(*parts: Weighted) -> cp_model.LinearExpr:
    """The sum of variables times factors."""
    factors = [factor for some, _ in parts for factor in some]
    variables = [variable for _, some in parts for variable in some]
    return cp_model.LinearExpr.weighted_sum(variables, factors)
