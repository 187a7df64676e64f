"""Mixtures of two solutions: which are mixed, what they keep, and that one is no dearer than either."""

from __future__ import annotations

import pytest

from optimizer.solve import mixing as mixing_module
from optimizer.solve.best import Best
from optimizer.solve.diving import Diving
from optimizer.solve.first_answer import choosable
from optimizer.solve.instance import build
from optimizer.solve.mixing import Mixing
from optimizer.solve.parts import Parts
from optimizer.solve.rows import Solution
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.solve.begun import begun


@pytest.fixture(scope="module")
def best() -> Best:
    """A search of a job of twelve loads with a careful person's answer."""
    return begun(build(*made_up_job(12, 4, 90, 1)))[0]


def _others(best: Best, count: int) -> list[Solution]:
    """So many solutions, each with other loads of the first one chosen anew."""
    parts, diving, found = Parts(best.built.v), Diving(best), list[Solution]()
    while len(found) < count:
        solution = diving.below(best.solution, parts.held(best.solution), limit_s=20).solution
        if solution is not None and solution not in found:
            found.append(solution)
    return found


def test_every_two_are_mixed_once_and_keep_what_they_have_in_common(best: Best) -> None:
    solutions = [best.solution, *_others(best, 2)]
    mixing = Mixing(best.built.v)
    for solution in solutions:
        mixing.add(solution, best.cents_of(solution))
    mixed = [mixture for _ in range(3) if (mixture := mixing.next()) is not None]
    assert len(mixed) == 3
    assert mixing.next() is None
    cheapest, _, dearest = sorted(solutions, key=best.cents_of)
    assert [cheaper for cheaper, _ in mixed].count(cheapest) == 2
    assert not any(cheaper is dearest for cheaper, _ in mixed)
    choices = {var.index for var in choosable(best.built.v)}
    first, common = mixed[0]
    second = sorted(solutions, key=best.cents_of)[1]
    assert common == {index: first[index] for index in choices if first[index] == second[index]}
    assert len(common) < len(choices)


def test_a_mixture_is_no_dearer_than_either_and_often_cheaper(best: Best) -> None:
    one, other = _others(best, 2)
    mixing = Mixing(best.built.v)
    mixing.add(one, best.cents_of(one))
    mixing.add(other, best.cents_of(other))
    mixture = mixing.next()
    assert mixture is not None
    cheaper, common = mixture
    found = Diving(best).below(cheaper, common, limit_s=60)
    assert found.is_ended
    assert found.solution is not None  # of these two
    assert best.cents_of(found.solution) < min(best.cents_of(one), best.cents_of(other))
    assert all(found.solution[index] == value for index, value in common.items())


def test_only_the_cheapest_are_kept(best: Best, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mixing_module, "MOST", 2)
    mixing, solutions = Mixing(best.built.v), [best.solution, *_others(best, 2)]
    for solution in solutions:
        mixing.add(solution, best.cents_of(solution))
    assert mixing.next() is not None
    assert mixing.next() is None


def test_the_same_choices_bought_cheaper_take_their_place(best: Best) -> None:
    mixing = Mixing(best.built.v)
    mixing.add(best.solution, 200)
    mixing.add([*best.solution], 100)
    assert mixing.next() is None
