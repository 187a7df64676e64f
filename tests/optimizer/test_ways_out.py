"""Ways out: every one leaves a plan when planned anew, one step less does not, and the numbers are worked out by hand.

The small system of tests/builders.py draws 14.7 W on average; its bank gives 20 W over 24 h, 480 Wh in all.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import seed_catalog
from optimizer import tries
from optimizer.catalogue import Catalogue, Content, Offer
from optimizer.changes import changed
from optimizer.explain import reasons_for
from optimizer.job import CutLead, Job, Needs, SuppliedLead
from optimizer.plan import Change, WayOut
from optimizer.planner import plan
from optimizer.solve.instance import build
from optimizer.solving import Clock
from optimizer.tries import OutOfTime, Pace
from optimizer.ways_out import ways_out
from tests.builders import a_catalogue, a_job
from tests.optimizer.checks.twins.twin import BRICK, CAMERA, OUTLET
from tests.optimizer.solve.rule_twins import AGM, sold
from tests.optimizer.tiny import tiny
from webapp import schemas

Fields = dict[str, Any]
LIMIT_S = 300.0
# 0.5 × 50 Ah × 0.8 × 12 V = 240 Wh
SHORT: Fields = {"existing": {"capacity_ah": 50}}


@pytest.fixture(autouse=True)
def time_to_try(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine too; a test that is about the time gives a limit of its own."""
    monkeypatch.setattr("optimizer.ways_out.MOST_S", 240.0)
    monkeypatch.setattr(tries, "_QUESTION_S", 60.0)
    monkeypatch.setattr(tries, "_SOLVE_S", 60.0)


def ways(job: Job, catalogue: Catalogue | None = None) -> dict[str, WayOut]:
    """By the limit that gives; of the hours of several loads the cheapest."""
    answer = plan(job, catalogue or a_catalogue(), time_limit_s=LIMIT_S)
    assert answer.status == "infeasible"
    assert [way.total_cents for way in answer.ways_out if not way.uncounted] == sorted(
        way.total_cents for way in answer.ways_out if not way.uncounted
    )
    found: dict[str, WayOut] = {}
    for way in answer.ways_out:
        found.setdefault(way.limit, way)
    return found


def only_change(way: WayOut) -> tuple[str, float | bool | None]:
    (change,) = way.change
    return change.pointer, change.value


# -- energy -----------------------------------------------------------------------------------------------------------


def test_autonomy_gives_way_to_the_last_half_hour_that_holds() -> None:
    # 240 Wh / 14.7 W = 16.3 h
    way = ways(a_job(**SHORT))["autonomy_h"]
    assert only_change(way) == ("limits/autonomy_h", 16.0)
    assert (way.text, way.total_cents, way.status, way.least) == (
        "Autonomy of 16 h instead of 24 h",
        10660,
        "optimal",
        True,
    )


def test_loads_are_on_for_fewer_hours() -> None:
    # 10 W × 24 h / 1.05 = 228.6 Wh a day on the bus; lamp 48 Wh, router idle 48 Wh, so 132.6 Wh left: 22 W − 2 W more
    # than idle while on: 132.6 / 20 = 6.6 h, in half hours 6.5
    answer = plan(a_job(**SHORT), a_catalogue())
    router = next(way for way in answer.ways_out if way.change[0].pointer == "loads/0/hours_per_day")
    assert only_change(router) == ("loads/0/hours_per_day", 6.5)
    assert router.text == "router off 5.5 h more a day: 6.5 h instead of 12 h"
    assert not any(way.change[0].pointer == "loads/1/hours_per_day" for way in answer.ways_out)  # 48 Wh do not do


def test_second_string_doubles_the_bank_and_its_fault_current_and_says_what_it_leaves_out() -> None:
    way = ways(a_job(**SHORT, bus={"fault_a": 400}))["second_string"]
    assert {change.pointer: change.value for change in way.change} == {
        "bank/existing/capacity_ah": 100,
        "bank/existing/max_discharge_a": 100,
        "bus/fault_a": 800,
    }
    assert "second string itself" in way.uncounted


def test_second_string_is_no_way_out_where_fuses_cannot_break_its_fault() -> None:
    assert "second_string" not in ways(a_job(**SHORT))  # 1,600 A, and the fuse breaks 1,000 A


