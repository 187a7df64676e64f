"""Twins of planning rules 2: feeds."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import Fuse, Holder, Stage
from optimizer.job import SuppliedLead
from optimizer.plan import FeedLead
from tests.builders import LAMP_FEED, ROUTER_FEED, a_catalogue, a_job, a_plan

from .twin import (
    AC_FEED,
    AC_PLAN,
    CUT_ROUTER,
    CUT_ROUTER_PLAN,
    OUTLET,
    OUTPUT,
    WITH_OUTLET,
    System,
    Twin,
    by_job,
    by_parts,
    by_plan,
    pass_through,
)

# the boost puts out another form, and a plug lead turns it into the one the router takes
SOCKET = {"out_form": "socket"}
VIA_PLUG = a_plan(router={"stages": ("boost", "plug")})


def plug(**fields: float) -> object:
    return pass_through("plug", "socket", "dc-plug", **fields)


def via_plug(rule: str, what: str, obeys: dict[str, float], breaks: dict[str, float], **boost: object) -> Twin:
    return Twin(
        rule=rule,
        what=what,
        obeys=System(catalogue=a_catalogue(plug(**obeys), boost={**SOCKET, **boost}), plan=VIA_PLUG),
        breaks=System(catalogue=a_catalogue(plug(**breaks), boost={**SOCKET, **boost}), plan=VIA_PLUG),
    )


def steps(count: int) -> System:
    """A chain of so many stages, all of them changing the form."""
    before = [pass_through(f"plug{i}", "dc-wire" if i == 0 else f"form{i}", f"form{i + 1}") for i in range(count - 1)]
    stages = (*(stage.id for stage in before), "boost")
    catalogue = a_catalogue(*before, boost={"in_form": f"form{count - 1}"})
    return System(catalogue=catalogue, plan=a_plan(router={"stages": stages}))


CHAINS = (
    by_job("ceiling", "bus", {"bus": {"high_v": 60}}, {"bus": {"high_v": 60.1}}),
    by_parts("ceiling", "stage", {"boost": {"out_v": 60}}, {"boost": {"out_v": 60.1}}),
    by_plan("load_fed_once", "no feed", {}, {"feeds": (LAMP_FEED,)}),
    by_plan("load_fed_once", "two feeds", {}, {"feeds": (ROUTER_FEED, ROUTER_FEED, LAMP_FEED)}),
    by_plan("feed_on_its_circuit", "not listed", {}, {"c1": {"loads": ("lamp",)}}),
    by_plan("feed_on_its_circuit", "no circuit", {}, {"router": {"circuit": None}}),
    by_plan("feed_on_its_circuit", "nothing fed", {}, {"feeds": (LAMP_FEED, AC_FEED)}),
    by_job("ac_feed", "no brick", WITH_OUTLET, {"ac": OUTLET}, plan=a_plan(**AC_PLAN)),
    by_job("ac_feed", "no outlet", WITH_OUTLET, {**WITH_OUTLET, "ac": None}, plan=a_plan(**AC_PLAN)),
    by_plan(
        "ac_feed",
        "with a stage",
        AC_PLAN,
        {**AC_PLAN, "feeds": (replace(AC_FEED, stages=("boost",)), LAMP_FEED)},
        job=a_job(**WITH_OUTLET),
    ),
    by_parts("chain_forms", "in", {}, {"boost": {"in_form": "usb-c"}}),
    by_parts("chain_forms", "out", {}, {"boost": {"out_form": "usb-c"}}),
    Twin(rule="chain_length", what="three and four", obeys=steps(3), breaks=steps(4)),
    by_plan("chain_needed", "same part twice", {}, {"router": {"stages": ("boost", "boost")}}),
    by_plan(
        "chain_needed",
        "changes nothing",
        {},
        {"router": {"stages": ("nothing", "boost")}},
        catalogue=a_catalogue(pass_through("nothing", "dc-wire", "dc-wire")),
    ),
)

WINDOWS = (
    via_plug("stage_window_low", "19 V behind the converter", {"in_min_v": 19}, {"in_min_v": 19.1}),
    via_plug("stage_window_high", "19 V behind the converter", {"in_max_v": 19}, {"in_max_v": 18.9}),
    by_parts("stage_window_high", "bus at 14 V", {"boost": {"in_max_v": 14}}, {"boost": {"in_max_v": 13.9}}),
    by_job(
        "load_window_high",
        "converter at 19 V",
        {"router": {"needs": replace(a_job().loads[0].needs, max_v=19)}},
        {"router": {"needs": replace(a_job().loads[0].needs, max_v=18.9)}},
    ),
    by_job(
        "load_window_high",
        "bus at 14 V",
        {"lamp": {"needs": replace(a_job().loads[1].needs, max_v=14)}},
        {"lamp": {"needs": replace(a_job().loads[1].needs, max_v=13.9)}},
    ),
    # 36 W at 18 V are 2 A; 19 V − 2 A × 0.5 Ω = 18 V
    by_job(
        "load_window_low",
        "behind the lead of a converter",
        {"router": {"lead": SuppliedLead(loop_ohm=0.5)}},
        {"router": {"lead": SuppliedLead(loop_ohm=0.501)}},
    ),
    # 21 W behind 0.1 Ω + 0.08 Ω from 11.7 V: (11.7 + √(11.7² − 4 × 0.18 × 21)) / 2 = 11.367 V
    by_job(
        "load_window_low",
        "settled, directly fed",
        {"lamp": {"needs": replace(a_job().loads[1].needs, min_v=11.36)}},
        {"lamp": {"needs": replace(a_job().loads[1].needs, min_v=11.37)}},
    ),
    # 10 % of 19 V is 1.9 V; 36 W at 17.1 V are 2.105 A, so 0.9025 Ω
    by_job(
        "lead_drop",
        "constant power",
        {"router": {"lead": SuppliedLead(loop_ohm=0.9025)}},
        {"router": {"lead": SuppliedLead(loop_ohm=0.9035)}},
    ),
    # 18² / 36 = 9 Ω; 19 V × 1 / (9 + 1) = 1.9 V
    by_job(
        "lead_drop",
        "resistive",
        {"router": {"behaviour": "resistive", "rated_v": 18, "lead": SuppliedLead(loop_ohm=1)}},
        {"router": {"behaviour": "resistive", "rated_v": 18, "lead": SuppliedLead(loop_ohm=1.01)}},
    ),
)

RATINGS = (
    # 36 W × 1.2
    by_parts("stage_rating", "no lead", {"boost": {"max_out_w": 43.2}}, {"boost": {"max_out_w": 43.1}}),
    # 19 V × 2 A × 1.2: the lead's loss counts
    by_parts(
        "stage_rating",
        "lead loss",
        {"boost": {"max_out_w": 45.6}},
        {"boost": {"max_out_w": 45.5}},
        job=a_job(router={"lead": SuppliedLead(loop_ohm=0.5)}),
    ),
    # 19² / (9 Ω + 1 Ω) × 1.2
    by_parts(
        "stage_rating",
        "resistive",
        {"boost": {"max_out_w": 43.32}},
        {"boost": {"max_out_w": 43.3}},
        job=a_job(router={"behaviour": "resistive", "rated_v": 18, "lead": SuppliedLead(loop_ohm=1)}),
    ),
    # a plug lead before the boost passes (2 W + 36 W / 0.9) × 1.2
    Twin(
        rule="stage_rating",
        what="stage before the converter",
        obeys=System(
            catalogue=a_catalogue(pass_through("tail", "dc-wire", "tail", max_out_w=50.4), boost={"in_form": "tail"}),
            plan=a_plan(router={"stages": ("tail", "boost")}),
        ),
        breaks=System(
            catalogue=a_catalogue(pass_through("tail", "dc-wire", "tail", max_out_w=50.3), boost={"in_form": "tail"}),
            plan=a_plan(router={"stages": ("tail", "boost")}),
        ),
    ),
    # 57 W / 19 V
    via_plug("stage_input_current", "converter before it", {"max_in_a": 3}, {"max_in_a": 2.9}, max_out_w=57),
    Twin(
        rule="stage_input_current",
        what="reached by the bus: the 5 A fuse",
        obeys=System(
            catalogue=a_catalogue(pass_through("tail", "dc-wire", "tail", max_in_a=5), boost={"in_form": "tail"}),
            plan=a_plan(router={"stages": ("tail", "boost")}),
        ),
        breaks=System(
            catalogue=a_catalogue(pass_through("tail", "dc-wire", "tail", max_in_a=4.9), boost={"in_form": "tail"}),
            plan=a_plan(router={"stages": ("tail", "boost")}),
        ),
    ),
)

BOOST = a_catalogue().get(Stage, "boost")
OUT_HOLDER = Holder(id="holder", style="mini", max_a=10, max_v=32)
FUSED = {"job": a_job(router={"peak_w": 38}), "plan": a_plan(router={"output_fuse": OUTPUT})}


def out_fuse(**fields: object) -> Fuse:
    return Fuse(**({"id": "fuse2.5", "style": "mini", "rating_a": 2.5, "max_v": 32, "interrupt_a": 10} | fields))


def unlimited(rule: str, what: str, obeys: dict[str, object], breaks: dict[str, object]) -> Twin:
    """Twins that differ in the output fuse."""
    return Twin(
        rule=rule,
        what=what,
        obeys=System(catalogue=a_catalogue(OUT_HOLDER, out_fuse(**obeys), boost={"limits_output": False}), **FUSED),
        breaks=System(catalogue=a_catalogue(OUT_HOLDER, out_fuse(**breaks), boost={"limits_output": False}), **FUSED),
    )


OUTPUT_FUSES = (
    by_plan(
        "output_fuse",
        "missing",
        {"router": {"output_fuse": OUTPUT}},
        {},
        catalogue=a_catalogue(OUT_HOLDER, out_fuse(), boost={"limits_output": False}),
    ),
    Twin(
        rule="output_fuse",
        what="behind the last converter only",
        obeys=System(
            catalogue=a_catalogue(OUT_HOLDER, out_fuse(), boost={"limits_output": False}),
            plan=a_plan(router={"output_fuse": OUTPUT}),
        ),
        breaks=System(
            catalogue=a_catalogue(
                OUT_HOLDER,
                out_fuse(),
                replace(BOOST, id="first", out_form="dc-wire", limits_output=False),
            ),
            plan=a_plan(router={"stages": ("first", "boost"), "output_fuse": OUTPUT}),
        ),
    ),
    unlimited("output_fuse_load", "1.25 × 2 A", {"rating_a": 2.5}, {"rating_a": 2.4}),
    unlimited("output_fuse_style", "holder takes mini", {"style": "mini"}, {"style": "blade"}),
    unlimited("output_fuse_voltage", "fuse at 19 V", {"max_v": 19}, {"max_v": 18.9}),
    unlimited("output_fuse_holder", "holder of 10 A", {"rating_a": 10}, {"rating_a": 10.1}),
    Twin(
        rule="output_fuse_next_stage",
        what="plug after it",
        obeys=System(
            catalogue=a_catalogue(OUT_HOLDER, out_fuse(), plug(max_in_a=2.5), boost={**SOCKET, "limits_output": False}),
            plan=a_plan(router={"stages": ("boost", "plug"), "output_fuse": OUTPUT}),
        ),
        breaks=System(
            catalogue=a_catalogue(OUT_HOLDER, out_fuse(), plug(max_in_a=2.4), boost={**SOCKET, "limits_output": False}),
            plan=a_plan(router={"stages": ("boost", "plug"), "output_fuse": OUTPUT}),
        ),
    ),
)

CUT_LEAD = {"job": a_job(**CUT_ROUTER), "plan": a_plan(**CUT_ROUTER_PLAN)}
LEADS = (
    by_plan("lead_as_stated", "missing", {}, {"lamp": {"lead": None}}),
    by_plan("lead_as_stated", "came with the load", {}, CUT_ROUTER_PLAN),
    by_parts("lead_protection", "circuit's fuse", {"twin1": {"ampacity_a": 5}}, {"twin1": {"ampacity_a": 4.9}}),
    # √((90 − 75) / (90 − 30)) = 0.5
    by_parts(
        "lead_protection",
        "derated for its place",
        {"twin1": {"ampacity_a": 10}},
        {"twin1": {"ampacity_a": 9.9}},
        job=a_job(mast={"ambient_c": 75}),
    ),
    by_parts(
        "lead_protection",
        "converter at 57 W / 19 V",
        {"boost": {"max_out_w": 57}, "twin4": {"ampacity_a": 3}},
        {"boost": {"max_out_w": 57}, "twin4": {"ampacity_a": 2.9}},
        **CUT_LEAD,
    ),
    by_parts(
        "lead_protection",
        "output fuse of 2.5 A",
        {"boost": {"limits_output": False}, "twin4": {"ampacity_a": 2.5}},
        {"boost": {"limits_output": False}, "twin4": {"ampacity_a": 2.4}},
        OUT_HOLDER,
        out_fuse(),
        job=a_job(**CUT_ROUTER),
        plan=a_plan(router={**CUT_ROUTER_PLAN["router"], "output_fuse": OUTPUT}),
    ),
    by_parts("lead_max_fuse", "5 A fuse", {"twin1": {"max_fuse_a": 5}}, {"twin1": {"max_fuse_a": 4}}),
    by_plan(
        "lead_pair",
        "sizes differ",
        {"lamp": {"lead": FeedLead(cable=("red4", "black4"), cut_mm=2000)}},
        {"lamp": {"lead": FeedLead(cable=("red4", "black1"), cut_mm=2000)}},
    ),
    by_job("lead_min_conductor", "1 mm²", {"limits": {"min_mm2": 1}}, {"limits": {"min_mm2": 1.5}}),
    by_parts(
        "lead_max_conductor",
        "last stage",
        {"boost": {"max_conductor_mm2": 4}},
        {"boost": {"max_conductor_mm2": 2.5}},
        **CUT_LEAD,
    ),
)

TWINS = (*CHAINS, *WINDOWS, *RATINGS, *OUTPUT_FUSES, *LEADS)
