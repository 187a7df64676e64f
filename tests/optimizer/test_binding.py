"""What limits cost: by hand on the small system, and each step as a plan of its own."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

from optimizer.catalogue import Content, Offer
from optimizer.changes import changed
from optimizer.errors import InvalidInput
from optimizer.plan import Binding, Plan
from optimizer.planner import plan, what_limits_cost
from optimizer.progress import Progress
from tests.builders import a_catalogue, a_job

# a dearer converter that needs less room to spare, and one that just does not do: 36 W × 1.2 = 43.2 W of 42 W
SMALL = replace(a_catalogue().parts[0], id="weak", max_out_w=42)
CHEAP = Offer(id="o-weak", seller="shop", price_cents=2500, contents=(Content(part="weak", count=1),))
CATALOGUE = a_catalogue(SMALL, offers=(CHEAP,))


def costs(limit: str, **job: object) -> dict[str, Binding]:
    base = a_job(**job)  # type: ignore[arg-type]
    found = what_limits_cost(base, CATALOGUE, plan(base, CATALOGUE), time_limit_s=30)
    return {each.text: each for each in found if each.limit == limit}


def test_room_to_spare_costs_the_dearer_converter() -> None:
    found = costs("headroom_pct")  # 36 W × 1.15 = 41.4 W
    assert found["15 % room to spare in converters"].saves_cents == 500
    assert found["15 % room to spare in converters"].total_cents == 10160
    assert found["25 % room to spare in converters"].saves_cents == 0


def test_what_does_not_bind_saves_nothing_and_what_leaves_no_plan_says_so() -> None:
    found = costs("autonomy_h", existing={"capacity_ah": 74})  # 14.7 W × 24 h = 352.8 Wh of 355.2 Wh
    assert found["Autonomy of 23 h"].saves_cents == 0
    tighter = found["Autonomy of 25 h"]
    assert (tighter.status, tighter.total_cents, tighter.saves_cents) == ("infeasible", None, 0)


def test_every_step_is_the_plan_of_the_changed_job() -> None:
    job = a_job()
    found = what_limits_cost(job, CATALOGUE, plan(job, CATALOGUE), time_limit_s=60)
    assert len(found) >= 8
    assert [each.saves_cents for each in found] == sorted((each.saves_cents for each in found), reverse=True)
    for each in found:
        answer = plan(changed(job, each.change), CATALOGUE)
        assert (answer.status, answer.total_cents) == (each.status, each.total_cents), each.text


def test_what_the_search_had_missed_is_put_down_to_no_limit() -> None:
    job = a_job()
    unfinished = replace(plan(job, CATALOGUE), status="feasible", bound_cents=9000, total_cents=10960)  # for 106.60
    found = {each.text: each for each in what_limits_cost(job, CATALOGUE, unfinished, time_limit_s=60)}
    assert found["Autonomy of 23 h"].saves_cents == found["Autonomy of 25 h"].saves_cents == 0
    assert found["15 % room to spare in converters"].saves_cents == 500


def test_one_spare_way_is_told_as_one() -> None:
    assert {"1 spare fuse way", "3 spare fuse ways"} == costs("spare_ways").keys()


def test_stop_ends_it_with_what_there_is() -> None:
    stop, seen = threading.Event(), []

    def first_only(progress: Progress) -> None:
        seen.append(progress.best_cents)
        stop.set()

    job = a_job()
    answer = plan(job, CATALOGUE)
    found = what_limits_cost(job, CATALOGUE, answer, time_limit_s=60, on_progress=first_only, stop=stop)
    assert (len(found), seen) == (1, [answer.total_cents])


@pytest.mark.parametrize(
    ("answer", "limit_s"),
    [(plan(a_job(), CATALOGUE), 0), (Plan(status="unknown", total_cents=None, bound_cents=None), 5)],
)
def test_nothing_to_compare_is_refused(answer: Plan, limit_s: float) -> None:
    with pytest.raises(InvalidInput):
        what_limits_cost(a_job(), CATALOGUE, answer, time_limit_s=limit_s)
