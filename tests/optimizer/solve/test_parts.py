"""Parts of a solution to choose anew: what is held, and that it is the same each time."""

from __future__ import annotations

import pytest

from optimizer.solve import parts
from optimizer.solve.best import Best
from optimizer.solve.instance import build
from optimizer.solve.parts import Parts
from tests.benchmarks.jobs import made_up_job
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