def test_bank_to_buy_is_priced_and_named() -> None:
    assert "may_buy" not in ways(a_job(**SHORT), sold(AGM, price_cents=9000))  # 240 Wh as well
    found = ways(a_job(**SHORT), sold(replace(AGM, capacity_ah=100), price_cents=9000))
    assert only_change(found["may_buy"]) == ("bank/may_buy", True)
    assert found["may_buy"].total_cents == 10660 + 9000
    assert found["may_buy"].text == "A new bank: 1 × agm"


# -- drop, ways, money ------------------------------------------------------------------------------------------------


def test_drop_of_one_run_gives_way_by_tenths() -> None:
    # 4 A × 0.2 Ω = 0.8 V at 10.5 V; with 6 % the floor is 10.98 V and 42 W / 10.98 V × 0.2 Ω = 0.765 V > 0.72 V;
    # 6.3 %: floor 10.944 V, 0.7675 V > 0.756 V; 6.4 %: floor 10.932 V, 0.7684 V > 0.768 V; 6.5 %: 10.92 V, 0.769 < 0.78
    way = ways(a_job(limits={"drop_pct": 6}))["drop_pct"]
    assert only_change(way) == ("loads/0/drop_pct", 6.5)
    assert way.text == "Allow 6.5 % drop on the run to desk, instead of 6 %"
    assert way.least


def test_fuse_ways_give_way_one_by_one() -> None:
    # the camera shares the router's circuit only up to the fuse of 5 A: three circuits, and one way is there
    job = a_job(bus={"spare_ways": 1}, more_loads=(CAMERA,), existing={"capacity_ah": 300})
    way = ways(job)["spare_ways"]
    assert only_change(way) == ("bus/spare_ways", 3)
    assert way.text == "2 more fuse ways: 3 instead of 1"


def test_budget_gives_way_to_the_cent() -> None:
    way = ways(a_job(limits={"budget_cents": 10000}))["budget_cents"]
    assert only_change(way) == ("limits/budget_cents", 10660)
    assert (way.text, way.total_cents, way.least) == ("6.60 more: a budget of 106.60", 10660, True)


def test_budget_is_met_by_what_lets_a_cheaper_part_do() -> None:
    # a converter of 42 W for 25.00 instead of 30.00: 36 W with 16 % to spare is 41.76 W, with 17 % 42.12 W
    weak = replace(a_catalogue().parts[0], id="weak", max_out_w=42)
    offer = Offer(id="o-weak", seller="shop", price_cents=2500, contents=(Content(part="weak", count=1),))
    way = ways(a_job(limits={"budget_cents": 10200}), a_catalogue(weak, offers=(offer,)))["headroom_pct"]
    assert only_change(way) == ("limits/headroom_pct", 16.0)
    assert (way.total_cents, way.least) == (10160, True)


def test_budget_that_nothing_else_keeps_is_kept_without_a_load() -> None:
    lamp_alone = plan(changed(a_job(), (Change(pointer="loads/0", value=None),)), a_catalogue())
    assert lamp_alone.total_cents is not None
    job = a_job(limits={"budget_cents": lamp_alone.total_cents})
    answer = plan(job, a_catalogue(), time_limit_s=LIMIT_S)
    assert [(way.text, way.total_cents) for way in answer.ways_out] == [
        ("Without router", lamp_alone.total_cents),
        (f"{(10660 - lamp_alone.total_cents) / 100:.2f} more: a budget of 106.60", 10660),
    ]
    assert answer.untried == ()


def test_no_load_is_left_out_for_a_budget_that_something_less_keeps() -> None:
    weak = replace(a_catalogue().parts[0], id="weak", max_out_w=42)
    offer = Offer(id="o-weak", seller="shop", price_cents=2500, contents=(Content(part="weak", count=1),))
    assert "without" not in ways(a_job(limits={"budget_cents": 10200}), a_catalogue(weak, offers=(offer,)))


@pytest.mark.parametrize(
    "job",
    [
        pytest.param(a_job(bus={"fault_a": 1500}), id="interrupting rating"),
        pytest.param(a_job(desk={"run_m": 900}, limits={"far_fault_multiple": 5}), id="far fault"),
    ],
)
def test_safety_limits_are_never_a_way_out(job: Job) -> None:
    pointers = {change.pointer for way in ways(job).values() for change in way.change}
    assert pointers <= {"places/0/run_m"}  # nearer to the panel obeys them


