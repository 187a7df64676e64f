"""Ever better solutions of many loads: searches among what cheap cases buy, mixtures of what they find, parts anew.

Searches that begin at the best solution find little more. Those that begin at one not as good, each with what another
case buys on sale, end in different places, each good in other parts, and a mixture is mostly cheaper than any of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import count
from typing import Any

from optimizer.solve.best import Best
from optimizer.solve.cases import Cases
from optimizer.solve.circuits import MANY_LOADS
from optimizer.solve.diving import Dive, Diving
from optimizer.solve.mixing import Mixing, Mixture
from optimizer.solve.other_sellers import OtherSellers
from optimizer.solve.parts import Parts
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Solution
from optimizer.solve.sides import Side, circuits, conductors, feeds
from optimizer.solve.variables import Variables

NEAR_CENTS, PART_CENTS = 40.0, 1000.0  # what the relaxation prices no dearer is open in the first search, in a part
FAR_CENTS = (400.0, 300.0, 220.0, 150.0)  # and in every other one of the further searches, one after another
FIRST_CENTS_OF_MANY, FAR_CENTS_OF_MANY = 60.0, (100.0, 75.0, 55.0, 40.0)  # further out it takes too long to begin with
FURTHER = 1.5  # times as far, and as long, once all of these were
NEAR_S, CASE_S, FAR_S, FAR_S_OF_MANY = 0.14, 0.17, 0.35, 0.2  # for a search, by load
LAST_SHARE = 0.7  # of the time left, at the most: what the last search finds is to be mixed with the rest
PART_S, MIXTURE_S = 1.5, 2.5  # for a few loads anew, for a mixture
PARTS_IN_VAIN, PARTS_IN_VAIN_OF_MANY = 0.08, 0.15  # in a row, by load, before the next search
UNFIT = 4  # times that a mixture is asked for again because what was found could not be cut
CONDUCTORS, FEEDS, CIRCUITS = (1000.0, 0.08), (1000.0, 0.08), (60.0, 0.17)  # kept: how far, how long by load
CONDUCTORS_OF_MANY, FEEDS_OF_MANY, CIRCUITS_OF_MANY = (40.0, 0.04), (200.0, 0.06), (45.0, 0.08)
IN_VAIN = 8  # searches in a row, with what follows them, before nothing more is expected


class Better:
    """One search for better solutions, which ends once somebody asks to, or after several rounds in vain."""

    def __init__(self, best: Best, relaxed: Relaxation, cases: Cases, take: Callable[[Solution], Any]) -> None:
        """take: Takes a solution of the whole model if it is better than the best one and can be cut."""
        self._best, self._relaxed, self._cases, self._take = best, relaxed, cases, take
        self._diving = Diving(best)
        self._mixing = Mixing(best.built.v)
        self._parts = Parts(best.built.v)
        self._sellers = OtherSellers(best, relaxed, cases)
        self._loads = len(best.built.v.instance.loads)
        self._has_many = self._loads > MANY_LOADS
        self._sides = _sides(best.built.v, has_many=self._has_many)
        in_vain = PARTS_IN_VAIN_OF_MANY if self._has_many else PARTS_IN_VAIN
        self._parts_in_vain = max(3, round(in_vain * self._loads))

    def rounds(self) -> Iterator[int]:
        """After each search, with the mixtures and few loads anew that follow it: how many in a row were in vain."""
        first, in_vain = self._best.solution, 0
        start = self._search(first, self._relaxed.dear(NEAR_CENTS, first), NEAR_S)
        if self._has_many:
            start = self._search(first, self._relaxed.dear(FIRST_CENTS_OF_MANY, first), FAR_S_OF_MANY)
        for n in count():
            before_cents = self._best.cost_cents
            if not (n % 2 or self._has_many):
                self._search(start, self._cases.unsold(start), CASE_S)
            elif n:
                self._far(start, n)
            self._mix()
            if not self._has_many and (held := self._sellers.next()) is not None:
                self._search(self._best.solution, held, CASE_S)
                self._mix()
            self._one_side_kept()
            is_better = self._best.cost_cents < before_cents
            if is_better or not n or self._has_many:
                self._few_loads_anew()
            in_vain = 0 if is_better else in_vain + 1
            yield in_vain
            if in_vain == IN_VAIN or self._is_over:
                return

    @property
    def _is_over(self) -> bool:
        return self._best.is_over or self._best.halt.is_set()

    def _far(self, start: Solution, n: int) -> None:
        """Over what the relaxation prices near, in every other round; of many loads in each but the first."""
        reaches_cents, each_s = (FAR_CENTS_OF_MANY, FAR_S_OF_MANY) if self._has_many else (FAR_CENTS, FAR_S)
        times, which = divmod(n - 1 if self._has_many else n // 2, len(reaches_cents))
        growth = FURTHER**times
        self._search(start, self._near(growth * reaches_cents[which], start), growth * each_s)

    @property
    def _near(self) -> Callable[[float, Solution], dict[int, int]]:
        """What is dearer than so much, by the rows that cases are priced by, if there are any of so many loads."""
        return self._relaxed.dear if self._has_many else self._cases.far

    def _search(self, start: Solution, held: Mapping[int, int], each_s: float) -> Solution:
        """From a solution over all that is not held; where nothing cheaper is found, the solution itself."""
        best, limit_s = self._best, min(each_s * self._loads, LAST_SHARE * self._best.left_s)
        found = self._diving.below(start, held, limit_s=limit_s, on_solution=self._take).solution
        if found is not None:
            best.look_at(found)
        self._keeps(found or start)
        return found or start

    def _mix(self) -> None:
        """Mixtures, as long as they find something or leave nothing to be found."""
        while not self._is_over and (mixture := self._mixing.next(self._best.solution)) is not None:
            found = self._between(mixture)
            self._mixing.mixed(mixture, found.solution, is_ended=found.is_ended)
            if not found.is_ended and found.solution is None:
                return

    def _between(self, mixture: Mixture) -> Dive:
        """The cheapest mixture; where it cannot be cut, what is cheapest without it."""
        for _ in range(UNFIT):
            found = self._diving.below(self._best.solution, mixture.common, limit_s=MIXTURE_S, on_solution=self._take)
            if found.solution is None or self._keeps(found.solution) or self._is_over:
                return found
        return Dive(None, is_ended=False)

    def _few_loads_anew(self) -> None:
        solution, in_vain = self._best.solution, 0
        while in_vain < self._parts_in_vain and not self._is_over:
            held = self._relaxed.dear(PART_CENTS, solution) | self._parts.held(solution)
            found = self._diving.below(solution, held, limit_s=PART_S, on_solution=self._take)
            if found.solution is not None and self._keeps(found.solution):
                solution, in_vain = found.solution, 0
                continue
            in_vain += 1
            self._parts.widen() if found.is_ended else self._parts.narrow()

    def _one_side_kept(self) -> None:
        """Beside the best solution, side after side; from the first one again as long as something cheaper is found."""
        while not self._is_over and any(self._beside_best(side) for side in self._sides):
            pass

    def _beside_best(self, side: Side) -> bool:
        """Is there a cheaper solution with that side kept? Ever further from the best one, as far as there is time."""
        best, solution = self._best, self._best.solution
        cents, is_ended = best.cents_of(solution), True
        while is_ended and not (side.is_searched(cents) or self._is_over):
            held = self._near(side.near_cents, solution) | side.held(solution)
            found = self._diving.below(solution, held, limit_s=side.each_s * self._loads, on_solution=self._take)
            can_be_cut = found.solution is None or self._keeps(found.solution)
            is_ended = found.is_ended and can_be_cut
            side.searched(cents, cents - self._relaxed.least_cents, is_ended=is_ended)
            if best.cost_cents < cents:
                return True
        return False

    def _keeps(self, solution: Solution) -> bool:
        """Keeps a solution to be mixed with others, and the best one, which may be what became of it. Can it be cut?

        What is sure not to fit is ruled out.
        """
        best = self._best
        stands = best.keeps(solution)
        for each in (solution, best.solution):
            self._mixing.add(each, best.cents_of(each))
        return stands


def _sides(v: Variables, *, has_many: bool) -> list[Side]:
    """What is kept in turn, that first which leaves least open."""
    if has_many:
        kept = (feeds(v), FEEDS_OF_MANY), (conductors(v), CONDUCTORS_OF_MANY), (circuits(v), CIRCUITS_OF_MANY)
    else:
        kept = (conductors(v), CONDUCTORS), (feeds(v), FEEDS), (circuits(v), CIRCUITS)
    return [Side(variables, *reach) for variables, reach in kept]
