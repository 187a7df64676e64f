"""What is looked at around the whole model, which HiGHS and CP-SAT take long over.

First the relaxation is made tighter by rows of cutting that it breaks. Up to twelve loads what it prices near is looked
at before the whole model is asked; of more, ever better solutions are looked for while it is.
"""

from __future__ import annotations

from optimizer.solve.best import Best
from optimizer.solve.better import Better
from optimizer.solve.cases import Cases
from optimizer.solve.circuits import MANY_LOADS
from optimizer.solve.packing import broken_row
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Solution
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total

SHARE, MOST_S = 0.5, 30.0  # of the time left, and at the most, where the whole model has to wait for it
TIGHTEN, TIGHTEN_MANY = (1e-4, 5), (6e-4, 2)  # rows are added until so many rounds raise the bound by less than a share
NEAR_CENTS = (75.0, 200.0)  # what the relaxation prices no dearer is near, and where nothing better is, so much
CASES_AFTER = 2  # rounds of better solutions; then the bound is raised in between, the longer the more were in vain


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
            self._look_near(relaxed, best.solution, until_s)
        return relaxed

    def on(self, relaxed: Relaxation, cases: Cases) -> None:
        """While the bound is raised: ever better solutions, and the bound in between and once nothing more is found."""
        best = self._best
        if not best.solution:
            self._look_near(relaxed, [], best.elapsed_s + best.left_s)
        if best.solution:
            began_s = best.elapsed_s
            for n, in_vain in enumerate(Better(best, relaxed, cases, self._take).rounds()):
                if n >= CASES_AFTER and not self._is_over:
                    cases.work(until_s=best.elapsed_s + in_vain * (best.elapsed_s - began_s))
                began_s = best.elapsed_s
            if not self._is_over:
                cases.work()

    @property
    def _is_over(self) -> bool:
        return self._best.is_over or self._best.halt.is_set()

    def tightened(self, until_s: float) -> Relaxation | None:
        """The relaxation with rows of cutting that it breaks, one after another, in the model as well."""
        best, in_vain = self._best, 0
        share, most_in_vain = TIGHTEN_MANY if len(best.built.v.instance.loads) > MANY_LOADS else TIGHTEN
        relaxing = best.linear().relaxing(best.halt)
        relaxed = relaxing.solve(until_s - best.elapsed_s)
        while relaxed is not None and in_vain < most_in_vain and not self._is_over:
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
            in_vain = 0 if gain > share * tighter.bound_cents else in_vain + 1
            relaxed = tighter
        if relaxed is not None:
            best.raise_bound(relaxed.bound_cents)
        return relaxed

    def _look_near(self, relaxed: Relaxation, but: Solution, until_s: float) -> None:
        """The model without what the relaxation prices dear. Where nothing better lies that near, further out.

        Args:
            but: A solution whose own variables are not left out; may be empty.
        """
        best, before = self._best, self._best.cents
        for cents in NEAR_CENTS:
            found = best.linear().look(
                relaxed.dear(cents, but),
                limit_s=until_s - best.elapsed_s,
                stop=best.halt,
                on_solution=best.look_at,
            )
            if found is not None:
                self._take(found)
            if best.cents != before or best.elapsed_s >= until_s or self._is_over:
                return

    def _take(self, solution: Solution) -> None:
        """Takes a better solution. Where it cannot be cut, what its circuits take is bought."""
        best = self._best
        is_better = not best.solution or best.cents_of(solution) < best.cost_cents
        if is_better and not best.keeps(solution):
            self._settling.settle(solution)