def test_shorter_run_is_a_way_out_of_a_piece_too_short() -> None:
    # the spool of 30 m holds the run of 29.5 m and the slack of 0.5 m; at 29.5 m the drop is just held (4 A × 0.3 Ω)
    offers = tuple(offer for offer in a_catalogue().offers if offer.step_m is None)
    lamp: Fields = {"lead": SuppliedLead(loop_ohm=0.01), "place": "desk"}
    job = a_job(desk={"run_m": 31}, router={"peak_w": 20}, lamp=lamp, bus={"spare_ways": 4})
    way = ways(job, replace(a_catalogue(), offers=offers))["run_m"]
    assert only_change(way) == ("places/0/run_m", 29.5)
    assert way.text == "A run to desk of 29.5 m instead of 31 m"


def test_load_without_its_switch_is_a_way_out_where_no_switch_fits() -> None:
    way = ways(a_job(), a_catalogue(switch={"max_a": 4}))["switch"]
    assert only_change(way) == ("loads/1/switch", False)
    assert way.total_cents == 10660 - 400  # no switch to buy


def test_all_loads_without_switches_are_a_way_out_where_one_is_not_enough() -> None:
    found = ways(a_job(router={"switch": True}), a_catalogue(switch={"max_a": 4}))
    assert found["switch"].text == "No switches of their own for router, lamp"
    assert [change.pointer for change in found["switch"].change] == ["loads/0/switch", "loads/1/switch"]
    assert found["switch"].total_cents == 10660 - 400


def test_many_loads_are_not_all_named_in_one_sentence() -> None:
    """A plan's sentences have a largest length, and a hundred loads may be switched."""
    loads = tuple(replace(a_job().loads[1], id=f"lamp{n}") for n in range(6))
    job = a_job(loads=loads, bus={"spare_ways": 9}, existing={"capacity_ah": 900})
    answer = plan(job, a_catalogue(switch={"max_a": 4}))
    assert "for lamp0, lamp1, lamp2, lamp3, … stands 14 V" in answer.reasons[0].text
    assert [way.text for way in answer.ways_out] == ["No switches of their own for lamp0, lamp1, lamp2, lamp3, …"]


def test_less_drop_is_a_way_out_where_the_current_at_low_volts_is_too_much_for_the_fuse() -> None:
    # 14 %: floor 10.02 V, 42 W there are 4.19 A, and 1.25 times that more than the fuse of 5 A; 10 %: 10.5 V and 4 A
    way = ways(a_job(limits={"drop_pct": 14}))["drop_pct"]
    assert only_change(way) == ("loads/0/drop_pct", 10.0)
    assert way.text == "Allow only 10 % drop on the run to desk, instead of 14 %"
    assert (way.total_cents, way.least) == (10660, True)


def test_shorter_lead_is_a_way_out_of_a_lead_longer_than_any_piece() -> None:
    # the lead of 30 m comes from a second spool instead of 2 m by the metre
    way = ways(a_job(lamp={"lead": CutLead(length_m=60)}))["length_m"]
    assert only_change(way) == ("loads/1/lead/length_m", 29.5)
    assert way.text == "A lead of 29.5 m for lamp instead of 60 m"
    assert way.total_cents == 10660 - 160 + 6000


def test_shorter_run_is_a_way_out_of_an_outlet_too_weak_for_what_such_a_run_leaves_there() -> None:
    # 36 W / 0.8 + 1 W = 46 W of 40 W; on the bus 31.5 m in one piece of the spool of 30 m. At 29.5 m the lamp's run
    # comes from a second spool; its lead came with it
    offers = tuple(offer for offer in a_catalogue().offers if offer.step_m is None)
    job = a_job(
        ac=replace(OUTLET, max_w=40),
        router={"brick": BRICK},
        desk={"run_m": 31},
        lamp={"lead": SuppliedLead(loop_ohm=0.08)},
    )
    way = ways(job, replace(a_catalogue(), offers=offers))["run_m"]
    assert only_change(way) == ("places/0/run_m", 29.5)
    assert way.total_cents == 10660 - 160 + 6000


