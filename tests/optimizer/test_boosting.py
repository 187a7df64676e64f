"""Feeds with stages at the panel, and what loads add to a chain that they share: by hand and against the checks."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from optimizer.boosted import settled_draw
from optimizer.catalogue import Catalogue
from optimizer.checks import failures
from optimizer.checks.circuits import check_circuits
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feeds import check_feeds
from optimizer.conductors import pairs_on_offer
from optimizer.feed_option import plugged_in
from optimizer.feeds import Draw, FeedFinder, FeedOption
from optimizer.job import CutLead, Job, Load, Needs
from optimizer.plan import Feed, FeedLead, OutputFuse, Plan
from optimizer.prices import PriceBounds
from optimizer.units import cut_mm
from tests.builders import C1, KEPT, a_catalogue
from tests.optimizer.brute_force import feeds_by_trying
from tests.optimizer.checks.twins import sharing
from tests.optimizer.checks.twins.boosting import FUSE7, GLASS, GLASS_HOLDER, ON_24, THIN, UP24, job
from tests.optimizer.checks.twins.twin import bought, pass_through
from tests.optimizer.tiny import freed

Fields = dict[str, Any]


def catalogue(up24: Fields | None = None, *more: Any, **parts: Fields) -> Catalogue:
    stages = (replace(UP24, **up24 or {}), THIN, FUSE7, *more)
    return a_catalogue(*stages, offers=tuple(bought(part.id) for part in stages), **parts)


def finder(job_: Job, catalogue_: Catalogue) -> FeedFinder:
    return FeedFinder(job_, catalogue_, PriceBounds(job_, catalogue_))


def boosted(load: Fields | None = None, up24: Fields | None = None, *more: Any, **parts: Fields) -> list[FeedOption]:
    job_ = job(router=load or {})
    return finder(job_, catalogue(up24, *more, **parts)).boosted(job_.load_by_id["router"])


def test_nothing_is_boosted_unless_asked() -> None:
    job_ = job(limits={"boost_at_panel": False})
    assert finder(job_, catalogue()).boosted(job_.load_by_id["router"]) == []


def test_converter_at_the_panel_and_one_at_the_place() -> None:
    """42 W at the desk: 2 A at 21 V of 24 V, so 1.5 Ω at most and 48 W into the run; 1 W + 48 W / 0.96 = 51 W."""
    (option,) = boosted()
    assert [stage.id for stage in option.stages] == ["up24", "boost"]
    assert option.floor_v == pytest.approx(10.2)  # 11.7 V − 12.5 % of 12 V
    assert option.draw == Draw(power_w=pytest.approx(51))
    assert option.run is not None
    assert (option.panel_stages, option.run.max_mm2, option.run.fuse_a) == (1, math.inf, 0)
    assert option.run.max_ohm == pytest.approx(1.5)
    assert option.run.needs_a == pytest.approx(2.4)  # 57.6 W / 24 V


def test_average_of_a_boosted_feed() -> None:
    """18 W: 22 W at the desk, 1 W + 22 W / 0.96; off 2 W there, 1 W + 2 W / 0.96; half a day each."""
    (option,) = boosted()
    assert option.average_w == pytest.approx((1 + 22 / 0.96 + 1 + 2 / 0.96) / 2)
    (switched,) = boosted({"switch": True})
    assert switched.average_w == pytest.approx((1 + 22 / 0.96) / 2)


def test_stage_at_the_place_raises_the_floor_of_the_run() -> None:
    """22 V at least: 42 W / 22 V over (24 V − 22 V) × 22 V / 42 W = 1.0476 Ω; 24 V × 1.9091 A go in."""
    (option,) = boosted(boost={"in_min_v": 22})
    assert option.run is not None
    assert option.run.max_ohm == pytest.approx(2 * 22 / 42)
    assert option.draw.power_w == pytest.approx(1 + 24 * 42 / 22 / 0.96)


def test_load_on_the_run_itself() -> None:
    """36 W at 21 V over 0.25 Ω: 21.42857 V at the desk, (24 V − 21.42857 V) / 1.714286 A = 1.5 Ω."""
    (option,) = boosted(ON_24)
    assert [stage.id for stage in option.stages] == ["up24"]
    assert option.run is not None
    assert option.run.max_ohm == pytest.approx(1.5)
    assert option.draw.power_w == pytest.approx(1 + 24 * (36 / 21) / 0.96)
    assert option.average_w == pytest.approx((1 + 18 / 0.96 + 1) / 2)  # its own 18 W: the lead is the allowance's


def test_resistive_load_on_the_run_draws_most_at_no_loss() -> None:
    """20 V and 40 W: 10 Ω, with the lead 10.25 Ω: 2.341463 A at 24 V; 21.525 V × 2.1 A at the floor."""
    (option,) = boosted(
        ON_24 | {"behaviour": "resistive", "rated_v": 20, "peak_w": 40, "typical_w": 20}, {"max_out_w": 90}
    )
    assert option.run is not None
    assert option.run.max_ohm == pytest.approx((24 - 21.525) / 2.1)
    assert option.draw.power_w == pytest.approx(1 + 24 * 24 / 10.25 / 0.96)
    assert option.average_w == pytest.approx((1 + 28.8 / 0.96 + 1) / 2)  # 20 W × (24 V / 20 V)²


def test_resistive_load_behind_a_converter_at_the_place() -> None:
    """18 V and 36 W: 9 Ω; 19 V over 9 Ω + 1 Ω: 36.1 W at the head of the lead, 2 W + 36.1 W / 0.9 at the desk."""
    heater = {"behaviour": "resistive", "rated_v": 18, "lead": replace(ON_24["lead"], loop_ohm=1)}
    heater["needs"] = Needs(form="dc-plug", min_v=17, max_v=20)
    (option,) = boosted(heater, {"max_out_w": 90})
    into_w = 24 * (2 + 36.1 / 0.9) / 21
    assert option.draw.power_w == pytest.approx(1 + into_w / 0.96)


def test_what_settles_behind_a_shorter_run() -> None:
    """0.75 Ω: (24 + √(576 − 126)) / 2 = 22.60660 V; 24 V × 42 W / 22.60660 V into the run, 47.446603 W in.

    On the run itself over 0.75 Ω + 0.25 Ω: (24 + √(576 − 144)) / 2 = 22.392305 V; 24 V × 36 W / 22.392305 V in.
    """
    router = job(router={}).load_by_id["router"]
    assert settled_draw(router, boosted()[0], 0.75, 0).power_w == pytest.approx(47.446603)
    on_run = job(router=ON_24).load_by_id["router"]
    assert settled_draw(on_run, boosted(ON_24)[0], 0.75, 0.25).power_w == pytest.approx(1 + 864 / 22.392305 / 0.96)


def test_output_fuse_of_a_converter_at_the_panel_guards_the_run() -> None:
    """1.25 × 36 W / 21 V = 2.14 A: a fuse of 3 A, not the 57.6 W / 24 V of a converter that limits itself."""
    found = boosted(ON_24, {"limits_output": False}, GLASS, GLASS_HOLDER)
    assert [(o.run.needs_a, o.run.fuse_a) for o in found if o.run and o.output_fuse == (GLASS, GLASS_HOLDER)] == [
        (3, 3)
    ]
    assert not boosted({}, {"limits_output": False}, GLASS, GLASS_HOLDER)  # only the last converter may lack a limit


def test_conductor_of_the_run_fits_both_ends() -> None:
    (option,) = boosted({}, {"max_conductor_mm2": 2.5}, boost={"max_conductor_mm2": 1.5})
    assert option.run is not None
    assert option.run.max_mm2 == 1.5
    assert option.max_conductor_mm2 == 2.5  # of the circuit


def test_which_pairs_a_run_takes() -> None:
    """1.5 Ω and 2.4 A at most: 20 m of 0.5 mm² just do; a weaker, longer or thicker pair does not."""
    (option,) = boosted({}, {"max_conductor_mm2": 1})
    run = option.run
    assert run is not None
    thin, one, *_ = pairs_on_offer(catalogue(), 0)
    assert [pair.mm2 for pair in (thin, one)] == [0.5, 1]
    assert run.takes(thin, run.max_ohm, run.needs_a)
    assert not run.takes(thin, 1.51, 5)
    assert not run.takes(thin, 1.5, 2.39)
    assert run.takes(one, 0.8, 15)
    assert not run.takes(pairs_on_offer(catalogue(), 4)[0], 0.2, 40)


@pytest.mark.parametrize(
    ("load", "up24", "parts"),
    [
        pytest.param({}, {"out_v": 12}, {}, id="no more than the bus"),
        pytest.param({}, {"out_form": "dc-plug"}, {}, id="no bare wire"),
        pytest.param({}, {"in_max_v": 13.9}, {}, id="the bus goes higher"),
        pytest.param({}, {"max_out_w": 57.5}, {}, id="48 W × 1.2"),
        pytest.param({}, {}, {"boost": {"in_max_v": 23.9}}, id="24 V are too much"),
        pytest.param({}, {}, {"boost": {"in_min_v": 24}}, id="no volt to lose"),
        pytest.param({}, {}, {"boost": {"max_out_w": 43.1}}, id="36 W × 1.2"),
        pytest.param({"needs": Needs(form="dc-plug", min_v=18, max_v=18.9)}, {}, {}, id="not the load's voltage"),
        pytest.param(ON_24 | {"needs": Needs(form="dc-wire", min_v=20, max_v=23.9)}, {}, {}, id="24 V for the load"),
    ],
)
def test_boosted_feed_that_breaks_a_limit_is_not_one(load: Fields, up24: Fields, parts: dict[str, Fields]) -> None:
    assert boosted()
    assert boosted(load, up24, **parts) == []


def test_plug_behind_the_run_and_a_second_converter() -> None:
    """A plug lead may pass the run's voltage on; of converters there is one at most behind it."""
    plug = pass_through("plug", "dc-wire", "dc-plug")
    down = replace(UP24, id="down12", out_v=12)
    wide = {"needs": Needs(form="dc-plug", min_v=18, max_v=30)}
    chains = {tuple(s.id for s in o.stages) for o in boosted(wide, {}, plug, down)}
    assert chains == {("up24", "boost"), ("up24", "plug")}


