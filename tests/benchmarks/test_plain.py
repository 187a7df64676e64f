"""The peer proves the totals that tests/cases state, found there by two other solvers; `make bench` tries them all."""

from __future__ import annotations

import pytest

from optimizer.solve.instance import build
from optimizer.solving import cheapest_plan
from tests.benchmarks.jobs import safer_job
from tests.benchmarks.milp import Milp
from tests.benchmarks.plain import every_feed, solve_plainly
from tests.optimizer.cases import case
from tests.optimizer.changed import changed_case

SOON_PROVEN = ("016", "021", "033", "037", "062", "066")


@pytest.mark.parametrize("number", SOON_PROVEN)
def test_the_peer_agrees_with_the_cases(number):
    stated = case(number)
    found = solve_plainly(build(stated.job, stated.catalogue), 60)
    assert (found.status, found.total_cents) == (stated.status, stated.total_cents)


@pytest.mark.parametrize("number", ["016", "066"])
def test_the_peer_agrees_with_every_feed_there_is(number):
    stated = case(number)
    instance = build(stated.job, stated.catalogue)
    everything = every_feed(stated.job, stated.catalogue)
    assert sum(map(len, everything.values())) > sum(map(len, instance.options.values()))
    assert solve_plainly(instance, 60, options=everything).total_cents == stated.total_cents


@pytest.mark.parametrize("seed", [1001, 1005, 1012, 1017, 1019, 1021, 1023])
def test_the_planner_agrees_on_changed_cases(seed):
    ours, peer = _both_on_changed_case(seed)
    assert (peer.status, peer.total_cents) == (ours.status, ours.total_cents)


@pytest.mark.parametrize("seed", [1102, 1307, 1760])
def test_a_circuit_has_the_floor_of_one_of_its_feeds(seed):
    """A higher floor, where the drop allows it, means less current: a smaller fuse than the rules ask for."""
    ours, peer = _both_on_changed_case(seed)
    assert (peer.status, peer.total_cents) == (ours.status, ours.total_cents)


def _both_on_changed_case(seed):
    job, catalogue = changed_case(seed)
    instance = build(job, catalogue)
    peer = solve_plainly(instance, 60, options=every_feed(instance.job, instance.catalogue))
    return cheapest_plan(instance, by_price_alone=True), peer


def test_a_load_that_nothing_can_feed_makes_it_infeasible():
    stated = case("066")
    instance = build(stated.job, stated.catalogue)
    found = solve_plainly(instance, 60, options={load.id: [] for load in instance.loads})
    assert (found.status, found.total_cents) == ("infeasible", None)


def test_jobs_with_safer_limits_are_refused():
    with pytest.raises(ValueError, match="safer limits"):
        solve_plainly(build(*safer_job(2, 1, 0)), 1)


def test_a_small_program_by_hand():
    """max 5 x + 4 y, 6 x + 4 y ≤ 24, x + 2 y ≤ 6, whole: (4, 0) gives 20; the relaxation would give 21."""
    milp = Milp()
    x, y = milp.integer(10, cost=-5), milp.integer(10, cost=-4)
    milp.add([(6, x), (2, y), (2, y)], most=24)
    milp.add([(1, x), (2, y)], most=6)
    assert milp.solve(10).total_cents == -20