def test_every_limit_of_a_set_may_give() -> None:
    """Outlet and ways fail together only: either resolves it, and one of them is named as the reason."""
    job, catalogue = tiny(529)
    (found,) = plan(job, catalogue).reasons
    assert (found.rule, found.together) == ("outlet_power", ("switches on offer", "what the AC outlet gives"))
    assert only_change(ways(job, catalogue)["switch"]) == ("loads/0/switch", False)


def test_ways_that_a_piece_too_long_hides_are_found_with_it() -> None:
    """Too long a run is in the way of any model, so that the one spare way for two circuits is not seen."""
    job, catalogue = tiny(87)
    assert [reason.rule for reason in plan(job, catalogue).reasons] == ["stock"]
    (way,) = [way for way in plan(job, catalogue).ways_out if way.limit != "without"]
    assert {c.pointer: c.value for c in way.change} == {"bus/spare_ways": 2, "places/1/run_m": 4.7}


WITHOUT_A_PLAN = (3, 15, 36, 39, 42, 45, 54, 69, 81, 84, 87, 93, 96, 105, 111, 117)


@pytest.mark.parametrize("seed", WITHOUT_A_PLAN)
def test_ways_out_of_any_job_leave_the_plan_they_promise(seed: int) -> None:
    job, catalogue = tiny(seed)
    ways_out = [way for way in plan(job, catalogue, time_limit_s=20).ways_out if way.change]
    assert ways_out
    for way in ways_out:
        again = plan(changed(job, way.change), catalogue, time_limit_s=20)
        assert (again.status, again.total_cents) == (way.status, way.total_cents), way.text
        assert not [check for check in again.checks if check.state == "fails"]


def test_job_without_a_load_is_the_last_way_out() -> None:
    plug = Needs(form="x-plug", min_v=1, max_v=2)
    way = ways(a_job(router={"needs": plug}))["without"]
    assert (way.text, only_change(way)) == ("Without router", ("loads/0", None))
    assert "without" not in ways(a_job(**SHORT))


# -- as promised ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "job",
    [
        pytest.param(a_job(**SHORT), id="energy"),
        pytest.param(a_job(limits={"drop_pct": 6}), id="drop"),
        pytest.param(a_job(limits={"budget_cents": 10000}), id="budget"),
    ],
)
def test_every_way_out_leaves_the_plan_it_promises(job: Job) -> None:
    found = plan(job, a_catalogue()).ways_out
    assert found
    for way in found:
        answer = plan(changed(job, way.change), a_catalogue())
        assert (answer.status, answer.total_cents) == (way.status, way.total_cents), way.text
        assert not [check for check in answer.checks if check.state == "fails"]


def test_two_changes_together_where_no_single_one_is_enough() -> None:
    job = a_job(**SHORT, limits={"drop_pct": 6})
    answer = plan(job, a_catalogue(), time_limit_s=LIMIT_S)
    assert {reason.rule for reason in answer.reasons} == {"drop_at_floor", "autonomy"}
    way = next(
        way for way in answer.ways_out if {"drop_pct", "autonomy_h"} <= {c.pointer.split("/")[-1] for c in way.change}
    )
    assert {c.pointer: c.value for c in way.change} == {"limits/autonomy_h": 16.0, "loads/0/drop_pct": 6.5}
    assert plan(changed(job, way.change), a_catalogue()).total_cents == way.total_cents


def test_limit_that_comes_to_light_once_another_gives_is_eased_with_it() -> None:
    """Outlet and ways are told; with a way more it is the drop of the run that keeps the load on the outlet."""
    job, catalogue = tiny(59)
    limits = replace(job.limits, drop_pct=1.5, autonomy_h=24, fuse_ratio_max=2, far_fault_multiple=0)
    job = replace(job, limits=limits, bus=replace(job.bus, spare_ways=0))
    answer = plan(job, catalogue, time_limit_s=LIMIT_S)
    assert {rule for reason in answer.reasons for rule in (reason.rule, *reason.together)}.isdisjoint({"drop_at_floor"})
    (way,) = answer.ways_out
    assert {"bus/spare_ways", "drop_pct"} <= {c.pointer if "/0/" not in c.pointer else "drop_pct" for c in way.change}
    assert plan(changed(job, way.change), catalogue).total_cents == way.total_cents


