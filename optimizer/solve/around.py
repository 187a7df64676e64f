"""Good solutions of parts of the model: HiGHS, asked for the whole of it, takes long to find any.

First the relaxation is made tighter by rows of cutting that it breaks. Then what it prices dear is left out. Of many
loads, at last, one side of a solution is kept at a time and the rest chosen anew.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from optimizer.solve.best import Best
from optimizer.solve.bought_first import BoughtFirst
from optimizer.solve.linear import LinearModel, Look
from optimizer.solve.packing import broken_row
from optimizer.solve.parts import Parts
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Solution
from optimizer.solve.settling import Settling
from optimizer.solve.sides import MANY_LOADS, Side, in_turn, other_sellers
from optimizer.solve.variables import total

SHARE, MOST_S = 0.5, 30.0  # of the time left, and at the most, where the whole model has to wait for it
TIGHTEN_SHARE, TIGHTEN_IN_VAIN = 1e-4, 5  # rows are added until so many rounds raise the bound by less
NEAR_CENTS = (75.0, 200.0)  # what the relaxation prices no dearer is near, and where nothing better is, so much
NEARER_CENTS = (40.0, 200.0)  # the same of 13 to 30 loads
NEAR_SHARE, NEAR_S = 0.3, 0.2  # of the time left, and at the most for each load
LOOK_S, LOOK_CLOSE = 5.0, 5e-4  # time for one look, relative gap
IN_VAIN, ROUNDS = 6, 4  # looks in a row, and how often more, before the whole model is asked
BOUGHT_FIRST_SHARE = 0.5  # of the time left, once looks were in vain
ELSEWHERE_CENTS = 200.0  # as near, with one seller more or less

Turn = Side | Parts


class LookAround:
    """One look around; what cannot be cut on the way is ruled out of the model."""

    def __init__(self, best: Best, settling: Settling) -> None:
        self._best = best
        self._settling = settling
        self._looks = 0
        self._loads = len(best.built.v.instance.loads)

    def first(self) -> Relaxation | None:
        """Before the whole model is asked: what is near alone, in a share of the time."""
        best = self._best
        until_s = best.elapsed_s + min(SHARE * best.left_s, MOST_S)
        relaxed = self.tightened(until_s)
        if relaxed is not None:
            self._look_near(relaxed, best.solution, NEAR_CENTS, until_s)
        return relaxed

    def on(self, relaxed: Relaxation) -> None:
        """While the whole model is asked: what is near, then looks by turns, until that ends."""
        best = self._best
        limit_s = min(NEAR_SHARE * best.left_s, NEAR_S * self._loads) if best.solution else best.left_s
        until_s = best.elapsed_s + limit_s
        if self._loads > MANY_LOADS:
            self._look_near(relaxed, best.solution, NEAR_CENTS, until_s)
        else:  # what is near is found sooner without what the plan by hand makes use of
            self._look_near(relaxed, [], NEARER_CENTS, until_s)
        if best.solution:
            turns = in_turn(best.built.v)
            self._look_by_turns(turns, relaxed)
            if not self._is_over:
                BoughtFirst(best, relaxed, self._take).run(BOUGHT_FIRST_SHARE * best.left_s)
            self._look_elsewhere(turns, relaxed)
            for _ in range(ROUNDS):
                self._look_by_turns(turns, relaxed)
        self._look_everywhere()

    @property
    def _is_over(self) -> bool:
        return self._best.is_over or self._best.halt.is_set()

    def tightened(self, until_s: float) -> Relaxation | None:
        """The relaxation with rows of cutting that it breaks, one after another, in the model as well."""
        best, in_vain = self._best, 0
        relaxing = best.linear().relaxing(best.halt)
        relaxed = relaxing.solve(until_s - best.elapsed_s)
        while relaxed is not None and in_vain < TIGHTEN_IN_VAIN and not self._is_over:
            best.raise_bound(relaxed.bound_cents)
            uses = best.built.bought.cutting.by_length
            rows = [row for use in uses if (row := broken_row(use, relaxed.value)) is not None]
            if not rows:
                break
            for terms, most in rows:
                relaxing.add(terms, most)
                best.built.cp.add(total(terms) <= most)
            tighter = relaxing.solve(until_s - best.elapsed_s)
            if tighter is None:
                break
            gain = tighter.bound_cents - relaxed.bound_cents
            in_vain = 0 if gain > TIGHTEN_SHARE * tighter.bound_cents else in_vain + 1
            relaxed = tighter
        if relaxed is not None:
            best.raise_bound(relaxed.bound_cents)
        return relaxed

    def _look_near(self, relaxed: Relaxation, but: Solution, near_cents: Sequence[float], until_s: float) -> None:
        """The model without what the relaxation prices dear. Where nothing better lies that near, further out.

        Args:
            but: A solution whose own variables are not left out; may be empty.
        """
        best, before = self._best, self._best.cents
        for cents in near_cents:
            linear = best.linear()
            found = linear.look(
                relaxed.dear(cents, but),
                limit_s=until_s - best.elapsed_s,
                stop=best.halt,
                on_solution=best.look_at,
            )
            self._take(linear, found.solution)
            if best.cents != before or best.elapsed_s >= until_s or self._is_over:
                return

    def _look_by_turns(self, turns: Sequence[Turn], relaxed: Relaxation, start: Solution | None = None) -> None:
        """Looks that each keep something of a solution, those that gain most in their time more often.

        Each goes further where it ended in vain, and less far where its time did not do. Ends after several in vain.

        Args:
            start: A solution to begin with, if not the best one.
        """
        best, mine, in_vain = self._best, start, 0
        gains = dict.fromkeys(turns, math.inf)  # cents a second, the last weighing as much as all before
        while in_vain < IN_VAIN and not self._is_over:
            turn, started_s = max(turns, key=lambda one: gains[one]), best.elapsed_s
            solution = mine or best.solution
            cents, found = best.cents_of(solution), self._look(turn, relaxed, solution)
            mine = mine and (found.solution or mine)
            gained = (cents - best.cents_of(mine or best.solution)) / (best.elapsed_s - started_s)
            gains[turn] = gained if math.isinf(gains[turn]) else (gains[turn] + gained) / 2
            in_vain = 0 if gained else in_vain + 1
            if in_vain:
                turn.widen() if found.is_ended else turn.narrow()

    def _look(self, turn: Turn, relaxed: Relaxation, solution: Solution) -> Look:
        """What is cheaper with one side of a solution kept."""
        best, linear = self._best, self._best.linear()
        self._looks += 1
        found = linear.look(
            relaxed.dear(turn.reach_cents, solution) | turn.held(solution),
            limit_s=min(LOOK_S, best.left_s),
            stop=best.halt,
            close=LOOK_CLOSE,
            below_cents=best.cents_of(solution),
            seed=self._looks,
        )
        self._take(linear, found.solution)
        return found

    def _look_elsewhere(self, turns: Sequence[Turn], relaxed: Relaxation) -> None:
        """Solutions that use one seller less or more, each looked at by turns before it is compared."""
        best = self._best
        for held in other_sellers(best.built.bought, best.solution):
            if self._is_over:
                return
            linear = best.linear()
            limit_s = min(NEAR_S * self._loads, best.left_s)
            found = linear.look(relaxed.dear(ELSEWHERE_CENTS, []) | held, limit_s=limit_s, stop=best.halt)
            self._take(linear, found.solution)
            if found.solution is not None:
                self._look_by_turns(turns, relaxed, found.solution)

    def _look_everywhere(self) -> None:
        """The whole model, which HiGHS now and then proves before the others do."""
        if not self._is_over:
            linear = self._best.linear()
            self._take(linear, self._best.least_by_highs().solution)

    def _take(self, linear: LinearModel, solution: list[int] | None) -> bool:
        """Takes a better solution. Where it cannot be cut, what its circuits take is bought; False: rows were added."""
        best = self._best
        if (
            solution is None
            or (best.solution and linear.whole.cents(solution) >= best.cost_cents)
            or best.keeps(solution)
        ):
            return True
        self._settling.settle(solution)
        return False
