"""How a load can be fed: by hand, and against everything that the checks would allow."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from optimizer import feeds
from optimizer.catalogue import Catalogue, Fuse, Holder, Stage
from optimizer.checks import failures
from optimizer.checks.circuits import check_circuits
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feeds import check_feeds
from optimizer.feeds import (
    ASSUMED_DIRECT_FUSE_A,
    Draw,
    FeedFinder,
    FeedOption,
    behind_converter,
    fixed_v,
    input_w,
    load_ohm,
    reached_by_bus,
)
from optimizer.job import Job, SuppliedLead
from optimizer.plan import Circuit, Feed, FeedLead, Plan, PlanBank, Settled
from optimizer.planner import plan
from optimizer.prices import PriceBounds
from optimizer.solve import instance
from optimizer.solve.instance import build
from tests.benchmarks.jobs import safer_job
from tests.builders import LAMP, a_catalogue, a_job
from tests.optimizer.brute_force import feeds_by_trying
from tests.optimizer.checks.twins.twin import bought, pass_through
from tests.optimizer.solve.rule_twins import sold
from tests.optimizer.tiny import tiny

Fields = dict[str, Any]
LOSSY: Fields = {"lead": SuppliedLead(loop_ohm=0.5)}
BOOST = a_catalogue().get(Stage, "boost")  # 19 V, idle 2 W, efficiency 0.9
TIP = pass_through("tip", "dc-wire", "dc-plug")


@pytest.fixture
def _nothing_dropped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(instance, "without_beaten", lambda options, *_, **__: options)
    monkeypatch.setattr(feeds.Heads, "beaten", lambda _, chains: np.zeros(len(chains), dtype=bool))
    monkeypatch.setattr(feeds.Ends, "unbeaten", lambda _, chains: chains)


everything = pytest.mark.usefixtures("_nothing_dropped")


def options(load: str, job: Job | None = None, catalogue: Catalogue | None = None) -> list[FeedOption]:
    return build(job or a_job(), catalogue or a_catalogue()).options[load]


# -- along a chain ----------------------------------------------------------------------------------------------------


def test_voltage_is_the_buss_until_a_stage_fixes_it() -> None:
    assert fixed_v(()) is None
    assert fixed_v((TIP,)) is None
    assert fixed_v((BOOST, TIP)) == 19


def test_bus_reaches_the_stages_up_to_the_first_that_converts() -> None:
    assert reached_by_bus((TIP, BOOST, TIP)) == (TIP, BOOST)
    assert reached_by_bus((TIP,)) == (TIP,)
    assert reached_by_bus(()) == ()


@pytest.mark.parametrize(
    ("chain", "out_w", "expected_w"),
    [
        ((), 36, 36),
        ((BOOST,), 36, 42),  # 2 W + 36 W / 0.9
        ((BOOST,), 0, 2),
        ((BOOST, TIP), 36, 42),
        ((BOOST, BOOST), 36, 2 + 42 / 0.9),
    ],
)
def test_power_is_counted_back_from_the_load(chain: tuple[Stage, ...], out_w: float, expected_w: float) -> None:
    assert input_w(chain, out_w) == pytest.approx(expected_w)


def test_load_behind_its_lead() -> None:
    # 19 V behind 0.5 Ω with 36 W: (19 + √(361 − 72)) / 2 = 18 V, 2 A, 38 W at the head
    assert behind_converter(a_job().loads[0], 19, 0.5, 36) == pytest.approx((18, 38))
    assert behind_converter(a_job().loads[0], 19, 2.6, 36) is None  # 19² < 4 × 2.6 × 36


def test_resistive_load_behind_its_lead() -> None:
    heater = replace(LAMP, behaviour="resistive", rated_v=12, peak_w=36)
    assert load_ohm(heater) == 4
    assert load_ohm(LAMP) is None
    # 20 V over 4 Ω + 1 Ω: 16 V, 80 W at the head; at half its power half of that
    assert behind_converter(heater, 20, 1, 36) == pytest.approx((16, 80))
    assert behind_converter(heater, 20, 1, 18) == pytest.approx((16, 40))


@pytest.mark.parametrize(
    ("draw", "place_v", "expected_a"),
    [
        (Draw(power_w=42), 10.5, 4),
        (Draw(power_w=36, lead_ohm=0.5), 19, 2),
        (Draw(load_ohm=4, lead_ohm=1), 20, 4),
        (Draw(power_w=36, lead_ohm=2.6), 19, math.inf),
    ],
)
def test_current_of_a_feed(draw: Draw, place_v: float, expected_a: float) -> None:
    assert draw.current_a(place_v) == pytest.approx(expected_a)


# -- the small system -------------------------------------------------------------------------------------------------


def test_feed_through_a_converter() -> None:
    (option,) = options("router")
    assert (option.stages, option.lead, option.is_direct) == ((BOOST,), None, False)
    assert option.floor_v == pytest.approx(10.5)  # 11.7 V − 10 % of 12 V
    assert option.draw == Draw(power_w=42)
    assert option.average_w == pytest.approx(12)  # (22 W × 12 h + 2 W × 12 h) / 24 h


def test_converter_behind_a_switch_draws_nothing_while_off() -> None:
    (option,) = options("router", a_job(router={"switch": True}))
    assert option.average_w == pytest.approx(11)


@everything
def test_direct_feed_with_every_lead() -> None:
    found = {option.lead_ids: option for option in options("lamp")}
    assert set(found) == {("twin1",), ("twin4",)}
    assert found["twin1",].floor_v == pytest.approx(10.66)  # 10.5 V + 0.08 Ω × 2 A
    assert found["twin4",].floor_v == pytest.approx(10.54)  # 10.5 V + 0.02 Ω × 2 A
    assert found["twin1",].average_w == pytest.approx(2)  # 12 W × 4 h / 24 h: the lead is the wiring allowance's


def test_floor_is_the_highest_of_what_the_feed_asks_for() -> None:
    assert options("router", catalogue=a_catalogue(boost={"in_min_v": 11}))[0].floor_v == 11
    assert options("router", a_job(router={"drop_pct": 5}))[0].floor_v == pytest.approx(11.1)


@pytest.mark.parametrize(
    ("load", "fields", "parts"),
    [
        pytest.param("router", {"router": {"peak_w": 50.1}}, {}, id="headroom: 60.12 W of 60 W"),
        # 0.5 Ω: 18 V and 38 W at the head of the lead, × 1.2 = 45.6 W
        pytest.param("router", {"router": LOSSY}, {"boost": {"max_out_w": 45.5}}, id="headroom on what the lead loses"),
        pytest.param("router", {}, {"boost": {"in_max_v": 13.9}}, id="the bus goes higher"),
        pytest.param("router", {}, {"boost": {"in_min_v": 11.8}}, id="the bus goes lower"),
        pytest.param("router", {}, {"boost": {"out_v": 20.1}}, id="too much for the load"),
        pytest.param(
            "router", {"router": {"lead": SuppliedLead(loop_ohm=0.9)}}, {}, id="lead loses 1.79 V of 1.9: 17.2 V"
        ),
        pytest.param("lamp", {"lamp": {"needs": replace(LAMP.needs, max_v=13.9)}}, {}, id="direct on charge"),
        pytest.param("lamp", {"lamp": {"needs": replace(LAMP.needs, min_v=11.7)}}, {}, id="direct, with its lead"),
    ],
)
def test_feed_that_breaks_a_limit_is_not_one(load: str, fields: Fields, parts: Fields) -> None:
    assert options(load) != []
    assert options(load, a_job(**fields), a_catalogue(**parts)) == []


def test_resistive_load_above_its_rated_voltage_draws_more() -> None:
    option = options("lamp", a_job(lamp={"behaviour": "resistive", "rated_v": 10}))[0]
    assert option.average_w == pytest.approx(2 * 1.44)  # (12 V / 10 V)²


def test_stage_that_changes_nothing_is_never_used() -> None:
    assert options("lamp", catalogue=sold(pass_through("nothing", "dc-wire", "dc-wire"), price_cents=0)) == options(
        "lamp"
    )


@pytest.mark.parametrize(
    ("lamp", "limits", "expected_a"),
    [
        ({}, {"fuse_ratio_max": 2}, ASSUMED_DIRECT_FUSE_A),
        ({"max_fuse_a": 7}, {"fuse_ratio_max": 2}, 7),
        ({}, {}, math.inf),
    ],
)
def test_fuse_of_a_direct_load_with_its_own_lead(lamp: Fields, limits: Fields, expected_a: float) -> None:
    job = a_job(lamp={"lead": SuppliedLead(loop_ohm=0.1), **lamp}, limits=limits)
    assert options("lamp", job)[0].max_fuse_a == expected_a


def test_converter_without_a_limit_gets_any_output_fuse_that_carries() -> None:
    glass = [Fuse(id=f"g{a}", style="glass", rating_a=a, max_v=32, interrupt_a=100) for a in (2, 3, 5)]
    holder = Holder(id="glass-holder", style="glass", max_a=10, max_v=32)
    found = options("router", catalogue=sold(*glass, holder, boost={"limits_output": False}))
    assert [option.output_fuse for option in found] == [
        (glass[1], holder),
        (glass[2], holder),
    ]  # 1.25 × 36 W / 19 V = 2.37 A
    assert found[0].parts == ("boost", "g3", "glass-holder")


def test_feeds_listed_without_their_output_fuses_first_are_the_same_feeds() -> None:
    job, catalogue = safer_job(2, 1, 3)
    finder = FeedFinder(job, catalogue, PriceBounds(job, catalogue))
    for load in job.loads:
        unfused, every = finder.unfused(load), finder.options(load)
        assert finder.fused(load, unfused) == every
        assert unfused == sorted(unfused, key=lambda option: option.key)
        assert len(unfused) == len({(option.stages, option.lead_ids) for option in every})
    assert max(len(finder.options(load)) for load in job.loads) > 10_000


@pytest.mark.parametrize(("fuse_cents", "expected"), [(3000, "limiting"), (10, "boost")])
def test_converter_that_needs_an_output_fuse_is_no_cheaper_than_with_it(fuse_cents: int, expected: str) -> None:
    parts = (
        replace(BOOST, id="limiting"),
        Fuse(id="g3", style="glass", rating_a=3, max_v=32, interrupt_a=100),
        Holder(id="glass-holder", style="glass", max_a=10, max_v=32),
    )
    prices = {"limiting": 5000, "g3": fuse_cents, "glass-holder": 10}  # boost costs 3000
    offers = tuple(replace(bought(part), price_cents=cents) for part, cents in prices.items())
    answer = plan(a_job(), a_catalogue(*parts, offers=offers, boost={"limits_output": False}))
    assert [feed.stages for feed in answer.feeds] == [(), (expected,)]


def test_feed_that_just_keeps_its_headroom() -> None:
    assert options("router", a_job(router=LOSSY), a_catalogue(boost={"max_out_w": 45.6})) != []


# -- a dearer feed is not dropped for a cheaper one that is worse in something ----------------------------------------

WORSE = [
    pytest.param({"max_fuse_a": 4.9}, {}, id="fuse"),
    pytest.param({"max_conductor_mm2": 3.9}, {}, id="conductor"),
    pytest.param({"in_min_v": 11.5}, {}, id="floor"),  # 0.2 V are left for 3.65 A × 0.2 Ω
    pytest.param({"efficiency": 0.89}, {}, id="current"),  # 42.4 W: 1.25 × 4.04 A > 5 A
    pytest.param({"idle_w": 2.01}, {}, id="current while idle"),
    # less on average, more at peak: 42.9 W
    pytest.param({"efficiency": 0.84, "idle_w": 0}, {}, id="current at peak only"),
    pytest.param({"max_out_w": 43}, {}, id="power"),
    # 14.7 W with 4 A at peak either way
    pytest.param({"idle_w": 3, "efficiency": 36 / 39}, {"existing": {"capacity_ah": 73.5}}, id="average power"),
]


@pytest.mark.parametrize(("worse", "fields"), WORSE)
def test_better_converter_is_kept_although_dearer(worse: Fields, fields: Fields) -> None:
    better = replace(BOOST, id="better")
    answer = plan(a_job(**fields), sold(better, price_cents=9000, boost=worse))
    assert [feed.stages for feed in answer.feeds] == [(), ("better",)]


UP = Stage(
    id="up",
    in_form="dc-wire",
    in_min_v=9,
    in_max_v=32,
    out_form="dc-wire",
    out_v=24,
    max_out_w=60,
    efficiency=1,
    idle_w=0,
)
WORSE_HEAD = [
    pytest.param({"max_fuse_a": 4.9}, id="fuse"),
    pytest.param({"max_conductor_mm2": 3.9}, id="conductor"),
    pytest.param({"in_min_v": 11.5}, id="floor"),
    pytest.param({"efficiency": 0.99}, id="current"),
    pytest.param({"idle_w": 0.1}, id="current while idle"),
    pytest.param({"max_out_w": 50.3}, id="power"),  # 42 W × 1.2 = 50.4 W
]


@pytest.mark.parametrize("worse", WORSE_HEAD)
def test_better_beginning_of_a_chain_is_kept_although_dearer(worse: Fields) -> None:
    only_from_24 = {"boost": {"in_min_v": 20}}
    cheap = replace(UP, id="cheap", **worse)
    offers = (replace(bought("cheap"), price_cents=50), replace(bought("up"), price_cents=9000))
    answer = plan(a_job(), a_catalogue(cheap, UP, offers=offers, **only_from_24))
    assert [feed.stages for feed in answer.feeds] == [(), ("up", "boost")]


def test_cheaper_beginning_of_a_chain_is_taken_where_it_does() -> None:
    offers = (replace(bought("cheap"), price_cents=50), replace(bought("up"), price_cents=9000))
    answer = plan(a_job(), a_catalogue(replace(UP, id="cheap"), UP, offers=offers, boost={"in_min_v": 20}))
    assert [feed.stages for feed in answer.feeds] == [(), ("cheap", "boost")]


# -- against the checks -----------------------------------------------------------------------------------------------

OF_THE_CIRCUIT = {"lead_protection", "lead_max_fuse", "stage_input_current"}  # for direct feeds: the fuse is not known


@everything
@pytest.mark.parametrize("seed", range(200, 240))
def test_feeds_are_those_that_the_checks_allow(seed: int) -> None:
    """Over no distance, with a run that loses nothing, a feed is one if and only if no check on feeds fails."""
    job, catalogue = tiny(seed)
    job = replace(job, places=tuple(replace(place, run_m=0.001) for place in job.places))
    job = replace(job, limits=replace(job.limits, slack_m=0.0, joint_mohm=0))
    built = build(job, catalogue)
    for load in job.loads:
        found = {(tuple(s.id for s in o.stages), o.lead_ids) for o in built.options[load.id]}
        alone = replace(job, loads=(load,))
        allowed = {
            (feed.stages, feed.lead.cable if feed.lead else ())
            for feed in feeds_by_trying(job, catalogue, load)
            if _is_allowed(alone, catalogue, feed)
        }
        assert found == allowed


def _is_allowed(job: Job, catalogue: Catalogue, feed: Feed) -> bool:
    (load,) = job.loads
    circuit = Circuit(
        id="C1",
        place=load.place,
        loads=(load.id,),
        cable=("twin6",),
        cut_mm=0,
        fuse="fuse5",
        switch=None,
        holder=None,
        floor_v=0,
        design_a=0,
        settled=Settled(place_v=0, current_a=0, drop_v=0),
    )
    bank = PlanBank(keep=True, part=None, series=1, parallel=1, average_w=0, available_w=0)
    answer = Plan(status="optimal", total_cents=0, bound_cents=0, circuits=(circuit,), feeds=(feed,), bank=bank)
    facts = PlanFacts(job=job, catalogue=catalogue, plan=answer)
    failed = {check.rule for check in failures(check_feeds(facts))}
    if facts.feeds[0].is_direct:
        failed -= OF_THE_CIRCUIT
    floor = {check.rule for check in failures(check_circuits(facts))} & {"floor"}
    return not failed | floor


def test_lead_type_is_what_the_trying_uses() -> None:
    job, catalogue = a_job(), a_catalogue()
    tried = feeds_by_trying(job, catalogue, job.load_by_id["lamp"])
    assert FeedLead(cable=("twin1",), cut_mm=2000) in {feed.lead for feed in tried}