def test_cut_leads_behind_a_boosted_feed() -> None:
    found = boosted({"needs": ON_24["needs"], "lead": CutLead(length_m=1.5)})
    assert {option.lead_ids for option in found} == {("twin0.5",), ("twin1",), ("twin4",)}
    assert [option.lead_needs_a for option in found] == pytest.approx([2.4] * 3)


# -- against the checks -----------------------------------------------------------------------------------------------

SEEDS = (2, 3, 8, 11, 20, 23, 31, 36, 43, 47, 52, 65, 88, 118, 130, 149)


@pytest.mark.parametrize("seed", SEEDS)
def test_boosted_feeds_and_runs_are_those_that_the_checks_allow(seed: int) -> None:
    """Every chain with every split, lead, output fuse and run that tiny parts make: allowed by both or by neither."""
    job_, offered = freed(seed, boost=True)
    for load in job_.loads:
        tried = [feed for feed in feeds_by_trying(job_, offered, load) if feed.run is not None]
        allowed = {_named(feed) for feed in tried if _is_allowed(replace(job_, loads=(load,)), offered, feed)}
        assert _found(job_, offered, load) == allowed


def test_the_seeds_bring_boosted_feeds_up() -> None:
    counts = [
        len(_found(job_, offered, load))
        for seed in SEEDS
        for job_, offered in [freed(seed, boost=True)]
        for load in job_.loads
    ]
    assert sum(count > 0 for count in counts) >= 10


