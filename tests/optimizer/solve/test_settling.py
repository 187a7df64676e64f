"""A first answer taken into the model: bought as cheaply as its choices allow, or as it buys itself."""

from __future__ import annotations

import pytest

from optimizer.by_hand import Answer, by_hand
from optimizer.solve.best import Best
from optimizer.solve.instance import Instance, build
from optimizer.solve.model import build_model
from optimizer.solve.rows import Solution
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.solve.begun import LIMIT_S


def _best(instance: Instance) -> Best:
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    return Best(built, LIMIT_S, None, None, None, is_worked_over=False)


def _answer(instance: Instance) -> Answer:
    answer = by_hand(instance)
    assert answer is not None
    return answer


@pytest.fixture(scope="module")
def instance() -> Instance:
    return build(*made_up_job(12, 4, 90, 1))


@pytest.mark.parametrize("few_loads", [True, False])
def test_the_choices_are_bought_cheaper_than_by_hand(instance: Instance, *, few_loads: bool) -> None:
    best, first = _best(instance), _answer(instance)
    Settling(best, few_loads=few_loads).take(first)
    assert best.cost_cents < first.total_cents


def test_where_what_is_cheaper_cannot_be_cut_it_is_bought_as_by_hand(
    instance: Instance, monkeypatch: pytest.MonkeyPatch
) -> None:
    """So that there is a solution to start from: of one job of 50 loads in two there was none for a minute."""
    best, first = _best(instance), _answer(instance)
    keeps = best.keeps
    asked = list[int]()

    def only_as_dear(solution: Solution) -> bool:
        asked.append(best.cents_of(solution))
        return asked[-1] >= first.total_cents and keeps(solution)

    monkeypatch.setattr(best, "keeps", only_as_dear)
    Settling(best, few_loads=False).take(first)
    assert min(asked) < first.total_cents
    assert best.cost_cents == first.total_cents
