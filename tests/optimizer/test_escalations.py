"""When a plan needs a person who answers for it: at each limit and just beyond it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimizer.catalogue import Cable
from optimizer.cautions import BOAT_OR_LITHIUM, OVER_30_V, OVER_50_V, UNTIL_NAMED, cautions_for
from optimizer.errors import Refused
from optimizer.escalations import escalations, total_current_a
from optimizer.job import Bank, Job
from optimizer.plan import FeedLead
from optimizer.planner import plan
from optimizer.scope import refuse_out_of_scope
from tests.builders import a_catalogue, a_job, a_plan
from tests.optimizer.checks.twins.twin import AC_PLAN, WITH_OUTLET
from tests.optimizer.solve.rule_twins import AGM, sold


def kinds(job: Job, catalogue: Any = None, **planned: Any) -> set[str]:
    return {each.kind for each in escalations(job, catalogue or a_catalogue(), a_plan(**planned))}


def test_an_ordinary_job_needs_nobody() -> None:
    assert escalations(a_job(), a_catalogue(), a_plan()) == ()
    assert UNTIL_NAMED not in cautions_for(a_job(), a_catalogue(), a_plan())


@pytest.mark.parametrize(
    ("high_v", "setting", "asked"),
    [
        (50, "boat", False),
        (50.1, "boat", True),
        (50.1, None, True),  # nobody has said that it is none
        (58.4, "land", False),
        (58.4, "vehicle", False),
    ],
)
def test_above_50_v_counts_on_boats_and_where_nobody_has_said(high_v: float, setting: str | None, asked: bool) -> None:
    job = a_job(bus={"high_v": high_v}, setting=setting)
    assert ("voltage" in kinds(job)) == asked
    assert (OVER_50_V in cautions_for(job, a_catalogue(), a_plan())) == (high_v > 50)  # the banner stays everywhere


def test_a_run_raised_above_50_v_on_a_boat_counts_like_the_bus() -> None:
    raised = {"panel_stages": 1, "run": FeedLead(cable=("twin4",), cut_mm=20000)}
    for out_v, asked in ((50, False), (54, True)):
        found = kinds(a_job(setting="boat"), a_catalogue(boost={"out_v": out_v}), router=raised)
        assert ("voltage" in found) == asked
    assert "voltage" not in kinds(a_job(setting="boat"), a_catalogue(boost={"out_v": 54}))  # behind the run


@pytest.mark.parametrize(("design_a", "asked"), [(198.0, False), (198.1, True)])  # the lamp's circuit draws 2 A
def test_beyond_200_a_in_all(design_a: float, asked: bool) -> None:
    assert ("current" in kinds(a_job(), c1={"design_a": design_a})) == asked


def test_what_the_inverter_takes_counts_towards_200_a() -> None:
    job = a_job(**WITH_OUTLET)
    with_ac = a_plan(**AC_PLAN)
    own_a = sum(circuit.design_a for circuit in with_ac.circuits)
    (fed,) = [job.load_by_id[feed.load] for feed in with_ac.feeds if feed.source == "ac"]
    brick_w = fed.peak_w / fed.brick.efficiency + fed.brick.idle_w
    expected_a = (brick_w / job.ac.efficiency + job.ac.idle_w) / job.bus.low_v
    assert expected_a > 1
    assert total_current_a(job, with_ac) == pytest.approx(own_a + expected_a)


@pytest.mark.parametrize(("mm2", "asked"), [(95, False), (120, True)])
def test_beyond_95_mm2(mm2: float, asked: bool) -> None:
    wide = Cable(id="wide", mm2=mm2, cores=2, ohm_per_km_20c=0.2, ampacity_a=300, insulation_c=90)
    assert ("conductor" in kinds(a_job(), a_catalogue(wide), c1={"cable": ("wide",)})) == asked


def test_a_wet_place_counts_above_30_v() -> None:
    wet = {"wet": True}
    assert "wet" not in kinds(a_job(desk=wet, bus={"high_v": 30}))
    assert "wet" in kinds(a_job(desk=wet, bus={"high_v": 30.1}))
    assert "wet" not in kinds(a_job(bus={"high_v": 30.1}))
    over_30 = a_catalogue(boost={"out_v": 48})
    assert "wet" in kinds(a_job(desk=wet), over_30)  # the converter's output is touchable too
    assert "wet" not in kinds(a_job(mast=wet), over_30)  # it stands at the desk


def test_a_wet_panel_counts_by_the_bus() -> None:
    assert "wet" not in kinds(a_job(bus={"wet": True, "high_v": 30}))
    assert "wet" in kinds(a_job(bus={"wet": True, "high_v": 30.1}))


def test_an_outlet_in_a_wet_place_counts_whatever_the_battery() -> None:
    job = a_job(**WITH_OUTLET)
    fed = {feed.load for feed in a_plan(**AC_PLAN).feeds if feed.source == "ac"}
    (place,) = {job.load_by_id[load].place for load in fed}
    assert "mains" not in kinds(job, **AC_PLAN)
    places = tuple(replace(each, wet=each.id == place) for each in job.places)
    assert "mains" in kinds(replace(job, places=places), **AC_PLAN)


def test_over_30_v_without_a_wet_place_is_said() -> None:
    """What nobody has said of a place is not taken for dry without a word."""
    job = a_job(bus={"high_v": 31})
    assert OVER_30_V in cautions_for(job, a_catalogue(), a_plan())
    assert OVER_30_V not in cautions_for(a_job(), a_catalogue(), a_plan())
    assert OVER_30_V not in cautions_for(a_job(bus={"high_v": 31}, desk={"wet": True}), a_catalogue(), a_plan())


@pytest.mark.parametrize("job", [a_job(desk={"fuel": True}), a_job(bus={"fuel": True})], ids=["place", "panel"])
def test_petrol_or_gas_counts_at_any_voltage(job: Job) -> None:
    assert kinds(job) == {"fuel"}


def test_health_and_vehicle_safety_count() -> None:
    assert kinds(a_job(lamp={"critical": "health"})) == {"health"}
    assert kinds(a_job(lamp={"critical": "vehicle", "keeps_supply": True})) == {"vehicle"}


def test_the_supply_of_what_keeps_a_vehicle_safe_is_never_changed() -> None:
    """Without a word on its own supply, it is taken for the one to be changed."""
    refuse_out_of_scope(a_job(lamp={"critical": "vehicle", "keeps_supply": True}), a_catalogue())
    with pytest.raises(Refused, match=r"lamp .*we do not change its supply"):
        plan(a_job(lamp={"critical": "vehicle"}), a_catalogue())


@pytest.mark.parametrize(
    ("capacity_ah", "chemistry", "asked"),
    [
        (41, "lithium", False),  # 492 Wh
        (42, "lithium", True),  # 504 Wh
        (42, None, True),  # nobody has said that it is lead-acid
        (200, "agm", False),
        (200, "lead-acid", False),
    ],
)
def test_lithium_on_a_boat_counts_above_500_wh(capacity_ah: float, chemistry: str | None, asked: bool) -> None:
    bank = {"capacity_ah": capacity_ah, "chemistry": chemistry}
    assert ("lithium" in kinds(a_job(existing=bank, setting="boat"))) == asked
    assert "lithium" not in kinds(a_job(existing=bank, setting="vehicle"))
    assert "lithium" not in kinds(a_job(existing=bank, setting="land"))


@pytest.mark.parametrize(
    ("capacity_ah", "chemistry", "asked", "said"),
    [
        (41, "lithium", False, False),
        (42, "lithium", True, False),  # nobody has said that it is no boat
        (41, None, False, False),
        (42, None, False, True),  # neither was said: that alone makes no danger, and is not passed over
        (200, "agm", False, False),
    ],
)
def test_lithium_counts_where_nobody_has_said_that_it_is_no_boat(
    capacity_ah: float, chemistry: str | None, asked: bool, said: bool
) -> None:
    job = a_job(existing={"capacity_ah": capacity_ah, "chemistry": chemistry})
    assert ("lithium" in kinds(job)) == asked
    assert (BOAT_OR_LITHIUM in cautions_for(job, a_catalogue(), a_plan())) == said
    for setting in ("vehicle", "land"):
        elsewhere = replace(job, setting=setting)
        assert "lithium" not in kinds(elsewhere)
        assert BOAT_OR_LITHIUM not in cautions_for(elsewhere, a_catalogue(), a_plan())


@pytest.mark.parametrize(
    ("chemistry", "asked"), [("lithium", True), (None, True), ("agm", False), ("lead-acid", False)]
)
def test_lithium_charged_in_frost_counts_while_it_is_kept(chemistry: str | None, asked: bool) -> None:
    frost = {"charged_cold": True, "chemistry": chemistry}
    assert ("cold" in kinds(a_job(existing=frost))) == asked
    assert "cold" not in kinds(a_job(existing=frost | {"charged_cold": False}))
    bought = a_catalogue(*[part for part in sold(AGM).parts if part.id == AGM.id])
    assert "cold" not in kinds(a_job(existing=frost), bought, bank={"keep": False, "part": AGM.id})


def test_a_bought_bank_counts_with_all_its_batteries() -> None:
    jobs = [replace(a_job(setting=setting), bank=Bank(may_buy=True)) for setting in ("boat", None)]
    bought = {"keep": False, "part": AGM.id, "series": 2, "parallel": 2}
    for capacity_ah, asked in ((10, False), (11, True)):  # 4 × 12 V × 10 Ah = 480 Wh
        battery = replace(AGM, nominal_v=12, capacity_ah=capacity_ah, chemistry="lithium")
        parts = sold(battery).parts
        sold_here = a_catalogue(*[part for part in parts if part.id == AGM.id])
        assert [("lithium" in kinds(job, sold_here, bank=bought)) for job in jobs] == [asked, asked]


@pytest.mark.parametrize(
    ("mast", "asked"),
    [
        ({"outdoors": True, "run_m": 10}, False),
        ({"outdoors": True, "run_m": 10.1}, True),
        ({"above_roof": True, "run_m": 2}, True),
        ({"run_m": 30}, False),
    ],
)
def test_surge_protection_is_work_beside_the_plan(mast: dict[str, Any], asked: bool) -> None:
    found = escalations(a_job(mast=mast), a_catalogue(), a_plan())
    assert bool(found) == asked
    assert not any(each.blocks for each in found)


def test_runs_outdoors_are_named_together() -> None:
    (found,) = escalations(a_job(mast={"above_roof": True}, desk={"outdoors": True}), a_catalogue(), a_plan())
    assert found.text.endswith("runs that go outdoors: desk, mast.")


def test_the_plan_document_carries_every_reason_and_what_it_asks() -> None:
    job = a_job(desk={"fuel": True}, lamp={"critical": "health"})
    said = cautions_for(job, a_catalogue(), a_plan())
    reasons = [each.text for each in escalations(job, a_catalogue(), a_plan())]
    assert len(reasons) == 2
    at = said.index(UNTIL_NAMED)
    assert list(said[at + 1 : at + 3]) == reasons
