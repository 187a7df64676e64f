"""What a search knows so far: its best solution with the cuts, the bound, and the time that is left."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from optimizer.by_hand import Answer
from optimizer.progress import Progress
from optimizer.solve.beside import AnyOf
from optimizer.solve.engine import Halt
from optimizer.solve.linear import Found, LinearModel
from optimizer.solve.model import PlanModel
from optimizer.solve.packing import Packed, Unfit, packed, rule_out
from optimizer.solve.rows import Rows
from optimizer.solve.rules import average_terms, most_average
from optimizer.solve.second_look import SecondLook
from optimizer.solve.variables import Var

Report = Callable[[Progress], None]
NO_LIMIT_S = 1e6


class Best:
    """The best solution so far. A solution stands once it can be cut; what cannot is ruled out of the model.

    Two threads may work on it, each of which takes `lock` where it reads or changes the model.
    """

    def __init__(
        self,
        built: PlanModel,
        time_limit_s: float | None,
        report: Report | None,
        stop: threading.Event | None,
        best_cents: int | None,
        *,
        is_worked_over: bool,
    ) -> None:
        """Nothing is known yet but a price.

        Args:
            best_cents: Of a plan told already. [cents]
            is_worked_over: Solutions found on the way are worked over by hand.
        """
        self.built = built
        self.stop = stop
        self.ended = threading.Event()  # nothing cheaper is left to be found, or whoever looks is to end
        self.halt: Halt = AnyOf(stop, self.ended)
        self.lock = threading.RLock()
        self.solution: list[int] = []  # of variables in their order; empty: none yet
        self.packed: list[Packed] = []  # its cuts, from spools that the model knows by length only
        self.worked_over: Answer | None = None  # the cheapest that the second look came to
        self.cents = best_cents
        self.bound_cents = 0
        self.undecided_cents: int | None = None  # a bound may not pass a solution nobody could cut or refute
        self.is_restricted = False  # the model leaves plans out: what it proves says nothing of those
        self._second_look = SecondLook(built.v) if is_worked_over else None
        self._rows = Rows(built.cp, built.bought.cost)
        self._linear: LinearModel | None = None
        self._limit_s = time_limit_s or NO_LIMIT_S
        self._report = report
        self._start_s = time.monotonic()
        self._power = average_terms(built.v)
        self._cent = 1 + most_average(built.v)  # weighed above any power

    # -- time -----------------------------------------------------------------------------------------------------

    @property
    def elapsed_s(self) -> float:
        return time.monotonic() - self._start_s

    @property
    def left_s(self) -> float:
        return self._limit_s - self.elapsed_s

    @property
    def is_over(self) -> bool:
        return self.left_s <= 0 or (self.stop is not None and self.stop.is_set())

    # -- the model ------------------------------------------------------------------------------------------------

    def linear(self) -> LinearModel:
        """The model as it is by now, for HiGHS."""
        with self.lock:
            whole = self._rows.read()
            if self._linear is None or whole is not self._linear.whole:
                self._linear = LinearModel(whole)
            return self._linear

    def least_by_highs(self) -> Found:
        """The least price of the whole model as it is by now, as far as HiGHS proves it before the search ends."""
        found = self.linear().minimize(
            limit_s=self.left_s,
            start=self.solution,
            stop=self.halt,
            on_solution=self.look_at,
            on_bound=self.raise_bound,
            known=lambda: self.solution,
        )
        if not found.is_infeasible:
            self.raise_bound(found.bound_cents)
        return found

    # -- reading --------------------------------------------------------------------------------------------------

    def value(self, var: Var) -> int:
        return self.solution[var.index]

    @property
    def is_least(self) -> bool:
        """Whether nothing cheaper is left to be found."""
        return bool(self.solution) and self.cost_cents <= self.bound_cents

    @property
    def cost_cents(self) -> int:
        return self.cents_of(self.solution)

    @property
    def worth(self) -> int:
        """Price, then power: the less the better."""
        return self._worth(self.solution)

    def cents_of(self, solution: list[int]) -> int:
        return sum(coef * solution[var.index] for coef, var in self.built.bought.cost)

    def _worth(self, solution: list[int]) -> int:
        return self._cent * self.cents_of(solution) + sum(coef * solution[var.index] for coef, var in self._power)

    # -- solutions ------------------------------------------------------------------------------------------------

    def look_at(self, solution: list[int]) -> None:
        """A solution found on the way: it stands if it can be cut."""
        self._stands(solution, self._cut(solution), ranked=True)
        if self._second_look is None:
            return
        with self.lock:
            answer = self._second_look.at(lambda var: solution[var.index])
            if answer is not None and (self.worked_over is None or answer.total_cents < self.worked_over.total_cents):
                self.worked_over = answer
                self.note(answer.total_cents)

    def consider(self, solution: list[int], *, ranked: bool = True) -> bool:
        """Whether a solution of the whole model can be cut; then it stands, if it is no dearer than the best so far.

        What cannot be cut, or was not found to be, is ruled out.

        Args:
            ranked: The cheaper solution is the better one; otherwise the newer, found under the price of the other.
        """
        found = self._cut(solution)
        for each in _unfit(found):
            if not each.is_proven and ranked:
                self.undecided_cents = self.bound_cents
            self._rule_out(each)
        return self._stands(solution, found, ranked=ranked)

    def keeps(self, solution: list[int]) -> bool:
        """The same for a solution of a part of the model: only what is sure not to fit is ruled out."""
        found = self._cut(solution)
        for each in _unfit(found):
            if each.is_proven:
                self._rule_out(each)
        return self._stands(solution, found, ranked=True)

    def _cut(self, solution: list[int]) -> list[Packed | Unfit]:
        return [packed(use, lambda var: solution[var.index]) for use in self.built.bought.cutting.by_length]

    def _rule_out(self, unfit: Unfit) -> None:
        with self.lock:
            rule_out(self.built.cp, unfit, self.built.bought.cutting.by_length)

    def _stands(self, solution: list[int], found: list[Packed | Unfit], *, ranked: bool) -> bool:
        if _unfit(found):
            return False
        with self.lock:
            if not ranked or not self.solution or self._worth(solution) < self.worth:
                self.solution = solution
                self.packed = [cuts for cuts in found if not isinstance(cuts, Unfit)]
                self.note(self.cost_cents)
                self._end_if_least()
        return True

    # -- telling --------------------------------------------------------------------------------------------------

    def raise_bound(self, cents: int) -> None:
        """Notes a better bound and tells of it; no bound may pass a solution nobody could cut or refute."""
        if self.is_restricted:
            return
        with self.lock:
            if self.undecided_cents is not None:
                cents = min(cents, self.undecided_cents)
            if cents > self.bound_cents:
                self.bound_cents = cents
                self._tell()
                self._end_if_least()

    def note(self, cents: int) -> None:
        """Notes the price of a plan and tells of it where it is the least so far."""
        with self.lock:
            if self.cents is None or cents < self.cents:
                self.cents = cents
                self._tell()

    def _end_if_least(self) -> None:
        if self.is_least:
            self.ended.set()

    @property
    def is_told(self) -> bool:
        """Whether anybody listens."""
        return self._report is not None

    def _tell(self) -> None:
        if self._report is not None:
            self._report(Progress(best_cents=self.cents, bound_cents=self.bound_cents, elapsed_s=self.elapsed_s))


def _unfit(found: list[Packed | Unfit]) -> list[Unfit]:
    return [each for each in found if isinstance(each, Unfit)]
