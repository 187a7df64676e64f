"""Far more loads at one place than can be tried in every company: a checked plan and an honest bound all the same."""

from __future__ import annotations

from optimizer.checks import check_plan, failures
from optimizer.planner import plan
from optimizer.solve.circuits import MOST_TOGETHER, is_restricted
from optimizer.solve.instance import build
from optimizer.solve.sure_price import surely_spent_cents
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case, planned

LOADS = 30


def test_thirty_loads_at_one_place_are_answered_with_a_bound() -> None:
    assert LOADS > MOST_TOGETHER
    job, catalogue = made_up_job(LOADS, 1, 90, 1)
    assert is_restricted(build(job, catalogue))
    answer = plan(job, catalogue, time_limit_s=4)
    assert answer.status == "feasible"
    assert failures(check_plan(job, catalogue, answer)) == ()
    assert answer.total_cents is not None
    assert answer.bound_cents is not None
    assert 0 < answer.bound_cents < answer.total_cents


def test_price_surely_spent_is_below_every_proven_total() -> None:
    sure = []
    for number in ("002", "012", "014", "021", "023", "033", "062"):
        instance = build(case(number).job, case(number).catalogue)
        sure.append(surely_spent_cents(instance))
        assert sure[-1] <= (planned(number).total_cents or 0)
    assert any(cents > 0 for cents in sure)