def test_what_one_change_makes_possible_counts_for_the_other() -> None:
    """A thrifty converter of 12 V loses 6.03 % in the lead, which only the drop that the run needs anyway allows.

    18 W take 18.57 W at its head: (20.74 W × 12 h + 0.1 W × 12 h + 48 Wh) / 24 h × 1.05 = 13.04 W, 18.4 h of 240 Wh;
    with the other (22.24 W while on) 14.83 W and 16.2 h. 40.3 W at 10.956 V are 3.68 A and 0.736 V of 0.744 V; with
    6.1 % they are 0.735 V of 0.732 V.
    """
    thrifty = replace(a_catalogue().parts[0], id="thrifty", out_v=12, idle_w=0.1)
    offer = Offer(id="o-thrifty", seller="shop", price_cents=3000, contents=(Content(part="thrifty", count=1),))
    router = {"needs": Needs(form="dc-plug", min_v=10, max_v=20), "lead": SuppliedLead(loop_ohm=0.24)}
    job = a_job(**SHORT, limits={"drop_pct": 6}, router=router | {"peak_w": 34})
    answer = plan(job, a_catalogue(thrifty, offers=(offer,)), time_limit_s=LIMIT_S)
    changes = [{c.pointer: c.value for c in way.change} for way in answer.ways_out]
    assert {"limits/autonomy_h": 18.0, "loads/0/drop_pct": 6.2} in changes


def test_three_changes_together_where_two_are_not_enough() -> None:
    # 16 h as above; 42 W / 10.98 V = 3.825 A may lose 0.72 V: 0.1882 Ω, 18.82 m with the slack
    answer = plan(a_job(**SHORT, limits={"drop_pct": 6}, bus={"spare_ways": 1}), a_catalogue(), time_limit_s=LIMIT_S)
    assert {reason.rule for reason in answer.reasons} == {"drop_at_floor", "autonomy", "ways_and_holders"}
    changes = [{c.pointer: c.value for c in way.change} for way in answer.ways_out]
    assert {"limits/autonomy_h": 16.0, "bus/spare_ways": 2, "places/0/run_m": 18.3} in changes
    assert {"limits/autonomy_h": 16.0, "bus/spare_ways": 2, "loads/0/drop_pct": 6.5} in changes
    hours = next(way for way in answer.ways_out if way.change[0].pointer == "loads/0/hours_per_day")
    assert hours.text.startswith("router off 5.5 h more a day: 6.5 h instead of 12 h, and ")


# -- parts that only just do not do -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("boost", "router", "text"),
    [
        pytest.param({"in_max_v": 13}, {}, "takes up to 14 V: boost takes 13 V", id="highest voltage"),
        pytest.param({"max_out_w": 40}, {}, "puts out 44 W: boost puts out 40 W", id="power"),  # 36 W × 1.2 = 43.2 W
        # 4 A × 0.2 Ω: the drop is held from a floor of 10.932 V up (6.4 % above); 10.9 V is the last tenth
        pytest.param({"in_min_v": 12}, {}, "accepts 10.9 V: the nearest, boost, takes no less than 12 V", id="lowest"),
        pytest.param({"out_v": 24}, {}, "puts out 20 V: boost puts out 24 V", id="too high"),
        pytest.param(  # 42.0 W with what the lead loses
            {"max_out_w": 41},
            {"peak_w": 34, "lead": SuppliedLead(loop_ohm=0.3)},
            "puts out 43 W: boost puts out 41 W",
            id="power with the lead",
        ),
        pytest.param({"out_v": 16}, {}, "puts out 20 V: boost puts out 16 V", id="too low"),
    ],
)
def test_nearest_converter_says_what_it_would_have_to_do(boost: Fields, router: Fields, text: str) -> None:
    answer = plan(a_job(router=router), a_catalogue(boost=boost))
    assert [reason.rule for reason in answer.reasons] == ["feed"]
    way = next(way for way in answer.ways_out if not way.change)
    assert way.text == f"A converter for router that {text}"
    assert (way.total_cents, way.change) == (10660, ())
    assert "costs more than boost" in way.uncounted


