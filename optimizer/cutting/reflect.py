"""The exact finisher for tight lists: arc-flow on half a spool, one model over every mix, solved by SCIP.

A packed spool is two paths from 0. One is made of plain arcs only; the other ends with an arc that crosses the middle
of the spool and lands, seen from the far end, where the first path ends. Lengths are doubled so that middles are
whole. Source: Delorme and Iori, Enhanced pseudo-polynomial formulations for bin packing and cutting stock problems,
INFORMS Journal on Computing 32 (2020), from memory; the row of material cover and the reel are ours.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple

from ortools.linear_solver import pywraplp

from .clock import Clock
from .greedy import Packed
from .instance import Instance
from .mixes import Mix, mix_of
from .pieces import Counts

MOST_ARCS = 60_000


class Arc(NamedTuple):
    """From node to node; `piece` -1 carries nothing, `home` -1 does not cross a middle."""

    tail: int
    head: int
    piece: int
    home: int


@dataclass(frozen=True, slots=True)
class Finished:
    """What the finisher found within its time."""

    best: Packed | None
    bound_cents: int
    is_infeasible: bool


def arcs_of(instance: Instance, most: int) -> list[Arc] | None:
    """The arcs of the half graph; None where there are more than `most`."""
    homes = [kind.room for kind in instance.kinds] + [stock.room for stock in instance.stock]
    halves = sorted(set(homes))
    middle = max(halves, default=0)
    reached = {0}
    arcs: set[Arc] = set()
    for piece, (size, count) in enumerate(zip(instance.sizes, instance.counts, strict=True)):
        fresh = set(reached)
        for start in reached:
            at = start
            for _ in range(count):
                arcs.update(_crossing(at, size, piece, homes))
                head = at + 2 * size
                if head > middle:
                    break
                arcs.add(Arc(at, head, piece, -1))
                fresh.add(head)
                at = head
        reached = fresh
        if len(arcs) > most:
            return None
    return _with_losses(arcs, homes)


def _crossing(at: int, size: int, piece: int, homes: list[int]) -> Iterator[Arc]:
    for home, room in enumerate(homes):
        head = 2 * room - at - 2 * size
        if at <= room < at + 2 * size and head >= at:
            yield Arc(at, head, piece, home)


def _with_losses(arcs: set[Arc], homes: list[int]) -> list[Arc]:
    """Arcs that carry nothing: along the nodes, and across the middle of each length."""
    arcs.update(Arc(room, room, -1, home) for home, room in enumerate(homes))
    nodes = sorted({0, *(arc.tail for arc in arcs), *(arc.head for arc in arcs)})
    arcs.update(Arc(tail, head, -1, -1) for tail, head in itertools.pairwise(nodes))
    return sorted(arcs)


def finish(instance: Instance, arcs: list[Arc], below: Mix | None, bound_cents: int, clock: Clock) -> Finished:
    """The cheapest list cheaper than `below`, or the bound reached in the time left."""
    return _Model(instance, arcs, below, bound_cents).solve(clock)


class _Model:
    def __init__(self, instance: Instance, arcs: list[Arc], below: Mix | None, bound_cents: int) -> None:
        self._instance = instance
        self._arcs = arcs
        self._below = below
        self._bound_cents = bound_cents
        self._cents = math.gcd(*(kind.cents for kind in instance.kinds), *(reel.cents for reel in instance.reels)) or 1
        self._solver = pywraplp.Solver.CreateSolver("SCIP")
        self._flow = [self._whole(instance.counts[arc.piece] if arc.piece >= 0 else instance.pieces) for arc in arcs]
        self._bought = [self._whole(kind.most) for kind in instance.kinds]
        self._opened = [self._whole(1) for _ in instance.stock]
        self._steps = [self._whole(reel.most) for reel in instance.reels]
        self._reeled = [[self._whole(count) for count in instance.counts] for _ in instance.reels]
        self._rules()

    def _whole(self, most: int) -> Any:
        return self._solver.IntVar(0, most, "")

    def _row(self, least: float, most: float, terms: Iterable[tuple[Any, int]]) -> None:
        row = self._solver.Constraint(least, most)
        for variable, factor in terms:
            row.SetCoefficient(variable, row.GetCoefficient(variable) + factor)

    def _rules(self) -> None:
        most = math.inf if self._below is None else self._below.cents // self._cents - 1
        price = self._price()
        self._row(-(-self._bound_cents // self._cents), most, price)
        for variable, cents in price:
            self._solver.Objective().SetCoefficient(variable, cents)
        self._conserve()
        self._demand()
        self._reels()
        rooms = (*(kind.room for kind in self._instance.kinds), *(stock.room for stock in self._instance.stock))
        cover = list(zip((*self._bought, *self._opened), rooms, strict=True)) + self._on_reels()
        self._row(self._instance.total, math.inf, cover)

    def _price(self) -> list[tuple[Any, int]]:
        kinds, reels = self._instance.kinds, self._instance.reels
        bought = [(number, kind.cents // self._cents) for number, kind in zip(self._bought, kinds, strict=True)]
        return bought + [(steps, reel.cents // self._cents) for steps, reel in zip(self._steps, reels, strict=True)]

    def _demand(self) -> None:
        carried: list[list[Any]] = [
            [reeled[piece] for reeled in self._reeled] for piece in range(len(self._instance.sizes))
        ]
        crossing: dict[int, list[Any]] = defaultdict(list)
        for flow, arc in zip(self._flow, self._arcs, strict=True):
            if arc.piece >= 0:
                carried[arc.piece].append(flow)
            if arc.home >= 0:
                crossing[arc.home].append(flow)
        for flows, count in zip(carried, self._instance.counts, strict=True):
            self._row(count, count, ((flow, 1) for flow in flows))
        for home, number in enumerate((*self._bought, *self._opened)):
            self._row(0, 0, [(number, -1), *((flow, 1) for flow in crossing[home])])

    def _reels(self) -> None:
        for reel, steps, reeled in zip(self._instance.reels, self._steps, self._reeled, strict=True):
            opened = self._whole(1)
            self._row(-math.inf, 0, [(steps, 1), (opened, -reel.most)])
            used = [(pieces, size * reel.unit_mm) for size, pieces in zip(self._instance.sizes, reeled, strict=True)]
            self._row(-math.inf, 0, [*used, (steps, -reel.offer.step_mm), (opened, -reel.extra_mm)])

    def _on_reels(self) -> list[tuple[Any, int]]:
        sizes = self._instance.sizes
        return [(pieces, size) for reeled in self._reeled for size, pieces in zip(sizes, reeled, strict=True)]

    def _conserve(self) -> None:
        """What comes in on plain arcs leaves on some arc or meets a path that crossed the middle."""
        balance: dict[int, list[tuple[Any, int]]] = defaultdict(list)
        for flow, arc in zip(self._flow, self._arcs, strict=True):
            balance[arc.tail].append((flow, -1))
            balance[arc.head].append((flow, -1 if arc.home >= 0 else 1))
        balance[0] += [(number, 2) for number in (*self._bought, *self._opened)]
        for terms in balance.values():
            self._row(0, 0, terms)

    def solve(self, clock: Clock) -> Finished:
        """Run SCIP for the time left."""
        solver = self._solver
        solver.SetSolverSpecificParametersAsString("limits/absgap = 0.99\nrandomization/randomseedshift = 1\n")
        if math.isfinite(clock.left_s):
            solver.SetTimeLimit(max(int(clock.left_s * 1000), 1))
        with clock.stopping(solver.InterruptSolve):
            status = solver.Solve()
        if status == pywraplp.Solver.INFEASIBLE:
            return Finished(None, self._bound_cents if self._below is None else self._below.cents, is_infeasible=True)
        best = self._packed() if status in (pywraplp.Solver.OPTIMAL, pywraplp.Solver.FEASIBLE) else None
        if best is not None and status == pywraplp.Solver.OPTIMAL:
            return Finished(best, best.mix.cents, is_infeasible=False)
        dual = solver.Objective().BestBound()
        proven = math.ceil(dual - 1e-6) * self._cents if 0 < dual < 1e15 else 0
        return Finished(best, max(self._bound_cents, proven), is_infeasible=False)

    def _packed(self) -> Packed:
        left = {
            arc: round(flow.solution_value())
            for flow, arc in zip(self._flow, self._arcs, strict=True)
            if flow.solution_value() > 0.5
        }
        by_home = _unravelled(left, len(self._instance.sizes))
        kinds = len(self._bought)
        loads = [load for home in range(kinds) for load in by_home[home]]
        steps = []
        for reel, reeled in zip(self._instance.reels, self._reeled, strict=True):
            load = [round(pieces.solution_value()) for pieces in reeled]
            used = sum(size * count for size, count in zip(self._instance.sizes, load, strict=True))
            steps.append(reel.least_steps(used))
            loads += [load] if used else []
        empty = [0] * len(self._instance.sizes)
        for home in range(kinds, kinds + len(self._opened)):
            loads.append(by_home[home][0] if by_home[home] else empty)
        return Packed(mix_of(self._instance, [len(by_home[home]) for home in range(kinds)], steps), loads)


def _unravelled(left: dict[Arc, int], classes: int) -> dict[int, list[Counts]]:
    """Loads of each home from the flow on its arcs."""
    out: dict[int, list[Arc]] = defaultdict(list)
    ends: dict[int, int] = defaultdict(int)
    for arc, amount in left.items():
        if arc.home >= 0:
            ends[arc.tail] += amount
            ends[arc.head] += amount
        else:
            out[arc.tail] += [arc] * amount
    paths: dict[int, list[Counts]] = defaultdict(list)
    for _ in range(sum(ends.values())):
        node, load = 0, [0] * classes
        while not ends[node] or (node == 0 and out[0]):
            arc = out[node].pop()
            node = arc.head
            if arc.piece >= 0:
                load[arc.piece] += 1
        ends[node] -= 1
        paths[node].append(load)
    by_home: dict[int, list[Counts]] = defaultdict(list)
    for arc, amount in left.items():
        for _ in range(amount if arc.home >= 0 else 0):
            load = [a + b for a, b in zip(paths[arc.tail].pop(), paths[arc.head].pop(), strict=True)]
            if arc.piece >= 0:
                load[arc.piece] += 1
            by_home[arc.home].append(load)
    return by_home