def _named(feed: Feed) -> tuple[object, ...]:
    return (feed.stages, feed.panel_stages, feed.run, feed.lead, feed.output_fuse)


def _found(job_: Job, offered: Catalogue, load: Load) -> set[tuple[object, ...]]:
    place, limits = job_.place_by_id[load.place], job_.limits
    bundled = max(place.bundled, 2) if limits.count_circuits else place.bundled
    length_m, ambient_c = place.run_m + limits.slack_m, job_.ambient_c(place)
    prices = PriceBounds(job_, offered)
    pairs = [p for p in pairs_on_offer(offered, limits.min_mm2) if all(map(prices.is_sold_or_owned, p.ids))]
    found: set[tuple[object, ...]] = set()
    for option in finder(job_, offered).boosted(load):
        if option.lead and option.lead.ampacity_a(ambient_c, bundled) < option.lead_needs_a:
            continue
        lead = FeedLead(cable=option.lead_ids, cut_mm=_lead_mm(job_, load)) if option.lead else None
        fused = (
            OutputFuse(fuse=option.output_fuse[0].id, holder=option.output_fuse[1].id) if option.output_fuse else None
        )
        for pair in pairs:
            loop_ohm = pair.loop_ohm(length_m, limits.conductor_c) + limits.joint_mohm / 1000
            if option.run and option.run.takes(pair, loop_ohm, pair.ampacity_a(ambient_c, bundled)):
                run = FeedLead(cable=pair.ids, cut_mm=cut_mm(length_m))
                found.add((tuple(s.id for s in option.stages), option.panel_stages, run, lead, fused))
    return found


def _lead_mm(job_: Job, load: Load) -> int:
    assert isinstance(load.lead, CutLead)
    return cut_mm(load.lead.length_m + job_.limits.slack_m)


