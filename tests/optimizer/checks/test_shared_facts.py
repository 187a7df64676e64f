"""Power and energy of a shared chain, against sums done by hand: the system of twins/sharing.py."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.checks.facts import PlanFacts
from optimizer.job import AcOutlet, Brick
from tests.optimizer.checks.twins.sharing import APART, job, shared
from tests.optimizer.checks.twins.twin import Fields, System


def facts(system: System) -> PlanFacts:
    return PlanFacts(job=system.job, catalogue=system.catalogue, plan=system.plan)


def test_powers_add_up_and_idle_power_counts_once() -> None:
    """2 W + 45 W / 0.9 = 52 W, not 54 W: at 10.5 V 4.95238 A."""
    chain = next(chain for chain in facts(shared()).chains if chain.is_shared)
    assert chain.outputs_w == (45,)
    assert [feed.load.id for feed in chain.feeds] == ["camera", "router"]
    assert facts(shared()).circuits[0].current_a(10.5) == pytest.approx(52 / 10.5)
    assert facts(APART).circuits[0].current_a(10.5) == pytest.approx(54 / 10.5)


def test_shared_circuit_settles_at_the_sum() -> None:
    """52 W behind 0.2 Ω from 11.7 V: (11.7 + √(11.7² − 41.6)) / 2 = 10.73083 V."""
    settled = facts(shared()).circuits[0].settled
    assert settled is not None
    assert settled.place_v == pytest.approx(10.73083, abs=1e-5)


@pytest.mark.parametrize(
    ("camera", "router", "expected_w"),
    [
        # 18 W / 0.9 × 12 h + 4 W / 0.9 × 24 h over 24 h, and 2 W all day: 10 + 4.4444 + 2
        pytest.param({}, {}, 16.44444, id="live all day"),
        # 10 + 4 W / 0.9 × 6 h / 24 h = 1.1111, and 2 W for 18 h: 1.5
        pytest.param({"switch": True, "hours_per_day": 6}, {"switch": True}, 12.61111, id="switched: hours add up"),
        # 10 + 4 W / 0.9 × 15 h / 24 h = 2.7778, and 2 W for 24 h, not 27 h
        pytest.param({"switch": True, "hours_per_day": 15}, {"switch": True}, 14.77778, id="switched: a day at most"),
    ],
)
def test_idle_power_of_a_shared_chain_on_average(camera: Fields, router: Fields, expected_w: float) -> None:
    system = shared(job=job(camera, router=router))
    lamp_w = 2.1  # 12 W × 4 h / 24 h × 1.05
    assert facts(system).average_w == pytest.approx(expected_w * 1.05 + lamp_w, abs=1e-4)


def test_each_loads_lead_is_its_own() -> None:
    """The camera's 9 W behind 0.95 Ω: (19 + √(361 − 34.2)) / 2 = 18.53880 V, 9.22389 W at the head."""
    lossy = replace(job().loads[2].lead, loop_ohm=0.95)
    chain = next(chain for chain in facts(shared(job=job({"lead": lossy}))).chains if chain.is_shared)
    assert chain.outputs_w == (pytest.approx(45.22389, abs=1e-5),)


def test_resistive_load_on_a_shared_chain() -> None:
    """19² / 40.1 Ω: rated 19 V and 9 W make 40.1111 Ω; behind 0.95 Ω it draws 19² / 41.0611 = 8.79177 W."""
    fields = {"behaviour": "resistive", "rated_v": 19, "lead": replace(job().loads[2].lead, loop_ohm=0.95)}
    chain = next(chain for chain in facts(shared(job=job(fields))).chains if chain.is_shared)
    assert chain.outputs_w == (pytest.approx(36 + 8.79177, abs=1e-5),)


def test_chain_idles_for_the_load_that_stays_when_its_host_is_on_the_outlet_today() -> None:
    """Today the camera is on the outlet: 4 W / 0.8 = 5 W / 0.875 = 5.7143 W and 6 W × 12 h / 24 h = 3 W.

    The router alone on its chain: 10 W + 2 W. (12 + 2) × 1.05 + 8.7143 = 23.4143 W.
    """
    outlet = AcOutlet(efficiency=0.875, idle_w=6, on_hours_per_day=12, max_w=100)
    system = shared(job=job({"brick": Brick(efficiency=0.8, idle_w=0)}, ac=outlet))
    assert facts(system).today_average_w == pytest.approx(23.41429, abs=1e-4)
