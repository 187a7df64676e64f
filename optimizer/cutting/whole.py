"""Small lists of several cables as one CP-SAT model: what is bought and which piece is cut from what."""

from __future__ import annotations

from itertools import pairwise

from ortools.sat.python import cp_model

from .buying import Buying, weighted
from .clock import Clock
from .greedy import Packed
from .instance import Instance
from .mixes import Covers, Mix
from .reflect import Finished

_MOST_VARIABLES = 12_000
_WORK = 300.0  # deterministic seconds


def whole(instance: Instance, covers: Covers, below: Mix | None, bound_cents: int, clock: Clock) -> Finished | None:
    """The cheapest list cheaper than `below`, or the bound reached; None where the model would be too large."""
    copies = [_most_bought(kind.cents, kind.most, below, instance.pieces) for kind in instance.kinds]
    lengths = sum(copies) + len(instance.reels) + len(instance.stock)
    if lengths * len(instance.sizes) > _MOST_VARIABLES:
        return None
    return _Whole(instance, Buying(instance, covers, below), copies).solve(below, bound_cents, clock)


def _most_bought(cents: int, most: int, below: Mix | None, pieces: int) -> int:
    limit = most if below is None or not cents else min(most, below.cents // cents)
    return min(limit, pieces)


class _Whole:
    def __init__(self, instance: Instance, buying: Buying, copies: list[int]) -> None:
        self._instance = instance
        self._buying = buying
        self._model = buying.model
        self._taken: list[dict[int, cp_model.IntVar]] = []
        for kind, bought, number in zip(instance.kinds, buying.bought, copies, strict=True):
            self._spools(kind.room, kind.cable, bought, number)
        for reel, room in zip(instance.reels, buying.rooms, strict=True):
            self._model.add(self._length(reel.room(reel.most), reel.cable) <= room)
        for stock in instance.stock:
            self._model.add(self._length(stock.room, stock.cable) <= stock.room)
        for piece, count in enumerate(instance.counts):
            self._model.add(sum(taken[piece] for taken in self._taken if piece in taken) == count)

    def _spools(self, room: int, cable: int, bought: cp_model.IntVar, number: int) -> None:
        used = [self._model.new_bool_var("") for _ in range(number)]
        for one in used:
            self._model.add(self._length(room, cable) <= room * one)
        for one, other in pairwise(used):
            self._model.add_implication(other, one)
        self._model.add(sum(used) == bought)

    def _length(self, room: int, cable: int) -> cp_model.LinearExpr:
        """One more length that can be cut from; what is cut from it."""
        sizes, counts = self._instance.sizes, self._instance.counts
        taken = {
            piece: self._model.new_int_var(0, min(counts[piece], room // sizes[piece]), "")
            for piece, allowed in enumerate(self._instance.allowed)
            if cable in allowed and sizes[piece] <= room
        }
        self._taken.append(taken)
        return weighted(([sizes[piece] for piece in taken], list(taken.values())))

    def solve(self, below: Mix | None, bound_cents: int, clock: Clock) -> Finished:
        self._buying.at_least(bound_cents)
        solver, status = self._buying.solve(clock, _WORK)
        if status == cp_model.INFEASIBLE:
            return Finished(None, bound_cents if below is None else below.cents, is_infeasible=True)
        bound = max(bound_cents, self._buying.bound_cents(solver)) if status != cp_model.MODEL_INVALID else bound_cents
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Finished(None, bound, is_infeasible=False)
        best = self._packed(solver)
        return Finished(best, best.mix.cents if status == cp_model.OPTIMAL else bound, is_infeasible=False)

    def _packed(self, solver: cp_model.CpSolver) -> Packed:
        mix = self._buying.mix(solver)
        loads = [
            [solver.value(taken[piece]) if piece in taken else 0 for piece in range(len(self._instance.sizes))]
            for taken in self._taken
        ]
        spools = len(loads) - len(self._instance.reels) - len(self._instance.stock)
        kept = [load for load in loads[:spools] if any(load)]
        if len(kept) != sum(mix.counts):  # an unused spool would be bought for nothing
            raise AssertionError("a bought spool is empty")
        reels = [load for load, steps in zip(loads[spools:], mix.steps, strict=False) if steps]
        return Packed(mix, kept + reels + loads[spools + len(mix.steps) :])
