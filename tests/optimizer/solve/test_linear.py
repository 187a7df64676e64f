"""HiGHS on a part of the model: good solutions, and no bound that would hold for the part only."""

from __future__ import annotations

import threading

import pytest

from optimizer.by_hand import improved
from optimizer.planner import plan
from optimizer.solve import search
from optimizer.solve.around import LookAround
from optimizer.solve.instance import build
from optimizer.solve.linear import LinearModel
from optimizer.solve.model import build_model
from optimizer.solve.rows import Rows
from optimizer.solve.search import Search
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case


def _case() -> tuple[LinearModel, int]:
    job, catalogue, _, best_cents = case("023")
    built = build_model(build(job, catalogue))
    built.cp.minimize(total(built.bought.cost))
    assert best_cents is not None
    return LinearModel(Rows(built.cp, built.bought.cost).read()), best_cents


@pytest.mark.parametrize("within_cents", [0.0, 10_000.0])
def test_a_look_at_a_small_model_comes_to_solutions_of_the_whole(within_cents: float) -> None:
    linear, best_cents = _case()
    relaxed = linear.relaxing().solve(60)
    assert relaxed is not None
    assert 0.8 * best_cents < relaxed.bound_cents <= best_cents
    found = linear.look(relaxed.dear(within_cents, []), limit_s=60, stop=None)
    if found is not None:
        assert linear.whole.holds(found)
        assert linear.whole.cents(found) >= best_cents
    if within_cents:
        assert found is not None
        assert linear.whole.cents(found) <= 1.01 * best_cents


@pytest.mark.parametrize(("over_cents", "is_found"), [(0, False), (1, True), (500, True)])
def test_a_look_finds_only_what_is_cheaper_than_it_is_asked_for(over_cents: int, is_found: bool) -> None:
    linear, best_cents = _case()
    found = linear.look({}, limit_s=60, stop=None, close=0.0, below_cents=best_cents + over_cents)
    assert (None if found is None else linear.whole.cents(found)) == (best_cents if is_found else None)


def test_a_look_ends_where_somebody_asks_to_stop() -> None:
    linear, _ = _case()
    stop, found = threading.Event(), []
    stop.set()
    assert linear.look({}, limit_s=60, stop=stop, on_solution=found.append) is None
    assert not found


def test_a_relaxation_ends_where_somebody_asks_to_stop() -> None:
    built, stop = build_model(build(*made_up_job(6, 3, 120, 1))), threading.Event()
    linear = LinearModel(Rows(built.cp, built.bought.cost).read())
    assert linear.relaxing(stop).solve(60) is not None
    stop.set()
    assert linear.relaxing(stop).solve(60) is None


def test_a_look_around_changes_no_total(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every job counts as one to look around in first, and to ask HiGHS for in the end."""
    looked = []
    job, catalogue, _, best_cents = case("023")
    monkeypatch.setattr(search, "LOADS_TO_LOOK", 0)
    monkeypatch.setattr(search, "JOINT_LIMIT", 0.0)
    first = LookAround.first
    monkeypatch.setattr(LookAround, "first", lambda self: (looked.append(1), first(self))[1])
    answer = plan(job, catalogue)
    assert looked == [1]
    assert (answer.status, answer.total_cents) == ("optimal", best_cents)


def test_the_least_price_alone_is_the_same_price() -> None:
    job, catalogue, _, best_cents = case("023")
    instance = build(job, catalogue)
    solved = Search(build_model(instance), 60, None, None, improved(instance), by_price_alone=True).run()
    assert (solved.status, solved.total_cents, solved.bound_cents) == ("optimal", best_cents, best_cents)