def _is_allowed(job_: Job, offered: Catalogue, feed: Feed) -> bool:
    """By every check on feeds, and by those on the floor of its circuit."""
    (load,) = job_.loads
    circuit = replace(C1, place=load.place, loads=(load.id,), cable=("twin6",), run_m=job_.limits.panel_run_m)
    answer = Plan(status="optimal", total_cents=0, bound_cents=0, circuits=(circuit,), feeds=(feed,), bank=KEPT)
    facts = PlanFacts(job=job_, catalogue=offered, plan=answer)
    floor = {check.rule for check in failures(check_circuits(facts))} & {"floor"}
    return not floor and not failures(check_feeds(facts))


# -- sharing ----------------------------------------------------------------------------------------------------------


def shared(load: str, camera: Fields | None = None, **boost: Any) -> FeedOption:
    job_ = sharing.job(camera)
    (option,) = finder(job_, sharing.catalogue(**boost)).options(job_.load_by_id[load])
    return option


def test_what_a_load_adds_to_a_chain() -> None:
    """36 W / 0.9 = 40 W besides the 2 W that the chain takes anyway; 60 W / 1.2 = 50 W for all; 18 W half a day."""
    share = shared("router").share
    assert share is not None
    assert (share.chain, share.outlets, share.idle_w) == (("boost",), 2, 2)
    assert share.draw.power_w == pytest.approx(40)
    assert share.average_w == pytest.approx(10)
    assert (share.stage_w, share.room_w) == ((36,), (pytest.approx(50),))


def test_host_and_what_joins_it_add_up_to_the_chain() -> None:
    """2 W + 45 W / 0.9 = 52 W; the camera's 9 W behind its own lead alone."""
    camera = shared("camera").share
    assert camera is not None
    assert shared("router").draw.power_w + camera.draw.power_w == pytest.approx(52)


def test_room_before_a_converter_counts_its_idle_power_once() -> None:
    """A stage of 62.4 W may pass 62.4 W / 1.2 = 52 W, 2 W of them for the converter; the router takes 40 W of it."""
    tail = pass_through("tail", "dc-wire", "tail", max_out_w=62.4)
    job_ = sharing.job()
    offered = a_catalogue(tail, offers=(bought("tail"),), boost={"in_form": "tail", "outlets": 2})
    (option,) = finder(job_, offered).options(job_.load_by_id["router"])
    assert option.share is not None
    assert option.share.stage_w == (pytest.approx(40), 36)
    assert option.share.room_w == (pytest.approx(50), pytest.approx(50))


def test_resistive_load_on_a_shared_chain() -> None:
    """19 V and 9 W: 40.11 Ω; behind 0.95 Ω 19² / 41.06 Ω = 8.79177 W, of which 4/9 on average."""
    lossy = {"behaviour": "resistive", "rated_v": 19, "lead": replace(ON_24["lead"], loop_ohm=0.95)}
    share = shared("camera", lossy).share
    assert share is not None
    assert share.stage_w == (pytest.approx(8.79177, abs=1e-5),)
    assert share.average_w == pytest.approx(8.79177 * 4 / 9 / 0.9, abs=1e-5)


@pytest.mark.parametrize(("switch", "expected_w"), [(False, 10), (True, 11)])
def test_plugged_into_anothers_chain(switch: bool, expected_w: float) -> None:
    """It buys nothing and adds 40 W; switched, it keeps 2 W of idling alive for its own twelve hours."""
    job_ = sharing.job({"switch": switch}, router={"switch": switch})
    router, camera = job_.load_by_id["router"], job_.load_by_id["camera"]
    (option,) = finder(job_, sharing.catalogue()).options(router)
    plugged = plugged_in(option, camera, router)
    assert (plugged.host, plugged.parts, plugged.stages) == ("camera", (), option.stages)
    assert plugged.draw.power_w == pytest.approx(40)
    assert plugged.average_w == pytest.approx(expected_w)


@pytest.mark.parametrize(
    ("camera", "boost"),
    [
        pytest.param({}, {"outlets": 1}, id="one outlet"),
        pytest.param({"own_circuit": True}, {}, id="a circuit of its own"),
    ],
)
def test_chain_that_is_not_shared(camera: Fields, boost: Fields) -> None:
    assert shared("camera").share is not None
    assert shared("camera", camera, **boost).share is None


def test_nothing_is_shared_unless_asked() -> None:
    job_ = sharing.job(limits={"share_stages": False})
    (option,) = finder(job_, sharing.catalogue()).options(job_.load_by_id["router"])
    assert option.share is None
