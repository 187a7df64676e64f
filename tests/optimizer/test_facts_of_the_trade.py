"""Facts of the trade: common practice, without a published source. The rules must not contradict them."""

from __future__ import annotations

import pytest

from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan
from optimizer.job import AcOutlet, Brick, Job, Needs
from optimizer.plan import Check, Plan
from tests.builders import a_catalogue, a_job, a_plan
from tests.optimizer.checks.twins.twin import AC_PLAN, CAMERA, SHARED_PLAN

WIDE_INPUT = {"boost": {"in_min_v": 9, "in_max_v": 36}}  # common practice: "9 to 36 V" converters


def of_rules(checks: tuple[Check, ...], *rules: str) -> list[Check]:
    return [check for check in checks if check.rule in rules]


@pytest.mark.parametrize(
    "bus",
    [
        pytest.param({"nominal_v": 12, "low_v": 11.5, "high_v": 14.7}, id="12 V bank"),
        pytest.param({"nominal_v": 24, "low_v": 23, "high_v": 30}, id="24 V bank"),
    ],
)
def test_converter_from_9_to_36_v_serves_12_v_and_24_v_banks(bus: dict[str, float]) -> None:
    checks = check_plan(a_job(bus=bus), a_catalogue(**WIDE_INPUT), a_plan())
    windows = of_rules(checks, "stage_window_low", "stage_window_high")
    assert windows
    assert {check.state for check in windows} <= {"holds", "tight"}


@pytest.mark.parametrize(("out_v", "accepted"), [(56, True), (57.5, False), (43.5, False)])
def test_about_56_v_suits_powered_ethernet(out_v: float, accepted: bool) -> None:
    # devices of this class take about 56 V: common practice; window 44 to 57 V, IEEE 802.3 (memory)
    job = a_job(router={"needs": Needs(form="powered-ethernet", min_v=44, max_v=57)})
    catalogue = a_catalogue(boost={"out_v": out_v, "out_form": "powered-ethernet"})
    windows = of_rules(check_plan(job, catalogue, a_plan()), "load_window_low", "load_window_high")
    router = [check for check in windows if check.subject == "load router"]
    assert all(check.state != "fails" for check in router) is accepted


def test_60_w_fed_directly_instead_of_70_w_through_an_inverter_saves_around_15_percent() -> None:
    # measured in the trade: about 70 W through inverter and mains adapter, about 60 W fed directly: 10 / 70 = 14.3 %
    always = {"typical_w": 54, "peak_w": 54, "hours_per_day": 24}
    outlet = AcOutlet(efficiency=0.9, idle_w=0, on_hours_per_day=24, max_w=500)
    brick = Brick(efficiency=54 / 63, idle_w=0)  # 54 W / (54 / 63) / 0.9 = 70 W
    job = a_job(router={**always, "brick": brick}, ac=outlet, limits={"wiring_allowance_pct": 0})
    catalogue = a_catalogue(boost={"efficiency": 0.9, "idle_w": 0, "max_out_w": 70})  # 54 W / 0.9 = 60 W
    today_w, direct_w = (_router_w(job, catalogue, plan) for plan in (a_plan(**AC_PLAN), a_plan()))
    assert (today_w, direct_w) == (pytest.approx(70), pytest.approx(60))
    assert (today_w - direct_w) / today_w == pytest.approx(0.143, abs=0.0005)


def _router_w(job: Job, catalogue: Catalogue, plan: Plan) -> float:
    """Average of the plan without the lamp's 2 W (12 W × 4 h / 24 h)."""
    autonomy = of_rules(check_plan(job, catalogue, plan), "autonomy")[0]
    assert autonomy.value is not None
    return autonomy.value - 2


def test_15_a_fuse_suits_a_60_w_converter_on_12_v_with_a_small_accessory() -> None:
    # common practice: the converter full, 60 W / 0.9 + 2 W = 68.7 W, and an accessory of 9 W beside it on one fuse
    job = a_job(router={"peak_w": 60}, more_loads=(CAMERA,), desk={"run_m": 3})
    catalogue = a_catalogue(fuse5={"rating_a": 15})
    checks = check_plan(job, catalogue, a_plan(**SHARED_PLAN))
    fuse = next(c for c in of_rules(checks, "fuse_load") if c.subject == "circuit C1")
    assert fuse.state == "holds"
    assert fuse.limit is not None
    assert 7.5 < fuse.limit <= 15  # ISO 8820-3 ratings: 7.5 A would not do
