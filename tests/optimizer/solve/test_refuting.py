"""The least price from below: all that is cheaper is refuted, and what is left in the end is the least."""

from __future__ import annotations

import threading

import pytest
from ortools.sat.python import cp_model

from optimizer.solve import refuting as refuting_module
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.cases import Cases, Outcome, ask
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.narrowed import Narrow, Narrowed
from optimizer.solve.refuting import Refuting
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from tests.optimizer.cases import case

pytestmark = pytest.mark.usefixtures("long_steps")


class _Begun:
    """A search of a shared case."""

    def __init__(self, number: str, known_cents: int | None = None, stop: threading.Event | None = None) -> None:
        least_cents = case(number).total_cents
        assert least_cents is not None
        self.least_cents = least_cents
        built = build_model(build(case(number).job, case(number).catalogue))
        built.cp.minimize(total(built.bought.cost))
        self.best = Best(built, 600, None, stop, known_cents, is_worked_over=False)
        settling = Settling(self.best, few_loads=False)
        relaxed = LookAround(self.best, settling).tightened(600)
        assert relaxed is not None
        self.narrowed = Narrowed(self.best, relaxed)
        cases = Cases(self.best, self.narrowed, relaxed, settling.settle)
        self.refuting = Refuting(self.best, self.narrowed, cases)

    def proven_cents(self) -> int:
        """What a run proves: its answer, or the best solution found on the way, once all below it is refuted."""
        outcome = self.refuting.run()
        assert outcome.status == cp_model.OPTIMAL or self.best.is_least
        return self.best.cents_of(outcome.solution or self.best.solution)


@pytest.mark.parametrize(
    ("number", "above_cents"),
    [("023", 300), *((number, cents) for number in ("007", "031", "066") for cents in (0, 300, None))],
)
def test_it_comes_to_the_least_price(number: str, above_cents: int | None) -> None:
    """Whether the least price, a dearer one or none is known before."""
    known = None if above_cents is None else (case(number).total_cents or 0) + above_cents
    begun = _Begun(number, known)
    assert begun.proven_cents() == begun.least_cents
    assert begun.best.bound_cents == begun.least_cents


def test_a_price_that_no_plan_of_the_model_has_proves_nothing() -> None:
    begun = _Begun("023")
    begun.best.note(begun.best.bound_cents // 2)
    outcome = begun.refuting.run()
    assert (outcome.status, outcome.solution) == (cp_model.UNKNOWN, None)
    assert begun.best.halt.is_set()
    assert begun.best.bound_cents <= begun.least_cents


def test_cases_begin_once_a_plan_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever else finds one ends the question to the whole model."""
    begun = _Begun("023")
    asked: list[Narrow] = []

    def finding(best: Best, narrow: Narrow, *given: object) -> Outcome:
        asked.append(narrow)
        best.note(begun.least_cents + 100)
        return Outcome(int(cp_model.UNKNOWN)) if len(asked) == 1 else ask(best, narrow, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(refuting_module, "ask", finding)
    assert begun.proven_cents() == begun.least_cents
    assert not asked[0].too_dear


def test_once_somebody_stops_there_is_no_answer() -> None:
    stop = threading.Event()
    begun = _Begun("023", 10**6, stop)
    stop.set()
    assert begun.refuting.run() == (cp_model.UNKNOWN, None)
    assert begun.best.bound_cents < begun.least_cents
