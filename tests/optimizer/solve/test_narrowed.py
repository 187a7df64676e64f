"""The model without what is too dear: it keeps every plan of the least price, and its bound never passes it."""

from __future__ import annotations

from typing import Any

import pytest
from ortools.sat.python import cp_model

from optimizer import solving
from optimizer.by_hand import improved
from optimizer.progress import Progress
from optimizer.solve import narrowed as narrowed_module
from optimizer.solve import search
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.narrowed import Narrowed
from optimizer.solve.search import Search
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from optimizer.solving import cheapest_plan
from tests.optimizer.cases import case


def _begun(number: str) -> Best:
    built = build_model(build(case(number).job, case(number).catalogue))
    built.cp.minimize(total(built.bought.cost))
    return Best(built, 600, None, None, None, is_worked_over=False)


def _narrowed(best: Best) -> Narrowed:
    relaxed = LookAround(best, Settling(best, few_loads=False)).tightened(600)
    assert relaxed is not None
    return Narrowed(best, relaxed)


@pytest.mark.parametrize("number", ["007", "023", "031", "066"])
def test_the_least_price_is_left_in_it(number: str) -> None:
    best, best_cents = _begun(number), case(number).total_cents
    assert best_cents is not None
    best.note(best_cents)
    narrowed = _narrowed(best)
    assert narrowed.too_dear()
    status, solution = narrowed.least_price()
    assert status == cp_model.OPTIMAL
    assert solution is not None
    assert best.linear().whole.cents(solution) == best.bound_cents == best_cents


def test_a_cheaper_plan_from_elsewhere_leaves_less() -> None:
    best = _begun("023")
    best.note(10**6)
    narrowed = _narrowed(best)
    before = narrowed.left()
    best.note(case("023").total_cents or 0)
    assert narrowed.left() < before


def test_it_looks_further_step_by_step_while_the_plan_known_is_far_dearer(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each step that finds nothing is a bound; none is above the least price."""
    monkeypatch.setattr(narrowed_module, "_FURTHER", 1.0)
    monkeypatch.setattr(narrowed_module, "_FURTHER_CENTS", 200.0)
    best, least_cents = _begun("023"), case("023").total_cents
    assert least_cents is not None
    best.note(10**6)
    narrowed, steps = _narrowed(best), []
    every_plan, build_narrow = narrowed.model().left, narrowed.model
    monkeypatch.setattr(narrowed, "model", lambda most_cents: (steps.append(build_narrow(most_cents)), steps[-1])[1])
    status, solution = narrowed.least_price()
    assert status == cp_model.OPTIMAL
    assert solution is not None
    assert best.linear().whole.cents(solution) == least_cents
    assert len(steps) > 1
    assert not any(step.has_known for step in steps)
    assert [step.left for step in steps] == sorted(step.left for step in steps)
    assert steps[0].left < every_plan
    assert steps[-2].most_cents < least_cents <= steps[-1].most_cents
    assert steps[-2].most_cents <= best.bound_cents <= least_cents


def test_a_price_that_the_model_does_not_have_proves_nothing() -> None:
    best = _begun("023")
    narrowed = _narrowed(best)
    best.note(best.bound_cents // 2)
    assert narrowed.least_price() == (cp_model.UNKNOWN, None)
    assert best.halt.is_set()
    assert best.bound_cents <= case("023").total_cents


@pytest.mark.parametrize("few_loads", [0, 12])
def test_a_price_that_no_plan_has_hides_none(monkeypatch: pytest.MonkeyPatch, few_loads: int) -> None:
    """Told of half the least price, a search comes to the least price all the same, or proves nothing."""
    monkeypatch.setattr(search, "FEW_LOADS", few_loads)
    monkeypatch.setattr(search, "LOADS_TO_LOOK", 0)
    least_cents = case("023").total_cents
    assert least_cents is not None
    built = build_model(build(case("023").job, case("023").catalogue))
    solved = Search(built, 600, None, None, known_cents=least_cents // 2).run()
    assert solved.status != "infeasible"
    if few_loads:
        assert (solved.status, solved.total_cents) == ("optimal", least_cents)
    assert solved.total_cents is None or solved.total_cents >= least_cents
    assert solved.bound_cents is None or solved.bound_cents <= least_cents


def test_choices_whose_plan_does_not_hold_set_no_price(monkeypatch: pytest.MonkeyPatch) -> None:
    """However cheap their plan would be: it is not known to stand."""
    monkeypatch.setattr(solving, "failures", lambda checks: ["broken"])
    known: list[int | None] = []
    begin = Search.__init__

    def noted(self: Search, *given: Any, **named: Any) -> None:
        known.append(named["known_cents"])
        begin(self, *given, **named)

    monkeypatch.setattr(Search, "__init__", noted)
    instance = build(case("066").job, case("066").catalogue)
    assert improved(instance) is not None
    cheapest_plan(instance)
    assert known == [None, None]


@pytest.mark.parametrize("number", ["007", "023"])
def test_many_loads_are_asked_for_so(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads. No bound on the way passes the least price."""
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    told: list[Progress] = []
    built = build_model(build(case(number).job, case(number).catalogue))
    solved = Search(built, 600, told.append, None).run()
    best_cents = case(number).total_cents
    assert (solved.status, solved.total_cents, solved.bound_cents) == ("optimal", best_cents, best_cents)
    assert best_cents is not None
    assert all(progress.bound_cents is None or progress.bound_cents <= best_cents for progress in told)
    assert all(progress.best_cents is None or progress.best_cents >= best_cents for progress in told)


@pytest.mark.parametrize("number", ["007", "023", "062", "066"])
def test_ties_come_out_the_same_without_what_is_too_dear(number: str, monkeypatch: pytest.MonkeyPatch) -> None:
    instance = build(case(number).job, case(number).catalogue)
    whole = cheapest_plan(instance)
    left_out: list[int] = []
    too_dear = Narrowed.too_dear

    def noted(self: Narrowed) -> dict[int, int]:
        left_out.append(len(too_dear(self)))
        return too_dear(self)

    monkeypatch.setattr(search, "LOADS_TO_LOOK", 1)
    monkeypatch.setattr(Narrowed, "too_dear", noted)
    assert cheapest_plan(instance) == whole
    assert len(left_out) == 2  # for price and power, and for the other ties
    assert left_out[-1] > 0
