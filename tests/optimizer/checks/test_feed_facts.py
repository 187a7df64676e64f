"""Power, energy and floor of one feed, against sums done by hand."""

from __future__ import annotations

import pytest

from optimizer.catalogue import Catalogue
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.job import Job, SuppliedLead
from optimizer.plan import Plan
from tests.builders import a_catalogue, a_job, a_plan

RESISTIVE = {"behaviour": "resistive", "rated_v": 12, "lead": SuppliedLead(loop_ohm=0.1)}


def feed(load: str, job: Job, catalogue: Catalogue | None = None, plan: Plan | None = None) -> FeedFacts:
    facts = PlanFacts(job=job, catalogue=catalogue or a_catalogue(), plan=plan or a_plan())
    return next(feed for feed in facts.feeds if feed.load.id == load)


def test_converter_takes_its_idle_power_with_the_load_off() -> None:
    router = feed("router", a_job())
    assert router.powers_w(router.peak_out_w) == ((36,), 42)  # 2 W + 36 W / 0.9
    assert router.powers_w(0) == ((0,), 2)
    assert router.bus_average_w == pytest.approx(12.6)  # (22 W × 12 h + 2 W × 12 h) / 24 h × 1.05


def test_switched_load_takes_nothing_while_off() -> None:
    router = feed("router", a_job(router={"switch": True}))
    assert router.bus_average_w == pytest.approx(11.55)  # 22 W × 12 h / 24 h × 1.05


def test_lead_loss_counts_behind_a_converter() -> None:
    router = feed("router", a_job(router={"lead": SuppliedLead(loop_ohm=0.5), "typical_w": 36}))
    assert router.behind_v == pytest.approx(18)  # 36 W / 18 V = 2 A; 19 V − 2 A × 0.5 Ω
    assert router.typical_out_w == pytest.approx(38)  # 19 V × 2 A


def test_direct_constant_power_counts_its_own_power_alone() -> None:
    assert feed("lamp", a_job()).bus_average_w == pytest.approx(2.1)  # 12 W × 4 h / 24 h × 1.05


@pytest.mark.parametrize(
    ("rated_v", "expected_w"),
    [
        pytest.param(10, 3.024, id="rated below the bus"),  # 12 W × (12 / 10)² × 4 h / 24 h × 1.05
        pytest.param(14, 2.1, id="rated above the bus: no credit"),
    ],
)
def test_direct_resistive_load_takes_more_above_its_rated_voltage(rated_v: float, expected_w: float) -> None:
    lamp = feed("lamp", a_job(lamp=RESISTIVE | {"rated_v": rated_v}))
    assert lamp.bus_average_w == pytest.approx(expected_w)


def test_resistive_load_behind_a_converter_scales_with_its_voltage() -> None:
    job = a_job(router={"behaviour": "resistive", "rated_v": 18, "lead": SuppliedLead(loop_ohm=1)})
    router = feed("router", job)
    assert router.peak_out_w == pytest.approx(36.1)  # 18² / 36 = 9 Ω; 19² / (9 + 1)
    assert router.typical_out_w == pytest.approx(18.05)  # half of it: 18 W of 36 W


def test_floor_of_a_direct_load_lies_above_what_the_load_must_see() -> None:
    assert feed("lamp", a_job()).floor_v == pytest.approx(10.66)  # 10.5 V + 21 W / 10.5 V × 0.08 Ω
    resistive = feed("lamp", a_job(lamp=RESISTIVE | {"peak_w": 24}), plan=a_plan(lamp={"lead": None}))
    assert resistive.floor_v == pytest.approx(10.675)  # 12² / 24 = 6 Ω; 10.5 V × 6.1 / 6


def test_floor_is_raised_by_the_least_voltage_of_a_stage() -> None:
    assert feed("router", a_job(), a_catalogue(boost={"in_min_v": 11})).floor_v == 11


def test_resistive_load_draws_most_at_the_highest_voltage() -> None:
    job = a_job(lamp=RESISTIVE | {"peak_w": 24})
    facts = PlanFacts(job=job, catalogue=a_catalogue(), plan=a_plan(lamp={"lead": None}))
    assert facts.circuits[1].design_a == pytest.approx(14 / 6.1)  # 14 V over 6 Ω + 0.1 Ω, not 10.675 V
