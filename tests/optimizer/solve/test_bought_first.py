"""What to buy, decided first: its bound never passes the least price, and what it buys leads to a plan."""

from __future__ import annotations

import numpy as np
import pytest

from optimizer.by_hand import improved
from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.planner import plan
from optimizer.solve import around, better, search
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.bought_first import BoughtFirst
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Floats
from optimizer.solve.settling import Settling
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.before import Before

CASES = ["007", "023", "031", "066"]


def _begun(job: Job, catalogue: Catalogue) -> tuple[Best, Relaxation, BoughtFirst]:
    """A search that has its first answer and the relaxation."""
    instance = build(job, catalogue)
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    best = Best(built, 600, None, None, None, is_worked_over=False)
    settling, first = Settling(best, few_loads=False), improved(instance)
    assert first is not None
    settling.take(first)
    looked = LookAround(best, settling)
    relaxed = looked.tightened(600)
    assert relaxed is not None
    return best, relaxed, BoughtFirst(best, relaxed, looked._take)


@pytest.mark.parametrize("number", CASES)
def test_its_bound_lies_between_the_relaxation_and_the_least_price(number: str) -> None:
    best, relaxed, first = _begun(case(number).job, case(number).catalogue)
    best_cents = case(number).total_cents
    assert best_cents is not None
    first.run(60)
    assert relaxed.bound_cents < best.bound_cents <= best_cents <= best.cost_cents


def test_what_it_buys_leads_to_a_cheaper_plan_and_proves_it() -> None:
    best, _, first = _begun(*made_up_job(6, 3, 120, 1))
    before = best.cost_cents
    first.run(60)
    assert best.bound_cents == best.cost_cents < before


@pytest.mark.parametrize("number", CASES)
def test_where_nothing_so_cheap_is_left_the_price_known_is_the_bound(number: str) -> None:
    best, relaxed, first = _begun(case(number).job, case(number).catalogue)
    too_cheap = relaxed.bound_cents + 1
    told: list[int] = []
    best.linear().least_partly_whole(
        first.whole(),
        {},
        most_cents=too_cheap,
        limit_s=60,
        stop=None,
        on_solution=lambda _: pytest.fail("no solution is so cheap"),
        on_bound=told.append,
    )
    assert told == sorted(told)
    assert told[-1] == too_cheap


def test_purchases_are_whole_and_feeds_need_not_be() -> None:
    best, _, first = _begun(case("023").job, case("023").catalogue)
    found: list[Floats] = []
    whole = first.whole()
    linear = best.linear()
    linear.least_partly_whole(
        whole,
        {},
        most_cents=10**6,
        limit_s=60,
        stop=None,
        on_solution=found.append,
        on_bound=lambda _: None,
    )
    own = found[-1][: len(linear.whole.cost)]
    priced = own[sorted(whole)]
    assert np.abs(priced - np.round(priced)).max() < 1e-6
    assert {n for n, cost in enumerate(linear.whole.cost) if cost} <= whole


@pytest.mark.parametrize("number", ["023", "031"])
def test_it_changes_no_total(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads, and what to buy is decided after the first round of better solutions."""
    ran = []
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    monkeypatch.setattr(search, "Beside", Before)
    monkeypatch.setattr(around, "BOUGHT_FIRST_AFTER", 1)
    monkeypatch.setattr(better, "IN_VAIN", 1)
    run = BoughtFirst.run
    monkeypatch.setattr(BoughtFirst, "run", lambda self, limit_s: (ran.append(1), run(self, limit_s))[1])
    answer = plan(case(number).job, case(number).catalogue)
    assert ran
    assert (answer.status, answer.total_cents) == ("optimal", case(number).total_cents)
