"""Mixtures of solutions: which are mixed, what they keep, and that one is no dearer than any of them."""

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
from tests.optimizer.solve.begun import LIMIT_S, begun

TRIES = 30


@pytest.fixture(scope="module")
def best() -> Best:
    """A search of a job of twelve loads with a careful person's answer."""
    return begun(build(*made_up_job(12, 4, 90, 1)))[0]


@pytest.fixture(scope="module")
def others(best: Best) -> list[Solution]:
    """Three more solutions, each with other loads of the first one chosen anew."""
    parts, diving, found = Parts(best.built.v), Diving(best), list[Solution]()
    for _ in range(TRIES):
        solution = diving.below(best.solution, parts.held(best.solution), limit_s=60).solution
        if solution is not None and solution not in found:
            found.append(solution)
        if len(found) == 3:
            return found
    raise AssertionError(f"{len(found)} of three")


def _mixing_of(best: Best, solutions: list[Solution]) -> Mixing:
    mixing = Mixing(best.built.v)
    for solution in solutions:
        mixing.add(solution, best.cents_of(solution))
    return mixing


def test_all_are_mixed_at_once_and_keep_what_they_have_in_common(best: Best, others: list[Solution]) -> None:
    solutions = [best.solution, *others[:2]]
    mixing = _mixing_of(best, solutions)
    mixture = mixing.next(best.solution)
    assert mixture is not None
    alike = {
        var.index: solutions[0][var.index]
        for var in choosable(best.built.v)
        if len({solution[var.index] for solution in solutions}) == 1
    }
    assert mixture.common == alike
    assert len(alike) < len({var.index for var in choosable(best.built.v)})
    mixing.mixed(mixture, None, is_ended=True)
    assert mixing.next(best.solution) is None
    assert all(mixing.next(each) is None for each in solutions)


def test_what_is_too_much_at_once_is_mixed_fewer_at_a_time(best: Best, others: list[Solution]) -> None:
    solutions = [best.solution, *others]
    mixing, mixed = _mixing_of(best, solutions), list[int]()
    while (mixture := mixing.next(best.solution)) is not None:
        mixing.mixed(mixture, None, is_ended=False)
        mixed.append(len(mixture.of))
    assert sorted(mixed, reverse=True) == mixed  # ever fewer
    assert mixed[0] == len(solutions)
    assert mixed.count(2) == len(solutions) - 1  # in the end the best with each other


def test_what_is_found_between_some_is_not_mixed_with_them_again(best: Best, others: list[Solution]) -> None:
    solutions = [best.solution, *others[:2]]
    cheapest = min(solutions, key=best.cents_of)
    mixing = _mixing_of(best, solutions)
    mixture = mixing.next(cheapest)
    assert mixture is not None
    found = Diving(best).below(cheapest, mixture.common, limit_s=LIMIT_S)
    assert found.is_ended
    assert found.solution is not None
    mixing.mixed(mixture, found.solution, is_ended=True)
    mixing.add(found.solution, best.cents_of(found.solution))
    assert mixing.next(found.solution) is None
    mixing.add(others[-1], 0)  # one that none was mixed with
    assert mixing.next(found.solution) is not None


def test_a_mixture_is_no_dearer_than_either_and_often_cheaper(best: Best, others: list[Solution]) -> None:
    one, other = sorted(others[:2], key=best.cents_of)
    mixture = _mixing_of(best, [one, other]).next(one)
    assert mixture is not None
    found = Diving(best).below(one, mixture.common, limit_s=LIMIT_S)
    assert found.is_ended
    assert found.solution is not None  # of these two
    assert best.cents_of(found.solution) < min(best.cents_of(one), best.cents_of(other))
    assert all(found.solution[index] == value for index, value in mixture.common.items())


def test_only_the_cheapest_are_kept_and_the_best_is_always_mixed(
    best: Best, others: list[Solution], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(mixing_module, "MOST", 2)
    *cheaper, dearest = sorted([best.solution, *others[:2]], key=best.cents_of)
    mixing = _mixing_of(best, [*cheaper, dearest])
    mixture = mixing.next(cheaper[0])
    assert mixture is not None
    assert len(mixture.of) == 2
    mixing.mixed(mixture, None, is_ended=True)
    assert mixing.next(cheaper[0]) is None
    assert mixing.next(dearest) is not None  # those that are cheaper cannot be cut


def test_the_same_choices_bought_cheaper_take_their_place(best: Best) -> None:
    mixing = Mixing(best.built.v)
    mixing.add(best.solution, 200)
    mixing.add([*best.solution], 100)
    assert mixing.next(best.solution) is None
