"""What is not planned at all, at the ceiling and just above it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimizer.catalogue import Catalogue
from optimizer.errors import InvalidInput, OptimizerError, Refused
from optimizer.job import Bank, Job, Needs
from optimizer.planner import plan
from optimizer.scope import refuse_out_of_scope
from tests.builders import a_catalogue, a_job
from tests.optimizer.cases import case
from tests.optimizer.solve.rule_twins import AGM, sold


def wire(min_v: float) -> dict[str, Any]:
    return {"needs": Needs(form="dc-wire", min_v=min_v, max_v=80)}


OVER = [
    pytest.param(a_job(bus={"high_v": 60}), a_job(bus={"high_v": 60.1}), "The bus reaches 60.1 V", id="bus"),
    pytest.param(a_job(lamp=wire(60)), a_job(lamp=wire(60.1)), "lamp needs at least 60.1 V", id="load"),
]
OVER_PARTS = [
    pytest.param(a_catalogue(boost={"out_v": 60}), a_catalogue(boost={"out_v": 60.1}), "boost puts out", id="stage"),
    pytest.param(sold(replace(AGM, high_v=60)), sold(replace(AGM, high_v=60.1)), "agm reaches 60.1 V", id="battery"),
]


@pytest.mark.parametrize(("within", "over", "words"), OVER)
def test_job_above_60_v_is_refused(within: Job, over: Job, words: str) -> None:
    refuse_out_of_scope(within, a_catalogue())
    with pytest.raises(Refused, match=words) as caught:
        plan(over, a_catalogue())
    assert "60 V DC" in caught.value.user_message


@pytest.mark.parametrize(("within", "over", "words"), OVER_PARTS)
def test_catalogue_above_60_v_is_refused(within: Catalogue, over: Catalogue, words: str) -> None:
    refuse_out_of_scope(a_job(), within)
    with pytest.raises(Refused, match=words):
        plan(a_job(), over)


def test_stage_may_accept_more_than_60_v() -> None:
    """Planning rules 9: `in_max_v` may exceed the ceiling; what it puts out may not."""
    assert plan(a_job(), a_catalogue(boost={"in_max_v": 75})).has_answer


def test_no_bank_at_all_is_refused() -> None:
    with pytest.raises(Refused, match="no bank"):
        plan(a_job(bank=Bank()), a_catalogue())


@pytest.mark.parametrize("bank", [a_job().bank, Bank(may_buy=True)])
def test_one_bank_or_the_leave_to_buy_one_is_enough(bank: Bank) -> None:
    refuse_out_of_scope(a_job(bank=bank), a_catalogue())


@pytest.mark.parametrize("time_limit_s", [0, -1, float("nan")])
def test_time_limit_is_above_zero(time_limit_s: float) -> None:
    with pytest.raises(InvalidInput, match="more than 0 seconds") as caught:
        plan(a_job(), a_catalogue(), time_limit_s=time_limit_s)
    assert caught.value.field == "time_limit_s"
    assert isinstance(caught.value, OptimizerError)


@pytest.mark.parametrize("time_limit_s", [0.001, 0.05, 0.4])
def test_search_cut_short_says_what_it_knows(time_limit_s: float) -> None:
    """Whatever it reached, it is honest: no plan and says why, or a plan with a bound at or below its total."""
    job, catalogue, _, best_cents = case("014")
    answer = plan(job, catalogue, time_limit_s=time_limit_s)
    assert answer.status != "infeasible"
    if answer.status == "unknown":
        assert (answer.total_cents, answer.bound_cents, answer.orders) == (None, None, ())
        assert f"within {time_limit_s:g} s" in answer.reasons[0].text
        return
    assert answer.bound_cents is not None
    assert best_cents is not None
    assert answer.total_cents is not None
    assert answer.bound_cents <= best_cents <= answer.total_cents
    assert (answer.status == "optimal") == (answer.bound_cents == answer.total_cents)


def test_progress_comes_down_to_the_total() -> None:
    job, catalogue, _, best_cents = case("002")
    seen: list[tuple[int | None, int | None]] = []
    plan(job, catalogue, on_progress=lambda progress: seen.append((progress.best_cents, progress.bound_cents)))
    totals = [best for best, _ in seen if best is not None]
    assert totals == sorted(totals, reverse=True)
    assert totals[-1] == best_cents
    assert all(bound is None or bound <= (best_cents or 0) for _, bound in seen)
