"""Good solutions of parts of the model: HiGHS, asked for the whole of it, takes long to find any.

First the relaxation is made tighter by rows of cutting that it breaks. Then what it prices dear is left out. Of many
loads, at last, a few are chosen anew at a time.
"""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.solve.best import Best
from optimizer.solve.bought_first import BoughtFirst
from optimizer.solve.linear import LinearModel
from optimizer.solve.packing import broken_row
from optimizer.solve.parts import Parts
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total

SHARE, MOST_S = 0.5, 30.0  # of the time left, and at the most, where the whole model has to wait for it
TIGHTEN_SHARE, TIGHTEN_IN_VAIN = 1e-4, 5  # rows are added until so many rounds raise the bound by less
NEAR_CENTS = (75.0, 200.0)  # what the relaxation prices no dearer is near, and where nothing better is, so much
NEAR_SHARE, NEAR_S = 0.3, 8.0  # of the time left, and at the most, before parts are looked at
PART_CENTS, PART_CLOSE, PART_S = 300.0, 0.004, 2.5  # what is left out as dear, relative gap, time for one
BOUGHT_FIRST_SHARE = 0.5  # of the time left, once parts were looked at in vain
IN_VAIN, MOST_GROWTH = 8, 1.6  # parts in a row without anything better, after which they get larger, up to so much


class LookAround:
    """One look around; what cannot be cut on the way is ruled out of the model."""

    def __init__(self, best: Best, settling: Settling) -> None:
        self._best = best
        self._settling = settling

    def first(self) -> Relaxation | None:
        """Before the whole model is asked: what is near alone, in a share of the time."""
        best = self._best
        until_s = best.elapsed_s + min(SHARE * best.left_s, MOST_S)
        relaxed = self.tightened(until_s)
        if relaxed is not None:
            self._look_near(relaxed, NEAR_CENTS, until_s)
        return relaxed

    def on(self, relaxed: Relaxation) -> None:
        """While the whole model is asked: what is near, then parts of the loads, until that ends."""
        best = self._best
        if not best.solution:
            self._look_near(relaxed, NEAR_CENTS, best.elapsed_s + best.left_s)
        else:
            self._look_near(relaxed, NEAR_CENTS[:1], best.elapsed_s + min(NEAR_SHARE * best.left_s, NEAR_S))
        if best.solution:
            parts = Parts(best.built.v)
            self._look_at_parts(parts, relaxed)
            if not self._is_over:
                BoughtFirst(best, relaxed, self._take).run(BOUGHT_FIRST_SHARE * best.left_s)
            while parts.growth <= MOST_GROWTH and not self._is_over:
                self._look_at_parts(parts, relaxed)
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

    def _look_near(self, relaxed: Relaxation, within_cents: Sequence[float], until_s: float) -> None:
        """The model without what the relaxation prices dear. Where nothing better lies that near, further out."""
        best, before = self._best, self._best.cents
        for cents in within_cents:
            linear = best.linear()
            found = linear.minimize(
                limit_s=until_s - best.elapsed_s,
                stop=best.halt,
                on_solution=best.look_at,
                on_bound=best.raise_bound,
                held=relaxed.dear(cents, best.solution),
            )
            self._take(linear, found.solution)
            if best.cents != before or best.elapsed_s >= until_s or self._is_over:
                return

    def _look_at_parts(self, parts: Parts, relaxed: Relaxation) -> None:
        """A few loads chosen anew at a time, those of some places, with all that is bought; the others are held.

        Ends after several in vain, and makes the parts larger.
        """
        best, in_vain = self._best, 0
        linear = best.linear()
        while in_vain < IN_VAIN and not self._is_over:
            found = linear.minimize(
                limit_s=min(PART_S * parts.growth, best.left_s),
                stop=best.halt,
                on_solution=lambda _: None,
                on_bound=best.raise_bound,
                held=relaxed.dear(PART_CENTS, best.solution) | parts.held(best.solution),
                close=PART_CLOSE,
            )
            before = best.worth
            if not self._take(linear, found.solution):
                linear = best.linear()
            in_vain = 0 if best.worth < before else in_vain + 1
        parts.grow()

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