def test_one_converter_is_named_for_all_loads_that_it_would_do_for() -> None:
    second = replace(a_job().loads[0], id="second", own_circuit=True)
    job = a_job(more_loads=(second,), bus={"spare_ways": 3}, existing={"capacity_ah": 300})
    answer = plan(job, a_catalogue(boost={"in_max_v": 13}))
    way = next(way for way in answer.ways_out if not way.change)
    assert way.text == "A converter for router, second that takes up to 14 V: boost takes 13 V"


def test_what_a_load_without_a_feed_hides_gives_way_with_the_part_it_needs() -> None:
    # 240 Wh / 14.7 W = 16.3 h once there is a converter; nothing to state in the job for a part that nobody sells
    answer = plan(a_job(**SHORT), a_catalogue(boost={"in_max_v": 13}), time_limit_s=LIMIT_S)
    assert [reason.rule for reason in answer.reasons] == ["feed"]
    way = next(way for way in answer.ways_out if "autonomy" in way.text)
    assert way.text == (
        "A converter for router that takes up to 14 V: boost takes 13 V, and autonomy of 16 h instead of 24 h"
    )
    assert (way.total_cents, way.change) == (10660, ())
    assert "costs more than boost" in way.uncounted


def test_converter_with_larger_terminals_is_a_way_out_of_the_drop() -> None:
    answer = plan(a_job(), a_catalogue(boost={"max_conductor_mm2": 2}))  # 1 mm² loses 3.2 V, 4 mm² 0.8 V
    way = next(way for way in answer.ways_out if way.limit == "max_conductor_mm2")
    assert way.text == "A converter for router that takes conductors of 4 mm²: boost takes 2 mm²"
    assert (way.total_cents, way.change) == (10660, ())


def test_less_room_to_spare_is_a_way_out_too() -> None:
    way = ways(a_job(), a_catalogue(boost={"max_out_w": 40}))["headroom_pct"]
    assert only_change(way) == ("limits/headroom_pct", 11.0)  # 40 W / 36 W = 1.111
    assert way.least


def test_time_that_runs_out_is_told_with_what_was_not_tried() -> None:
    job, catalogue = a_job(**SHORT), a_catalogue()
    instance = build(job, catalogue)
    found = ways_out(job, catalogue, instance, reasons_for(instance), Clock(0.0))
    assert found.ways == ()
    assert found.untried[:2] == ("a shorter autonomy", "a new bank")


def test_what_a_search_takes_around_it_is_kept_free() -> None:
    pace = Pace(Clock(100.0), build_s=40.0, overhead_s=10.0)
    with pace.granted(500.0, 1.0) as limit_s:
        assert 49 < limit_s <= 50
    with pytest.raises(OutOfTime), Pace(Clock(30.0), build_s=40.0).granted(5.0, 1.0):
        pass
    with Pace(Clock(30.0), build_s=40.0).granted(5.0, 0.5) as limit_s:
        assert limit_s == 5.0


def test_hours_off_are_tightened_to_the_last_half_hour() -> None:
    answer = plan(a_job(**SHORT), a_catalogue(), time_limit_s=LIMIT_S)
    way = next(way for way in answer.ways_out if way.limit == "hours_per_day")
    assert way.least


def test_canal_boat_shows_at_least_four_ways_out_each_as_priced() -> None:
    job = schemas.read_job(seed_catalog.demo_jobs()["canal-boat-mast"]).value
    catalogue = schemas.read_catalogue(seed_catalog.load_catalogue()).value
    assert job is not None
    assert catalogue is not None
    answer = plan(job, catalogue, time_limit_s=LIMIT_S)
    assert answer.status == "infeasible"
    assert len(answer.ways_out) >= 4
    assert {"autonomy_h", "may_buy", "hours_per_day"} <= {way.limit for way in answer.ways_out}
    first = answer.ways_out[0]
    again = plan(changed(job, first.change), catalogue, time_limit_s=LIMIT_S)
    assert again.has_answer
    assert again.total_cents is not None
    assert again.total_cents <= first.total_cents  # equal where both are proven
    assert not [check for check in again.checks if check.state == "fails"]


def test_changed_job_is_the_old_one_but_for_the_values() -> None:
    job = a_job()
    bent = changed(job, (Change(pointer="loads/1/lead/length_m", value=2.5), Change(pointer="bus/spare_ways", value=7)))
    assert bent == a_job(lamp={"lead": type(job.loads[1].lead)(length_m=2.5)}, bus={"spare_ways": 7})
