"""What can be bought, as a CP-SAT model: the part that the master and the whole model share."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ortools.sat.python import cp_model

from .clock import Clock
from .engine import solved
from .instance import Instance, Reel
from .mixes import Covers, Mix, mix_of
from .reachable import reachable

_TABLED = 30  # pieces up to which rooms on reels are looked up
_MOST_STEPS = 5_000  # the same, steps
_MOST_KNOWN = 2_000_000  # longer lengths are shared out as if every load existed
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

    def share(self) -> None:
        """Of every set of cables the pieces that it serves are shared out, in loads that exist."""
        taken: list[list[cp_model.IntVar]] = [[] for _ in self.instance.cables]
        for allowed, pieces in _served(self.instance).items():
            total = sum(size * count for size, count in pieces)
            known = intervals(reachable(pieces, total).bits) if total <= _MOST_KNOWN else [[0, total]]
            loads = cp_model.Domain.from_intervals(known)
            shares = {cable: self.model.new_int_var_from_domain(loads, "") for cable in allowed}
            self.model.add(sum(shares.values()) == total)
            for cable, share in shares.items():
                taken[cable].append(share)
        kinds, reels = self.instance.kinds, self.instance.reels
        for cable, shares_of_cable in enumerate(taken):
            owned = sum(stock.room for stock in self.instance.stock if stock.cable == cable)
            rooms = weighted(
                ([kind.room * (kind.cable == cable) for kind in kinds], self.bought),
                ([int(reel.cable == cable) for reel in reels], self.rooms),
            )
            self.model.add(sum(shares_of_cable) <= rooms + owned)

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


def _served(instance: Instance) -> dict[tuple[int, ...], list[tuple[int, int]]]:
    """For each set of cables size and count of the classes that it serves."""
    served: dict[tuple[int, ...], list[tuple[int, int]]] = {}
    for size, count, allowed in zip(instance.sizes, instance.counts, instance.allowed, strict=True):
        served.setdefault(allowed, []).append((size, count))
    return served


def intervals(bits: int) -> list[list[int]]:
    """From and to of every row of set bits."""
    digits, intervals, at = bin(bits)[:1:-1], [], 0
    while (start := digits.find("1", at)) >= 0:
        at = digits.find("0", start)
        at = len(digits) if at < 0 else at
        intervals.append([start, at - 1])
    return intervals


def weighted(*parts: Weighted) -> cp_model.LinearExpr:
    """The sum of variables times factors."""
    factors = [factor for some, _ in parts for factor in some]
    variables = [variable for _, some in parts for variable in some]
    return cp_model.LinearExpr.weighted_sum(variables, factors)
