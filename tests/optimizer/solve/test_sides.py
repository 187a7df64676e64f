"""One side of a solution kept: what is open beside it, and how far the next search goes."""

from __future__ import annotations

import math

import pytest

from optimizer.solve.best import Best
from optimizer.solve.instance import build
from optimizer.solve.sides import Side, circuits, conductors, feeds
from optimizer.solve.variables import Var
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.solve.begun import begun


@pytest.fixture(scope="module")
def best() -> Best:
    """Of a job of four loads at two places."""
    return begun(build(*made_up_job(4, 2, 90, 1)))[0]


def _indices(variables: list[Var]) -> set[int]:
    return {var.index for var in variables}


def test_what_is_kept_is_the_solutions_and_what_is_bought_is_open(best: Best) -> None:
    v = best.built.v
    bought = _indices(list(best.built.bought.quantity.values()))
    for kept in (conductors(v), feeds(v), circuits(v)):
        held = Side(kept, 10.0, 1.0).held(best.solution)
        assert held == {index: best.solution[index] for index in kept}
        assert not held.keys() & bought


def test_a_side_is_all_of_its_kind_and_no_other(best: Best) -> None:
    v = best.built.v
    pairs = _indices([var for circuit in v.circuits for _, var in v.pairs(circuit)])
    laid = _indices([var for circuit in v.circuits for var in v.opened(circuit)])
    fed = _indices([var for load in v.instance.loads for _, var in v.all_feeds(load)])
    assert set(conductors(v)) == pairs
    assert set(circuits(v)) == laid
    assert laid | fed <= set(feeds(v))
    assert not pairs & set(feeds(v))


def test_a_search_that_ends_is_followed_by_one_further_out() -> None:
    side = Side([], 100.0, 1.0)
    side.searched(5_000, 400.0, is_ended=True)
    assert side.near_cents > 100
    assert not side.is_searched(5_000)


def test_a_search_that_does_not_end_is_followed_by_one_less_far() -> None:
    side = Side([], 100.0, 1.0)
    side.searched(5_000, 400.0, is_ended=False)
    assert side.near_cents < 100
    assert not side.is_searched(5_000)


def test_what_was_searched_is_not_searched_again_beside_the_same_solution() -> None:
    """Further out there was no time, so that there is nothing left to ask until something cheaper is known."""
    side = Side([], 100.0, 1.0)
    side.searched(5_000, 400.0, is_ended=True)
    side.searched(5_000, 400.0, is_ended=False)
    assert math.isclose(side.near_cents, 100)
    assert side.is_searched(5_000)
    assert not side.is_searched(4_999)


def test_where_all_that_is_worth_having_was_open_nothing_is_left() -> None:
    side = Side([], 400.0, 1.0)
    side.searched(5_000, 400.0, is_ended=True)
    assert side.near_cents == 400
    assert side.is_searched(5_000)
    assert not side.is_searched(4_999)
