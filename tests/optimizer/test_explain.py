"""Where there is no plan, the reason names the load, place or bank and the numbers that stand in the way."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

import pytest

import seed_catalog
from optimizer.catalogue import Catalogue, Content, Fuse
from optimizer.explain import reasons_for
from optimizer.job import AcOutlet, Bank, Brick, CutLead, Job, Needs, SuppliedLead
from optimizer.plan import Reason
from optimizer.planner import plan
from optimizer.shortfalls import conductor_misses
from optimizer.solve.instance import build
from optimizer.solving import Clock
from tests.builders import OFFERS, a_catalogue, a_job
from tests.optimizer.checks.twins.twin import BRICK, CAMERA, OUTLET
from tests.optimizer.solve.rule_twins import AGM, sold
from tests.optimizer.tiny import tiny
from webapp import schemas

Fields = dict[str, Any]
FUSE = Fuse(id="fuse", style="blade", rating_a=5, max_v=32, interrupt_a=1000)


def reasons(job: Job, catalogue: Catalogue | None = None) -> tuple[Reason, ...]:
    answer = plan(job, catalogue or a_catalogue())
    assert (answer.status, answer.total_cents, answer.bound_cents) == ("infeasible", None, None)
    assert (answer.circuits, answer.feeds, answer.orders, answer.cuts, answer.bank) == ((), (), (), (), None)
    return answer.reasons


def reason(job: Job, catalogue: Catalogue | None = None) -> Reason:
    """The only one."""
    (only,) = reasons(job, catalogue)
    return only


def says(found: Reason, rule: str, subject: str, *words: str) -> None:
    assert (found.rule, found.subject) == (rule, subject)
    for word in words:
        assert word in found.text


# -- loads that nothing feeds -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("boost", "router", "words"),
    [
        ({"out_v": 24}, {}, ("puts out 24 V", "takes 18 to 20 V")),
        ({"max_out_w": 40}, {}, ("puts out 40 W", "43 W are asked")),  # 36 W + 20 %
        ({"in_max_v": 13}, {}, ("takes 13 V", "the bus reaches 14 V")),
        ({"in_min_v": 12}, {}, ("needs 12 V", "the bus falls to 11.7 V")),
        # 19 V behind 1.5 Ω with 36 W: (19 + √(19² − 216)) / 2 = 15.52 V, 10 % of 19 V allowed
        ({}, {"lead": SuppliedLead(loop_ohm=1.5)}, ("loses 3.48 V", "1.90 V are allowed")),
        ({}, {"needs": Needs(form="usb-c", min_v=5, max_v=20)}, ("nothing on offer ends in usb-c",)),
        ({"out_v": None, "efficiency": 1.0, "idle_w": 0.0}, {}, ("falls to 11.7 V", "needs 18 V")),
        # 34 W × 1.2 = 40.8 W; behind 0.3 Ω (19 + √(19² − 40.8)) / 2 = 18.45 V, so 19 × 34 / 18.45 W × 1.2 = 42.0 W
        (
            {"max_out_w": 41},
            {"peak_w": 34, "lead": SuppliedLead(loop_ohm=0.3)},
            ("puts out 41 W and 42 W are asked, lead and headroom included",),
        ),
        # (19 + √(19² − 57.6)) / 2 = 18.21 V: 0.79 V of the 1.9 V allowed are lost
        (
            {},
            {"lead": SuppliedLead(loop_ohm=0.4), "needs": Needs(form="dc-plug", min_v=18.5, max_v=20)},
            ("the lead it came with leaves 18.21 V, and the load needs 18.50 V",),
        ),
        ({"in_form": "usb-c"}, {}, ("it takes usb-c, which nothing on offer turns the bus into for this load",)),
        (
            {"out_v": None, "efficiency": 1.0, "idle_w": 0.0},
            {"needs": Needs(form="dc-plug", min_v=10, max_v=13)},
            ("it passes the bus on, which reaches 14 V, and the load takes 13 V",),
        ),
        # 9² = 81 is less than 4 × 1 Ω × 36 W
        (
            {"out_v": 9},
            {"needs": Needs(form="dc-plug", min_v=5, max_v=20), "lead": SuppliedLead(loop_ohm=1)},
            ("the lead it came with cannot carry 36 W at 9 V",),
        ),
        ({"limits_output": False}, {}, ("does not limit its output, and no fuse with a holder on offer guards that",)),
    ],
)
def test_load_without_a_feed_names_the_nearest_part_and_its_limit(
    boost: Fields, router: Fields, words: tuple[str, ...]
) -> None:
    found = reason(a_job(router=router), a_catalogue(boost=boost))
    nearest = () if "usb-c" in words[0] else ("boost comes closest",)
    says(found, "feed", "load router", "Router cannot be fed", *nearest, *words)


def test_lead_no_thicker_than_the_converters_terminals_is_said_to_be_so() -> None:
    # 30 m of 1 mm² twice: 1.2 Ω, (19 + √(19² − 4 × 1.2 × 21)) / 2 = 17.57 V; of 4 mm² 0.3 Ω and 18.66 V
    lamp = {"needs": Needs(form="dc-wire", min_v=18, max_v=20), "lead": CutLead(length_m=29.5)}
    wired = replace(a_catalogue().parts[0], id="wired", out_form="dc-wire", max_conductor_mm2=2)
    says(
        reason(a_job(lamp=lamp), sold(wired)),
        "feed",
        "load lamp",
        "wired comes closest: 30.0 m of lead, even of 1 mm², the most that its terminals take, leaves 17.57 V",
    )


def test_resistive_load_asks_for_what_it_takes_at_the_converters_voltage() -> None:
    # 24² / 36 W = 16 Ω: at 19 V 22.6 W, with room to spare 27.1 W of the 40 W; 36 W would ask for 43.2 W
    router: Fields = {"behaviour": "resistive", "rated_v": 24}
    found = reason(a_job(router=router), a_catalogue(boost={"max_out_w": 40, "in_min_v": 12}))
    assert found.text.endswith("boost comes closest: it needs 12 V and the bus falls to 11.7 V.")


@pytest.mark.parametrize(
    ("lamp", "words"),
    [
        ({"needs": Needs(form="dc-wire", min_v=10, max_v=13)}, ("would see 14 V on charge", "takes 13 V")),
        # 12 V behind 0.02 Ω with 21 W: 12 V + 0.02 Ω × 1.75 A = 12.04 V (4 mm² twice 2 m)
        ({"needs": Needs(form="dc-wire", min_v=12, max_v=15)}, ("needs 12.04 V at its place", "falls to 11.7 V")),
    ],
)
def test_direct_load_that_the_bus_does_not_suit(lamp: Fields, words: tuple[str, ...]) -> None:
    says(reason(a_job(lamp=lamp)), "feed", "load lamp", *words)


def test_direct_load_that_may_be_left_without_any_voltage() -> None:
    # 6 V less 50 % of 12 V
    lamp: Fields = {"needs": Needs(form="dc-wire", min_v=0, max_v=15)}
    found = reasons(a_job(lamp=lamp, limits={"drop_pct": 50}, bus={"low_v": 6}), a_catalogue(boost={"in_min_v": 5}))
    assert "Lamp cannot be fed: directly the drop that is allowed leaves it no voltage." in [
        each.text for each in found
    ]


def test_lead_that_is_on_offer_only_thicker_than_the_converters_terminals() -> None:
    lamp: Fields = {"needs": Needs(form="dc-wire", min_v=18, max_v=20)}
    wired = replace(a_catalogue().parts[0], id="wired", out_form="dc-wire", max_conductor_mm2=0.75)
    says(
        reason(a_job(lamp=lamp), sold(wired)),
        "feed",
        "load lamp",
        "wired comes closest: its terminals take no more than 0.75 mm², and no lead so thin is on offer.",
    )


def test_conductors_thinner_than_asked_are_said_to_be_all_there_is() -> None:
    found = reasons(a_job(limits={"min_mm2": 6}))
    assert found[0].text == "Lamp at mast: no pair of conductors of 6 mm² or more is on offer."


def test_nearest_parts_are_named_in_order_with_the_limit_each_breaks() -> None:
    # 43.2 W are asked: 42 W miss it by 3 %, 40 W by 7 %, and 14 V against 10 V by 29 %; the fourth is not named
    boost = a_catalogue().parts[0]
    others = [
        replace(boost, id="b", max_out_w=42),
        replace(boost, id="c", in_max_v=10),
        replace(boost, id="d", out_v=60),
    ]
    catalogue = sold(*others, boost={"max_out_w": 40})
    found = reason(a_job(), catalogue).text
    assert found.index("b comes closest: it puts out 42 W") < found.index("next boost")
    assert found.index("next boost: it puts out 40 W") < found.index("next c: it takes 10 V and the bus reaches 14 V")
    assert "60 V" not in found


def test_of_parts_with_the_same_fault_the_nearest_alone_is_named() -> None:
    # 43.2 W are asked; b, and c besides, put out 42 W, which is said once: then there is room for what d lacks
    boost = a_catalogue().parts[0]
    others = [
        replace(boost, id="b", max_out_w=42),
        replace(boost, id="c", max_out_w=42),
        replace(boost, id="d", out_v=60),
    ]
    found = reason(a_job(), sold(*others, boost={"max_out_w": 40})).text
    assert found.count("it puts out 42 W") == 1
    assert "next d: it puts out 60 V" in found


def test_every_load_without_a_feed_is_named() -> None:
    found = reasons(a_job(lamp={"needs": Needs(form="x", min_v=1, max_v=2)}), a_catalogue(boost={"out_v": 24}))
    assert [each.subject for each in found] == ["load lamp", "load router"]


# -- fuses ------------------------------------------------------------------------------------------------------------


def test_fault_current_above_every_interrupt_rating_is_said_and_stops() -> None:
    found = reason(a_job(bus={"fault_a": 1500}))
    says(found, "fault", "bank", "1,500 A", "interrupts more than 1,000 A")


def test_loads_at_the_outlet_need_no_fuse_that_breaks_the_fault() -> None:
    outlet: Fields = {"ac": OUTLET, "router": {"brick": BRICK}, "lamp": {"brick": BRICK}}
    answer = plan(a_job(bus={"fault_a": 1500}, existing={"capacity_ah": 200}, **outlet), a_catalogue())
    assert (answer.status, answer.total_cents) == ("optimal", 0)
    assert {feed.source for feed in answer.feeds} == {"ac"}


def test_no_fuse_of_the_panels_style() -> None:
    says(reason(a_job(bus={"fuse_style": "bolt"})), "fault", "bank", "style (bolt)")


def test_catalogue_without_fuses() -> None:
    plain = a_catalogue()
    bare = replace(
        plain,
        parts=tuple(part for part in plain.parts if part.kind != "fuse"),
        offers=tuple(offer for offer in OFFERS if offer.id != "o-fuse5"),
    )
    says(reason(a_job(), bare), "fault", "bank", "No fuse")


def test_fuse_that_no_way_takes() -> None:
    says(reason(a_job(bus={"way_max_a": 4})), "fault", "bank", "a way of 4 A")


def test_fuse_too_small_for_the_current() -> None:
    # 45 W / 0.9 + 2 W = 52 W at 10.5 V: 4.952 A, × 1.25 = 6.19 A
    found = reason(a_job(router={"peak_w": 45}, desk={"run_m": 4}))
    says(found, "fuse_carries_design_current", "load router", "Router at desk", "at least 6.19 A", "on offer are 5 A")


def test_fuse_larger_than_the_converter_allows() -> None:
    found = reason(a_job(), a_catalogue(boost={"max_fuse_a": 3}))
    says(found, "fuse_within_feed", "load router", "at least 5.00 A", "no fuse above 3 A")


def test_run_that_no_fuse_protects() -> None:
    found = reasons(a_job(), a_catalogue(twin4={"ampacity_a": 4.9}, twin1={"ampacity_a": 4.9}))
    assert {each.subject for each in found} == {"load lamp", "load router"}
    says(found[1], "feed", "load router", "Router at desk", "4 mm² carries 4.90 A", "smallest fuse on offer is 5 A")


def test_far_fault_that_blows_no_fuse() -> None:
    # 12 V / (12 V / 800 A + 2 × 900.5 m × 5 Ω/km) = 1.33 A
    found = reason(a_job(desk={"run_m": 900}, limits={"far_fault_multiple": 5}))
    says(found, "feed", "load router", "end of 900.5 m", "pushes 1.3 A", "smallest fuse on offer is 5 A")


# -- drop -------------------------------------------------------------------------------------------------------------


def test_drop_names_load_place_and_numbers() -> None:
    # 42 W / 10.5 V = 4 A over 2 × 900.5 m × 5 Ω/km = 9.005 Ω; 10 % of 12 V allowed
    found = reason(a_job(desk={"run_m": 900, "name": "Lookout"}, router={"name": "Radio"}))
    assert found == Reason(
        subject="load router",
        text="Radio at Lookout: 4.0 A over 900.5 m loses 36.02 V even with 4 mm², 1.20 V are allowed.",
        rule="drop_at_floor",
    )


def test_drop_of_a_direct_load_counts_from_what_it_needs() -> None:
    # lead of 4 mm², 0.02 Ω: 10.5 V + 0.02 Ω × 2 A = 10.54 V
    found = reason(a_job(mast={"run_m": 60}))
    says(found, "drop_at_floor", "load lamp", "2.0 A over 60.5 m", "1.16 V are left above the 10.54 V")


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"boost": {"max_conductor_mm2": 2}}, "the terminals of boost take no more"),
        ({"crimp": {"mm2_max": 3}}, "no terminals on offer fit a thicker one"),
    ],
)
def test_drop_says_why_no_thicker_conductor_is_taken(parts: Fields, words: str) -> None:
    found = reason(a_job(), a_catalogue(**parts))
    says(found, "drop_at_floor", "load router", "loses 3.20 V even with 1 mm²", words)  # 0.8 Ω × 4 A


def test_converter_with_small_terminals_beside_a_direct_feed_that_loses_too_much() -> None:
    # 20 m of 1 mm² are 0.8 Ω, of 4 mm² 0.2 Ω: the converter holds 1.2 V with 4 mm² only, and directly 11.65 V are asked
    steady = replace(a_catalogue().parts[0], id="steady", out_form="dc-wire", out_v=12, max_conductor_mm2=2)
    near = Needs(form="dc-wire", min_v=11.65, max_v=15)
    (found,) = conductor_misses(build(a_job(mast={"run_m": 19.5}, lamp={"needs": near}), sold(steady)))
    assert found.text.endswith(
        "4 mm² would hold the drop over 19.5 m, and no converter on offer for it takes more than 2 mm²"
    )


def test_run_longer_than_the_thick_spool() -> None:
    found = reason(a_job(desk={"run_m": 31}, router={"peak_w": 20}))
    says(found, "drop_at_floor", "load router", "even with 1 mm²", "thicker cable comes in no piece of 31.5 m")


def test_run_longer_than_any_piece() -> None:
    plain = a_catalogue()
    spools = replace(plain, offers=tuple(offer for offer in plain.offers if offer.step_m is None))
    job = a_job(desk={"run_m": 31}, router={"peak_w": 20}, lamp={"lead": SuppliedLead(loop_ohm=0.01)})
    says(reason(job, spools), "stock", "load router", "31.50 m in one piece", "30.00 m")


def test_run_longer_than_any_piece_is_told_beside_what_else_is_in_the_way() -> None:
    plain = a_catalogue()
    spools = replace(plain, offers=tuple(offer for offer in plain.offers if offer.step_m is None))
    lamp: Fields = {"lead": SuppliedLead(loop_ohm=0.01)}
    job = a_job(desk={"run_m": 31}, router={"peak_w": 20}, lamp=lamp, existing={"capacity_ah": 50})
    assert [(each.rule, each.subject) for each in reasons(job, spools)] == [
        ("autonomy", "bank"),
        ("stock", "load router"),
    ]


# -- bank, panel, outlet ----------------------------------------------------------------------------------------------


def test_autonomy_gives_both_energies() -> None:
    # 14.7 W × 24 h; 0.5 × 50 Ah × 0.8 × 12 V
    found = reason(a_job(existing={"capacity_ah": 50}))
    says(found, "autonomy", "bank", "24 h", "353 Wh", "14.7 W", "the bank you have gives 240 Wh")


def test_autonomy_of_a_bank_to_buy_names_the_largest() -> None:
    job = a_job(bank=Bank(may_buy=True), limits={"autonomy_h": 40})
    says(reason(job, sold(AGM)), "autonomy", "bank", "588 Wh", "(agm) gives 240 Wh")  # 14.7 W × 40 h; one battery


def test_bank_peak_gives_both_currents() -> None:
    # 42 W / 11.7 V + 21 W / 11.664 V
    says(reason(a_job(existing={"max_discharge_a": 5})), "bank_peak", "bank", "5.4 A at 11.7 V", "gives 5 A")


def test_no_battery_suits_the_bus() -> None:
    says(reason(a_job(bank=Bank(may_buy=True))), "bank", "bank", "No battery")


def test_ways_give_the_number_of_circuits() -> None:
    found = reason(a_job(bus={"spare_ways": 1}))
    says(found, "ways_and_holders", "limits", "at least 2 circuits", "panel are 1", "holders")


def test_outlet_gives_both_powers() -> None:
    # 1 W + 36 W / 0.8
    job = a_job(ac=replace(OUTLET, max_w=40), router={"brick": BRICK})
    says(reason(job, a_catalogue(boost={"out_v": 24})), "outlet_power", "limits", "46 W", "gives 40 W")


def test_switch_names_the_load() -> None:
    says(reason(a_job(), a_catalogue(switch={"max_a": 4})), "switch_parts", "limits", "lamp", "14 V")


def test_terminals_name_the_conductors_that_none_fit() -> None:
    found = reason(a_job(), a_catalogue(crimp={"mm2_min": 6, "mm2_max": 10}))
    says(found, "terminal_parts", "limits", "there are none for 1, 4 mm²")


def test_peak_that_fails_only_with_the_outlet_is_told_with_the_outlets_limit_held() -> None:
    # on the bus each takes 42 W / 11.7 V = 3.59 A, at the outlet 36 W / 0.95 / 0.95 / 11.7 V = 3.41 A; there is room
    # for one of 37.9 W there: 7.0 A at least, where two at the outlet would do with 6.8 A
    brick = Brick(efficiency=0.95, idle_w=0)
    router = replace(a_job().loads[0], brick=brick)
    job = a_job(
        loads=(router, replace(router, id="second")),
        ac=AcOutlet(efficiency=0.95, idle_w=0, on_hours_per_day=24, max_w=70),
        existing={"capacity_ah": 900, "max_discharge_a": 6.9},
        bus={"spare_ways": 4},
    )
    found = reason(job)
    assert found.together == ("what the AC outlet gives", "what the bank gives at peak")
    says(found, "bank_peak", "bank", "at least 7.0 A at 11.7 V", "the bank you have gives 6.9 A")
    assert plan(replace(job, ac=replace(job.ac, max_w=80)), a_catalogue()).has_answer  # type: ignore[arg-type, type-var]


def test_parts_sold_in_too_small_a_number_are_named() -> None:
    plain = a_catalogue()
    offers = tuple(replace(offer, limit=1) if offer.id == "o-boost" else offer for offer in plain.offers)
    job = a_job(more_loads=(CAMERA,), bus={"spare_ways": 5}, existing={"capacity_ah": 300})
    says(reason(job, replace(plain, offers=offers)), "stock", "catalogue", "boost (1)")


# -- several at once --------------------------------------------------------------------------------------------------


def test_limits_that_stand_in_the_way_together_are_all_named() -> None:
    found = reasons(a_job(existing={"capacity_ah": 50}, desk={"run_m": 40}))
    assert [each.rule for each in found] == ["drop_at_floor", "autonomy"]
    assert all("one of several limits" in each.text for each in found)


def test_limits_that_fail_only_together_are_named_as_a_set() -> None:
    # the router needs 5 A and its converter allows 3 A: with either limit alone one of the two fuses would do
    both = sold(replace(FUSE, id="fuse3", rating_a=3), boost={"max_fuse_a": 3})
    found = reason(a_job(), both)
    says(found, "fuse_within_feed", "load router", "at least 5.00 A", "no fuse above 3 A")
    assert found.together == ("fuses that carry the current", "the fuses that converters and loads allow")
    assert plan(a_job(router={"peak_w": 19}), both).has_answer  # (19 W / 0.9 + 2 W) / 10.5 V × 1.25 = 2.8 A
    assert plan(a_job(), sold(replace(FUSE, id="fuse3", rating_a=3))).has_answer


def test_numbers_of_a_set_are_those_with_its_other_limits_held() -> None:
    # for 30 W the frugal converter takes 37.5 W, the strong one 35.6 W: with the lamp's 1.8 A 5.0 A and 4.8 A at peak.
    # The frugal one draws (22.5 W × 12 h / 24 h + 2 W) × 1.05 = 13.9 W on average with the lamp
    boost = a_catalogue().parts[0]
    strong = replace(boost, id="strong", efficiency=0.95, idle_w=4)
    catalogue = sold(strong, boost={"efficiency": 0.8, "idle_w": 0})
    job = a_job(existing={"capacity_ah": 75, "max_discharge_a": 4.9}, router={"peak_w": 30})
    found = reason(job, catalogue)
    assert found.together == ("what the bank gives at peak", "the autonomy asked for")
    # (18 W / 0.95 + 4 W) × 12 h + 4 W × 12 h + 48 Wh = 371.4 Wh, × 1.05; 0.5 × 75 Ah × 0.8 × 12 V
    says(found, "autonomy", "bank", "need 390 Wh", "(16.2 W on average)", "the bank you have gives 360 Wh")


def test_no_number_is_told_where_none_shows_the_conflict() -> None:
    # 34 W / 0.85 + 0.5 W = 40.5 W each, and 40 W: with no way both stay there, and the bank cannot give that at peak
    told = [each.text for each in reasons_for(build(*tiny(693))) if each.rule == "outlet_power"]
    assert told == [
        "The loads left on the AC outlet ask for more than it gives; it cannot hold together with the spare fuse ways "
        "(one of several limits that stand in the way)."
    ]


def test_outlet_with_room_enough_is_in_no_set() -> None:
    """With the outlet given up its inverter idles all the same: energy and switches alone are in the way."""
    job, catalogue = tiny(209)
    assert job.ac is not None
    (found,) = reasons_for(build(replace(job, ac=replace(job.ac, max_w=1e6)), catalogue))
    assert found.together == ("switches on offer", "the autonomy asked for")


@pytest.mark.parametrize(
    ("job", "parts", "words"),
    [
        # 36 W × 1.2 = 43.2 W
        pytest.param({}, {"boost": {"max_out_w": 43}}, "puts out 43 W and 43.2 W are asked", id="power"),
        # 14.7 W × 24 h = 352.8 Wh; 0.5 × 73.45 Ah × 0.8 × 12 V = 352.56 Wh
        pytest.param({"existing": {"capacity_ah": 73.45}}, {}, "need 352.8 Wh", id="energy"),
        # 42 W / 11.7 V + 21 W / 11.664 V = 5.39016 A
        pytest.param({"existing": {"max_discharge_a": 5.39}}, {}, "draws at least 5.3902 A", id="peak"),
        # 4 A × 2 × 30.01 m × 5 Ω/km = 1.2004 V
        pytest.param({"desk": {"run_m": 29.51}}, {"twin1": {"ohm_per_km_20c": 90}}, "loses 1.2004 V", id="drop"),
    ],
)
def test_what_is_missed_by_a_hair_reads_as_missed(job: Fields, parts: Fields, words: str) -> None:
    longer = tuple(
        replace(offer, contents=(Content(part="twin4", length_m=60),)) if offer.id == "o-twin4" else offer
        for offer in OFFERS
    )
    assert words in reason(a_job(**job), replace(a_catalogue(**parts), offers=longer)).text


def test_a_limit_that_fails_alone_is_a_set_of_one() -> None:
    assert reason(a_job(existing={"capacity_ah": 50})).together == ()


def test_reasons_out_of_time_claim_nothing() -> None:
    """Ways, which no bound shows: asked without time, the answer must not guess."""
    instance = build(a_job(bus={"spare_ways": 1}), a_catalogue())
    (found,) = reasons_for(instance, Clock(0.0))
    assert (found.rule, found.subject) == ("time", "limits")
    assert "not found in the time" in found.text


@pytest.mark.parametrize(
    ("changes", "rule"),
    [
        pytest.param({"existing": {"capacity_ah": 300, "max_discharge_a": 500}}, "autonomy", id="energy"),
        pytest.param({"existing": {"capacity_ah": 3000, "max_discharge_a": 50}}, "bank_peak", id="peak"),
    ],
)
def test_reasons_of_sixty_loads_come_at_once(changes: Fields, rule: str) -> None:
    loads = tuple(replace(each, id=f"{each.id}{n}") for n in range(30) for each in a_job().loads)
    instance = build(a_job(loads=loads, bus={"spare_ways": 60}, **changes), a_catalogue())
    started_s = time.process_time()
    found = reasons_for(instance)
    assert time.process_time() - started_s < 1.0
    assert [each.rule for each in found] == [rule]


@pytest.mark.parametrize(
    ("job", "given_up"),
    [
        pytest.param(a_job(existing={"capacity_ah": 50}), {"limits": {"autonomy_h": 16}}, id="autonomy"),
        pytest.param(a_job(desk={"run_m": 40}, router={"peak_w": 30}), {"limits": {"drop_pct": 12}}, id="drop"),
        pytest.param(a_job(bus={"spare_ways": 1}), {"bus": {"spare_ways": 2}}, id="ways"),
    ],
)
def test_giving_up_the_named_limit_leaves_a_plan(job: Job, given_up: Fields) -> None:
    assert reasons(job)
    spooled = tuple(
        replace(offer, contents=(Content(part="twin4", length_m=60),)) if offer.id == "o-twin4" else offer
        for offer in OFFERS
    )
    bent = replace(job, **{name: replace(getattr(job, name), **fields) for name, fields in given_up.items()})
    assert plan(bent, replace(a_catalogue(), offers=spooled)).has_answer


def test_reasons_of_a_large_job_come_within_seconds() -> None:
    """The canal boat with the whole seed catalogue; far under the time of a search, even on a busy machine."""
    job = schemas.read_job(seed_catalog.demo_jobs()["canal-boat-mast"]).value
    catalogue = schemas.read_catalogue(seed_catalog.load_catalogue()).value
    assert job is not None
    assert catalogue is not None
    instance = build(job, catalogue)
    started_s = time.process_time()
    found = reasons_for(instance)
    assert time.process_time() - started_s < 2.0
    assert [each.rule for each in found] == ["autonomy"]
