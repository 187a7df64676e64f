"""Instances of changed jobs are what a full build gives."""

from __future__ import annotations

import pytest

from optimizer import solving
from optimizer.by_hand import by_hand, improved
from optimizer.changes import changed
from optimizer.checks import check_plan, failures
from optimizer.plan import Change, Check
from optimizer.planner import plan
from optimizer.solve.instance import build
from optimizer.solving import Clock, Instances, cheapest_plan, has_plan
from tests.benchmarks.jobs import made_up_job
from tests.builders import a_catalogue, a_job
from tests.optimizer.cases import NUMBERS, case


@pytest.mark.parametrize("number", NUMBERS[:6])
@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("limits/autonomy_h", 7.5),
        ("limits/budget_cents", 1),
        ("limits/headroom_pct", 0),
        ("limits/drop_pct", 9),
        ("bus/spare_ways", 9),
        ("bank/may_buy", True),
        ("loads/0/hours_per_day", 0.5),
        ("loads/1/drop_pct", 9.5),
        ("loads/0/own_circuit", True),
    ],
)
def test_instance_of_a_changed_job_is_that_of_a_full_build(number: str, pointer: str, value: float) -> None:
    given = case(number)
    instances = Instances(build(given.job, given.catalogue), given.catalogue)
    bent = changed(given.job, [Change(pointer=pointer, value=value)])
    quick, full = instances.of(bent), build(bent, given.catalogue)
    assert quick.job == full.job
    assert quick.loads == full.loads
    assert quick.options == full.options
    assert (quick.pairs, quick.bands, quick.fuses, quick.banks) == (full.pairs, full.bands, full.fuses, full.banks)


def test_share_of_the_work_is_told_beforehand() -> None:
    job = a_job()
    instances = Instances(build(job, a_catalogue()), a_catalogue())
    shares = [
        instances.share(changed(job, [Change(pointer=pointer, value=9)]))
        for pointer in ("limits/autonomy_h", "loads/1/hours_per_day", "limits/headroom_pct")
    ]
    assert shares == [0.0, 0.5, 1.0]


def test_question_is_answered_and_a_budget_counts() -> None:
    instance = build(a_job(), a_catalogue())
    assert has_plan(instance, time_limit_s=10) is True
    assert has_plan(instance, time_limit_s=10, budget_cents=10660) is True
    assert has_plan(instance, time_limit_s=10, budget_cents=10659) is False
    assert has_plan(build(a_job(existing={"capacity_ah": 50}), a_catalogue()), time_limit_s=10) is False
    assert has_plan(instance, time_limit_s=0) is None


def test_a_plan_made_by_hand_is_a_plan_and_needs_no_model(monkeypatch: pytest.MonkeyPatch) -> None:
    instance = build(a_job(), a_catalogue())
    on_paper = by_hand(instance)
    assert on_paper is not None
    monkeypatch.setattr(solving, "build_model", lambda _: pytest.fail("a model was built"))
    assert has_plan(instance, time_limit_s=10) is True
    assert has_plan(instance, time_limit_s=10, budget_cents=on_paper.total_cents) is True


def test_a_plan_made_by_hand_that_breaks_a_rule_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    instance = build(a_job(existing={"capacity_ah": 50}), a_catalogue())
    broken = by_hand(build(a_job(), a_catalogue()))
    monkeypatch.setattr(solving, "by_hand", lambda _: broken)
    assert has_plan(instance, time_limit_s=10) is False


def test_clock_stops_with_the_event() -> None:
    import threading

    stop = threading.Event()
    clock = Clock(100.0, stop)
    assert clock.left_s > 99
    stop.set()
    assert clock.left_s == 0
    assert cheapest_plan(build(a_job(), a_catalogue()), stop=stop).status == "unknown"


@pytest.mark.parametrize("number", ["002", "014", "062"])
def test_a_checked_plan_made_by_hand_is_told_before_the_model_is_built(
    number: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    job, catalogue, _, best_cents = case(number)
    told: list[int | None] = []

    def too_early(*_: object) -> None:
        raise AssertionError(told)

    monkeypatch.setattr("optimizer.solving.build_model", too_early)
    with pytest.raises(AssertionError) as caught:
        cheapest_plan(build(job, catalogue), on_progress=lambda progress: told.append(progress.best_cents))
    assert caught.value.args == (told,)
    assert best_cents is not None
    totals = [cents for cents in told if cents is not None]
    assert len(totals) == len(told) >= 1
    assert totals == sorted(set(totals), reverse=True)
    assert totals[-1] >= best_cents
    early = plan(job, catalogue, time_limit_s=1e-9)
    assert early.total_cents == totals[-1]
    assert early.bound_cents is not None
    assert early.bound_cents <= best_cents
    assert not failures(check_plan(job, catalogue, early))


def test_the_plan_before_the_second_look_is_told_first(monkeypatch: pytest.MonkeyPatch) -> None:
    job, catalogue = made_up_job(6, 3, 120, 1)
    instance = build(job, catalogue)
    first, second = by_hand(instance), improved(instance)
    assert first is not None
    assert second is not None
    assert second.total_cents < first.total_cents
    told: list[int | None] = []
    looked: list[int] = []
    monkeypatch.setattr("optimizer.solving.improved", lambda each: (looked.append(len(told)), improved(each))[1])
    cheapest_plan(instance, time_limit_s=1e-9, on_progress=lambda progress: told.append(progress.best_cents))
    assert looked == [1]
    assert told == [first.total_cents, second.total_cents]


def test_a_plan_made_by_hand_that_breaks_a_rule_is_not_told(monkeypatch: pytest.MonkeyPatch) -> None:
    job, catalogue, _, best_cents = case("002")
    fails = Check(rule="drop", subject="circuit C1", value=1, limit=0, unit="V", state="fails", margin=-1, source="")
    monkeypatch.setattr("optimizer.solving.check_plan", lambda *_: (fails,))
    told: list[int | None] = []
    cheapest_plan(build(job, catalogue), on_progress=lambda progress: told.append(progress.best_cents))
    assert min(filter(None, told)) == best_cents
    assert plan(job, catalogue, time_limit_s=1e-9).status == "unknown"
