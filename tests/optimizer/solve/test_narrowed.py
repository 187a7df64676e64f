"""The model without what is too dear: it keeps every plan of the least price, and its bound never passes it."""

from __future__ import annotations

from typing import Any

import pytest

from optimizer import solving
from optimizer.by_hand import improved
from optimizer.progress import Progress
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


def test_a_cheaper_plan_from_elsewhere_leaves_less() -> None:
    best = _begun("023")
    best.note(10**6)
    narrowed = _narrowed(best)
    before = len(narrowed.too_dear())
    best.note(case("023").total_cents or 0)
    assert len(narrowed.too_dear()) > before


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
@pytest.mark.usefixtures("long_steps")
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
