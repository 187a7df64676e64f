"""Power, energy and voltages of a boosted feed, against sums done by hand: the system of twins/boosting.py."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.checks import check_plan, failures
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from tests.optimizer.checks.twins.boosting import boosted, job, on_24
from tests.optimizer.checks.twins.twin import System


def facts(system: System) -> PlanFacts:
    return PlanFacts(job=system.job, catalogue=system.catalogue, plan=system.plan)


def router(system: System) -> FeedFacts:
    return next(feed for feed in facts(system).feeds if feed.load.id == "router")


def test_run_and_what_goes_into_it() -> None:
    fed = router(boosted())
    assert fed.run is not None
    assert fed.run.loop_ohm == pytest.approx(1.5)  # 2 × 20 m × 37.5 Ω/km
    assert fed.run_end_v == pytest.approx(21)  # 42 W: 24 V − 2 A × 1.5 Ω
    assert fed.peak_powers_w == (pytest.approx((48, 36)), pytest.approx(51))  # 24 V × 2 A; 1 W + 48 W / 0.96


def test_joints_count_once_more_in_the_run() -> None:
    system = boosted(job=job(limits={"joint_mohm": 5}))
    fed = router(system)
    assert fed.run is not None
    assert fed.run.loop_ohm == pytest.approx(1.505)
    assert facts(system).circuits[0].loop_ohm == pytest.approx(0.015)  # 2 × 1 m × 5 Ω/km + 5 mΩ


def test_average_leaves_the_run_to_the_wiring_allowance() -> None:
    """On 18 W: 22 W at the desk, 1 W + 22 W / 0.96 = 23.9167 W in. Off: 2 W there, 3.0833 W in.

    (23.9167 W × 12 h + 3.0833 W × 12 h) / 24 h × 1.05 = 14.175 W
    """
    assert router(boosted()).bus_average_w == pytest.approx(14.175)


def test_stages_are_rated_for_the_loss_that_the_run_may_have() -> None:
    """A run of half the resistance changes nothing but what really settles: (24 + √(576 − 4 × 0.75 × 42)) / 2."""
    fed = router(boosted(job=job(desk={"run_m": 9.5})))
    assert fed.peak_powers_w == (pytest.approx((48, 36)), pytest.approx(51))
    assert fed.run_end_v == pytest.approx(22.60660)
    # 24 V × 42 W / 22.60660 V = 44.58874 W into it; 1 W + 44.58874 W / 0.96
    assert fed.draw.current_a(10) == pytest.approx(4.744660, abs=1e-6)


def test_circuit_ends_at_the_converter() -> None:
    """51 W behind 0.01 Ω from 11.7 V: (11.7 + √(11.7² − 2.04)) / 2 = 11.65624 V; 5 A at the floor of 10.2 V."""
    circuit = facts(boosted()).circuits[0]
    assert circuit.run_m == 1
    assert circuit.floor_v == pytest.approx(10.2)
    assert circuit.design_a == pytest.approx(5)
    assert circuit.settled is not None
    assert circuit.settled.place_v == pytest.approx(11.65624, abs=1e-5)


def test_run_and_lead_are_one_where_nothing_converts_at_the_place() -> None:
    """36 W over 1.75 Ω from 24 V: 21 V, 12/7 A; 41.142857 W at the head, 1 W + 41.142857 W / 0.96 = 43.857143 W in."""
    fed = router(on_24())
    assert fed.behind_v == pytest.approx(21)
    assert fed.run_end_v == pytest.approx(24 - 1.5 * 12 / 7)
    assert fed.peak_powers_w == (pytest.approx((288 / 7,)), pytest.approx(43.857143))


def test_resistive_load_on_a_run() -> None:
    """20 V and 40 W make 10 Ω, at most 24 V / 10.25 Ω; it settles at 24 V × 10 / 11.75; 20 W are 28.8 W at 24 V."""
    fed = router(on_24(load={"behaviour": "resistive", "rated_v": 20, "peak_w": 40, "typical_w": 20}))
    assert fed.behind_v == pytest.approx(24 * 10 / 11.75)
    assert fed.peak_out_w == pytest.approx(24 * 24 / 10.25)
    assert fed.typical_out_w == pytest.approx(28.8)
    assert fed.run_end_v == pytest.approx(24 * (1 - 1.5 / 11.75))


def test_run_that_cannot_carry_its_converter_fails() -> None:
    system = boosted(job=job(desk={"run_m": 49.5}))  # 3.75 Ω carry 24² / (4 × 3.75) = 38.4 W, not 42 W
    assert router(system).run_end_v is None
    assert "run_drop" in {check.rule for check in failures(check_plan(system.job, system.catalogue, system.plan))}


def test_boosting_fails_where_the_run_starts_from_nothing() -> None:
    """Malformed plans are judged, not stumbled over."""
    system = boosted()
    for fields in ({"panel_stages": 5}, {"panel_stages": 0}, {"run": None}, {"stages": ()}):
        feed = {"panel_stages": 1, "run": system.plan.feeds[0].run} | fields
        plan = replace(system.plan, feeds=(replace(system.plan.feeds[0], **feed), *system.plan.feeds[1:]))
        assert "boost_position" in {check.rule for check in failures(check_plan(system.job, system.catalogue, plan))}
