"""Parts of a solution chosen anew: what is held, and that totals stay what they are."""

from __future__ import annotations

import pytest

from optimizer.planner import plan
from optimizer.solve import around, parts, search
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.instance import build
from optimizer.solve.parts import Parts
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.before import Before
from tests.optimizer.solve.begun import begun


def _four_loads() -> Best:
    """Of a job of four loads at two places."""
    return begun(build(*made_up_job(4, 2, 90, 1)))[0]


def test_what_is_held_is_the_solution_and_the_rest_is_open(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parts, "OPEN_LOADS", 2)
    best = _four_loads()
    v, drawn = best.built.v, Parts(best.built.v)
    for _ in range(8):
        held = drawn.held(best.solution)
        assert all(best.solution[index] == value for index, value in held.items())
        are_open = [load for load in v.instance.loads if not any(var.index in held for _, var in v.all_feeds(load))]
        assert 1 <= len(are_open) <= 3  # a circuit of three stays together
        free = [c for c in v.whole if all(var.index not in held for var in v.opened(c))]
        assert {load.id for c in free for load in c.members} == {load.id for load in are_open}
        assert not {var.index for var in best.built.bought.quantity.values()} & held.keys()


def test_the_same_parts_each_time() -> None:
    best = _four_loads()
    one, other = Parts(best.built.v), Parts(best.built.v)
    assert [one.held(best.solution) for _ in range(5)] == [other.held(best.solution) for _ in range(5)]


def test_one_part_after_another_finds_a_cheaper_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a job of twelve loads; the plan that a near look finds is not there to start from."""
    monkeypatch.setattr(around, "NEAR_SHARE", 0.0)
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    before_cents, around_it = best.cost_cents, LookAround(best, settling)
    relaxed = around_it.tightened(60)
    assert relaxed is not None
    best.note = lambda cents: best.ended.set() if cents < before_cents else None  # type: ignore[method-assign]
    around_it.on(relaxed)
    assert best.cost_cents < before_cents


@pytest.mark.parametrize("number", ["023", "031"])
def test_parts_change_no_total(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads: rows of cutting come before the proof, a near look and parts beside it."""
    looked = []
    job, catalogue, _, best_cents = case(number)
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    monkeypatch.setattr(search, "Beside", Before)
    monkeypatch.setattr(around, "IN_VAIN", 4)
    monkeypatch.setattr(around, "ROUNDS", 0)
    held = Parts.held
    monkeypatch.setattr(Parts, "held", lambda self, solution: (looked.append(1), held(self, solution))[1])
    answer = plan(job, catalogue)
    assert looked
    assert (answer.status, answer.total_cents) == ("optimal", best_cents)
