"""What is cheaper than a solution with part of the model held: what is kept and told, and when it is all there is."""

from __future__ import annotations

import pytest

from optimizer.solve.diving import Diving
from optimizer.solve.first_answer import choosable
from optimizer.solve.instance import build
from optimizer.solve.rows import Solution
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.begun import LIMIT_S, begun


@pytest.mark.parametrize("number", ["023", "066"])
def test_with_nothing_held_it_comes_to_the_least_price(number: str) -> None:
    best, _ = begun(build(case(number).job, case(number).catalogue))
    found = Diving(best).below(best.solution, {}, limit_s=LIMIT_S)
    assert found.is_ended
    assert best.cents_of(found.solution or best.solution) == case(number).total_cents


def test_what_is_held_is_kept_and_every_cheaper_solution_is_told() -> None:
    """Of a job of twelve loads as a careful person plans it, with the feeds of half of them held."""
    best, _ = begun(build(*made_up_job(12, 4, 90, 1)))
    v, told = best.built.v, list[Solution]()
    held = {var.index: best.solution[var.index] for load in v.instance.loads[:6] for _, var in v.all_feeds(load)}
    found = Diving(best).below(best.solution, held, limit_s=20, on_solution=told.append)
    assert found.solution is not None
    assert all(found.solution[index] == value for index, value in held.items())
    cents = [best.cents_of(solution) for solution in [best.solution, *told]]
    assert cents == sorted(set(cents), reverse=True)
    assert told[-1] == found.solution


def test_where_all_choices_are_held_nothing_cheaper_is_left() -> None:
    best, _ = begun(build(*made_up_job(4, 2, 90, 1)))
    held = {var.index: best.solution[var.index] for var in choosable(best.built.v)}
    found = Diving(best).below(best.solution, held, limit_s=LIMIT_S)
    assert (found.solution, found.is_ended) == (None, True)


def test_one_that_somebody_stops_says_nothing_of_what_is_left() -> None:
    best, _ = begun(build(*made_up_job(6, 3, 120, 1)))
    best.ended.set()
    assert not Diving(best).below(best.solution, {}, limit_s=60).is_ended
