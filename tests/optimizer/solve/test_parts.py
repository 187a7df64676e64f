"""Parts of a solution chosen anew: what is held, and that totals stay what they are."""

from __future__ import annotations

import pytest

from optimizer.by_hand import improved
from optimizer.planner import plan
from optimizer.solve import parts, search
from optimizer.solve.instance import build
from optimizer.solve.linear import LinearModel
from optimizer.solve.parts import Parts
from optimizer.solve.search import Search, build_model
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case


def _solved() -> tuple[Search, list[int]]:
    """A search of a job of four loads at two places, with the first answer as its solution."""
    instance = build(*made_up_job(4, 2, 90, 1))
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    found = Search(built, 60, None, None, improved(instance))
    found._take_first_answer()
    return found, found._solution


def test_what_is_held_is_the_solution_and_the_rest_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts, "OPEN_LOADS", 2)
    found, solution = _solved()
    v = found._built.v
    drawn = Parts(v)
    for _ in range(8):
        held = drawn.held(solution)
        assert all(solution[index] == value for index, value in held.items())
        are_open = [load for load in v.instance.loads if not any(var.index in held for _, var in v.all_feeds(load))]
        assert 1 <= len(are_open) <= 3  # a circuit of three stays together
        free = [c for c in v.whole if all(var.index not in held for var in v.opened(c))]
        assert {load.id for c in free for load in c.members} == {load.id for load in are_open}
        assert not {var.index for var in found._built.bought.quantity.values()} & held.keys()


def test_the_same_parts_each_time() -> None:
    found, solution = _solved()
    one, other = Parts(found._built.v), Parts(found._built.v)
    assert [one.held(solution) for _ in range(5)] == [other.held(solution) for _ in range(5)]


def test_one_part_after_another_finds_what_a_small_job_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    """Case 023 has its optimum from two other solvers; two loads at a time come within 2 % of it."""
    monkeypatch.setattr(parts, "OPEN_LOADS", 2)
    job, catalogue, _, best_cents = case("023")
    instance = build(job, catalogue)
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    looking = Search(built, 60, None, None, improved(instance))
    looking._take_first_answer()
    linear = LinearModel(built.cp, built.bought.cost)
    relaxed = linear.relaxing().solve(60)
    assert relaxed is not None
    looking._look_at_parts(linear, relaxed, 20)
    assert best_cents is not None
    assert best_cents <= looking._cost_cents() <= 1.02 * best_cents


@pytest.mark.parametrize("number", ["023", "031"])
def test_parts_change_no_total(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads: rows of cutting, a near look and parts come before the proof."""
    looked = []
    job, catalogue, _, best_cents = case(number)
    for name in ("FEW_LOADS", "FEWER_LOADS"):
        monkeypatch.setattr(search, name, 0)
    at_parts = Search._look_at_parts
    monkeypatch.setattr(Search, "_look_at_parts", lambda self, *args: (looked.append(1), at_parts(self, *args))[1])
    answer = plan(job, catalogue)
    assert looked == [1]
    assert (answer.status, answer.total_cents) == ("optimal", best_cents)
