"""The bound from below, step by step: every step is below the least price, and what is left in the end is the least."""

from __future__ import annotations

import threading

import pytest
from ortools.sat.python import cp_model

from optimizer.solve import refuting as refuting_module
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.narrowed import Narrow, Narrowed
from optimizer.solve.refuting import Refuting
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from tests.optimizer.cases import case


class _Begun:
    """A search of a shared case, with the steps it takes."""

    def __init__(self, number: str, known_cents: int | None = None, stop: threading.Event | None = None) -> None:
        least_cents = case(number).total_cents
        assert least_cents is not None
        self.least_cents = least_cents
        built = build_model(build(case(number).job, case(number).catalogue))
        built.cp.minimize(total(built.bought.cost))
        self.best = Best(built, 600, None, stop, known_cents, is_worked_over=False)
        relaxed = LookAround(self.best, Settling(self.best, few_loads=False)).tightened(600)
        assert relaxed is not None
        self.steps: list[Narrow] = []
        self.reached_cents: list[float] = []  # by each step, beyond what was proven before it
        self.refuting = Refuting(self.best, _Noting(self, Narrowed(self.best, relaxed)), relaxed.least_cents)

    def proven_cents(self) -> int:
        """What a run proves: its answer, or the best solution found on the way, once all below it is refuted."""
        outcome = self.refuting.run()
        assert outcome.status == cp_model.OPTIMAL or self.best.is_least
        return self.best.cents_of(outcome.solution or self.best.solution)


class _Noting(Narrowed):
    def __init__(self, begun: _Begun, narrowed: Narrowed) -> None:
        self._begun, self._narrowed = begun, narrowed

    def model(self, most_cents: float = float("inf")) -> Narrow:
        self._begun.steps.append(self._narrowed.model(most_cents))
        self._begun.reached_cents.append(most_cents - self._begun.best.bound_cents)
        return self._begun.steps[-1]


@pytest.mark.parametrize("number", ["007", "023", "031", "066"])
@pytest.mark.parametrize("above_cents", [0, 300, None])
def test_it_comes_to_the_least_price(number: str, above_cents: int | None) -> None:
    """Whether the least price, a dearer one or none is known before."""
    known = None if above_cents is None else (case(number).total_cents or 0) + above_cents
    begun = _Begun(number, known)
    assert begun.proven_cents() == begun.least_cents
    assert begun.best.bound_cents == begun.least_cents


def test_steps_that_find_nothing_are_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """They leave more and more of the model open, and none goes as far as the least price."""
    monkeypatch.setattr(refuting_module, "_FIRST", 0.001)
    monkeypatch.setattr(refuting_module, "_TIME_S", 100.0)
    begun = _Begun("023", 10**6)
    begun.refuting.run()
    *refuted, last = begun.steps
    assert len(refuted) > 2
    assert not any(step.has_known for step in begun.steps)
    assert [step.too_dear for step in begun.steps] == sorted((step.too_dear for step in begun.steps), reverse=True)
    assert refuted[-1].most_cents < begun.least_cents <= last.most_cents
    assert refuted[-1].most_cents < begun.best.bound_cents <= begun.least_cents


def test_a_step_not_refuted_in_its_time_is_followed_by_one_half_as_long(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = _Begun("023", 10**6)
    refuting = begun.refuting

    def in_vain(_: Narrow) -> refuting_module.Outcome:
        begun.best._start_s -= refuting._step_s  # its time has gone by
        if len(begun.steps) == 2:
            begun.best.ended.set()
        return refuting_module.Outcome(int(cp_model.UNKNOWN))

    monkeypatch.setattr(refuting, "_ask", in_vain)
    assert refuting.run().status == cp_model.UNKNOWN
    first, second = begun.reached_cents
    assert second == pytest.approx(first / 2, abs=1)  # a bound is in whole cents


def test_a_step_goes_no_further_than_what_is_left_of_the_time_does_for() -> None:
    """Of 100 cents it took 10 s, of 100 more 40 s: 50 cents double it. 80 / 0.6 s are left: 50 cents more."""
    begun = _Begun("023", 10**6)
    refuting, least = begun.refuting, begun.refuting._none_below_cents
    for further, took_s in ((100, 10.0), (200, 40.0)):
        begun.best._limit_s = begun.best.elapsed_s + 80 / 0.6
        refuting._none_below_cents = least + further
        refuting._step_cents = 1000.0
        refuting._adapt(took_s, is_refuted=True)
    assert refuting._step_cents == pytest.approx(50, abs=0.5)


def test_a_step_is_taken_anew_once_a_plan_known_leaves_less_than_half_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = _Begun("023", 10**6)
    monkeypatch.setattr(refuting_module, "_FIRST", 1.0)  # far beyond the least price
    narrowed = begun.refuting._narrowed
    begun.refuting = Refuting(begun.best, narrowed, begun.best.bound_cents)
    known = begun.least_cents + 1
    asked = narrowed.model

    def finding(most_cents: float) -> Narrow:
        narrow = asked(most_cents)
        begun.best.note(known)
        return narrow

    monkeypatch.setattr(narrowed, "model", finding)
    assert begun.proven_cents() == begun.least_cents
    assert begun.steps[0].most_cents > known > begun.steps[1].most_cents


def test_a_price_that_no_plan_of_the_model_has_proves_nothing() -> None:
    begun = _Begun("023")
    begun.best.note(begun.best.bound_cents // 2)
    outcome = begun.refuting.run()
    assert (outcome.status, outcome.solution) == (cp_model.UNKNOWN, None)
    assert begun.best.halt.is_set()
    assert begun.best.bound_cents <= begun.least_cents


def test_a_step_refuted_as_somebody_stops_is_no_answer_to_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    stop = threading.Event()
    begun = _Begun("023", 10**6, stop)
    asked = begun.refuting._ask

    def stopped(narrow: Narrow) -> refuting_module.Outcome:
        outcome = asked(narrow)
        stop.set()
        return outcome

    monkeypatch.setattr(begun.refuting, "_ask", stopped)
    assert begun.refuting.run().status == cp_model.UNKNOWN
    assert len(begun.steps) == 1
