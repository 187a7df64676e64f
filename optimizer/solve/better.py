"""Ever better solutions of many loads from a first one: far searches, mixtures of what they find, a few loads anew.

Searches that begin at the best solution find little more. Those that begin at one not as good end in different places,
each good in other parts, and a mixture of two of them is mostly cheaper than both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import count
from typing import Any, NamedTuple

from optimizer.solve.best import Best
from optimizer.solve.diving import Diving
from optimizer.solve.mixing import Mixing
from optimizer.solve.parts import Parts
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Solution


class Reach(NamedTuple):
    """How far searches go: what the relaxation prices no dearer is open. [cents]"""

    first_cents: float
    further_cents: tuple[float, ...]  # one after another
    each_s: float  # time for one, by load


NEAR_CENTS, NEAR_S, PART_CENTS = 40.0, 0.14, 1000.0
FAR = Reach(150.0, (400.0, 300.0, 220.0, 150.0), 0.35)
FAR_OF_MANY = Reach(60.0, (100.0, 75.0, 55.0, 40.0), 0.2)  # further out a search takes too long to begin with
MANY_LOADS = 30  # beyond, a job has many
FURTHER = 1.5  # times as far, and as long, once all of these were
PART_S, MIXTURE_S = 1.5, 2.5  # for a few loads anew, for a mixture
PARTS_IN_VAIN = 0.15  # in a row, by load, before the next search
IN_VAIN = 8  # searches in a row, with what follows them, before nothing more is expected


class Better:
    """One search for better solutions, which ends once somebody asks to, or after several rounds in vain."""

    def __init__(self, best: Best, relaxed: Relaxation, take: Callable[[Solution], Any]) -> None:
        """take: Takes a solution of the whole model if it is better than the best one and can be cut."""
        self._best, self._relaxed, self._take = best, relaxed, take
        self._diving = Diving(best)
        self._mixing = Mixing(best.built.v)
        self._parts = Parts(best.built.v)
        self._loads = len(best.built.v.instance.loads)
        self._reach = FAR_OF_MANY if self._loads > MANY_LOADS else FAR
        self._parts_in_vain = max(3, round(PARTS_IN_VAIN * self._loads))

    def rounds(self) -> Iterator[int]:
        """After each far search with what follows it: how many there were, the first of them 0."""
        first, in_vain = self._best.solution, 0
        self._far(first, NEAR_CENTS, NEAR_S)
        start = self._far(first, self._reach.first_cents, self._reach.each_s)
        for n in count():
            before_cents = self._best.cost_cents
            if n:
                self._far(start, *self._further(n - 1))
            self._mix()
            self._few_loads_anew()
            in_vain = 0 if self._best.cost_cents < before_cents else in_vain + 1
            yield n
            if in_vain == IN_VAIN or self._is_over:
                return

    def _further(self, n: int) -> tuple[float, float]:
        """How far the nth search after the first ones reaches, and how long it takes for each load. [cents], [s]"""
        times, which = divmod(n, len(self._reach.further_cents))
        growth = FURTHER**times
        return growth * self._reach.further_cents[which], growth * self._reach.each_s

    @property
    def _is_over(self) -> bool:
        return self._best.is_over or self._best.halt.is_set()

    def _far(self, start: Solution, reach_cents: float, each_s: float) -> Solution:
        """From a solution over all that is within reach; where nothing cheaper is found, the solution itself."""
        held = self._relaxed.dear(reach_cents, start)
        found = self._diving.below(start, held, limit_s=each_s * self._loads, on_solution=self._take).solution
        if found is not None:
            self._best.look_at(found)
        self._keep(found or start)
        return found or start

    def _mix(self) -> None:
        while not self._is_over and (mixture := self._mixing.next()) is not None:
            cheaper, common = mixture
            found = self._diving.below(cheaper, common, limit_s=MIXTURE_S, on_solution=self._take).solution
            if found is not None:
                self._keep(found)

    def _few_loads_anew(self) -> None:
        solution, in_vain = self._best.solution, 0
        while in_vain < self._parts_in_vain and not self._is_over:
            held = self._relaxed.dear(PART_CENTS, solution) | self._parts.held(solution)
            found = self._diving.below(solution, held, limit_s=PART_S, on_solution=self._take)
            if found.solution is not None:
                solution, in_vain = found.solution, 0
                continue
            in_vain += 1
            self._parts.widen() if found.is_ended else self._parts.narrow()
        self._keep(solution)

    def _keep(self, solution: Solution) -> None:
        self._mixing.add(solution, self._best.cents_of(solution))
