"""Twins of additions 2: stages at the panel and the run behind them.

The router's 19 V converter takes 2 W + 36 W / 0.9 = 42 W at the desk. It hangs on 24 V from the panel, over 20 m of
0.5 mm² (2 × 20 m × 37.5 Ω/km = 1.5 Ω): (24 + √(24² − 4 × 1.5 × 42)) / 2 = 21 V and 2 A, so 3 V or 12.5 % are lost and
48 W go in. The converter at the panel takes 1 W + 48 W / 0.96 = 51 W, 5 A at the floor of 11.7 V − 12.5 % × 12 V =
10.2 V: a fuse of 7.5 A. Its circuit is 0.5 m + 0.5 m of 4 mm², 0.01 Ω.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from optimizer.catalogue import Cable, Catalogue, Fuse, Holder, Stage
from optimizer.job import Job, Needs, Owned, SuppliedLead
from optimizer.plan import Cut, FeedLead, OutputFuse, Piece, Plan
from tests.builders import CUTS, a_catalogue, a_job, a_plan

from .twin import CAMERA, SHARED_PLAN, System, Twin, pass_through

Fields = dict[str, Any]

UP24 = Stage(
    id="up24",
    in_form="dc-wire",
    in_min_v=9,
    in_max_v=32,
    out_form="dc-wire",
    out_v=24,
    max_out_w=57.6,
    efficiency=0.96,
    idle_w=1,
)
THIN = Cable(id="twin0.5", mm2=0.5, cores=2, ohm_per_km_20c=37.5, ampacity_a=5, insulation_c=90)
FUSE7 = Fuse(id="fuse7.5", style="blade", rating_a=7.5, max_v=32, interrupt_a=1000)
RUN = FeedLead(cable=("twin0.5",), cut_mm=20000)


def job(**changes: Fields) -> Job:
    limits = {"boost_at_panel": True} | changes.pop("limits", {})
    return a_job(limits=limits, router={"drop_pct": 12.5} | changes.pop("router", {}), **changes)


def catalogue(up24: Fields | None = None, thin: Fields | None = None, *more: Any, **parts: Fields) -> Catalogue:
    return a_catalogue(replace(UP24, **up24 or {}), replace(THIN, **thin or {}), FUSE7, *more, **parts)


def plan(c1: Fields | None = None, **router: Any) -> Plan:
    fed = {"stages": ("up24", "boost"), "panel_stages": 1, "run": RUN} | router
    return a_plan(c1={"run_m": 0.5, "cut_mm": 1000, "fuse": "fuse7.5"} | (c1 or {}), router=fed)


def boosted(**parts: Any) -> System:
    return System(**({"job": job(), "catalogue": catalogue(), "plan": plan()} | parts))


# nothing converts at the desk: the router takes 24 V itself, over 1.5 Ω of run and 0.25 Ω of lead: 36 W at 21 V
ON_24 = {"needs": Needs(form="dc-wire", min_v=20, max_v=25), "lead": SuppliedLead(loop_ohm=0.25)}
AT_PANEL: Fields = {"stages": ("up24",)}


def on_24(up24: Fields | None = None, thin: Fields | None = None, *more: Any, **router: Any) -> System:
    return boosted(
        job=job(router=ON_24 | router.pop("load", {})),
        catalogue=catalogue(up24, thin, *more),
        plan=plan(**(AT_PANEL | router)),
    )


GLASS = Fuse(id="glass3", style="glass", rating_a=3, max_v=32, interrupt_a=50)
GLASS_HOLDER = Holder(id="glass-holder", style="glass", max_a=5, max_v=32)
FUSED: Fields = {"output_fuse": OutputFuse(fuse="glass3", holder="glass-holder")}


def fused(**thin: Any) -> System:
    """1.25 × 36 W / 21 V = 2.14 A: a fuse of 3 A behind a converter that does not limit its output."""
    return on_24({"limits_output": False}, thin, GLASS, GLASS_HOLDER, **FUSED)


def twin(rule: str, what: str, obeys: System, breaks: System) -> Twin:
    return Twin(rule=rule, what=f"boosted, {what}", obeys=obeys, breaks=breaks)


def by_parts(rule: str, what: str, obeys: Fields, breaks: Fields) -> Twin:
    return twin(rule, what, boosted(catalogue=catalogue(**obeys)), boosted(catalogue=catalogue(**breaks)))


def by_job(rule: str, what: str, obeys: Fields, breaks: Fields, **same: Any) -> Twin:
    return twin(rule, what, boosted(job=job(**obeys), **same), boosted(job=job(**breaks), **same))


def by_plan(rule: str, what: str, **breaks: Any) -> Twin:
    return twin(rule, what, boosted(), boosted(plan=plan(**breaks)))


POSITION = (
    by_job("boost_allowed", "asked", {}, {"limits": {"boost_at_panel": False}}),
    by_plan("boost_position", "no run", run=None),
    by_plan("boost_position", "nothing at the panel", panel_stages=0),
    by_plan("boost_position", "more than there is", panel_stages=3),
    by_plan("boost_position", "a plug at the panel", panel_stages=2),
    twin(
        "boost_position",
        "more than the bus",
        boosted(job=job(bus={"nominal_v": 23.9, "high_v": 24})),
        boosted(job=job(bus={"nominal_v": 24, "high_v": 24})),
    ),
    twin(
        "boost_position",
        "two converters behind the run",
        boosted(),
        boosted(
            catalogue=catalogue(None, None, replace(UP24, id="down12", out_v=12)),
            plan=plan(stages=("up24", "down12", "boost")),
        ),
    ),
    twin(
        "boost_position",
        "bare wire behind it",
        boosted(),
        boosted(catalogue=catalogue({"out_form": "socket"}, boost={"in_form": "socket"})),
    ),
    twin(
        "boost_position",
        "nothing fixed at the panel",
        boosted(),
        boosted(
            catalogue=catalogue(
                None, None, pass_through("there", "dc-wire", "there"), pass_through("back", "there", "dc-wire")
            ),
            plan=plan(stages=("there", "back", "boost"), panel_stages=2),
        ),
    ),
    twin(
        "boost_own_circuit",
        "a camera beside it",
        boosted(),
        boosted(
            job=job(more_loads=(CAMERA,)),
            plan=replace(plan(c1={"loads": ("router", "camera")}), feeds=(*plan().feeds, *SHARED_PLAN["more_feeds"])),
        ),
    ),
    by_plan("run_length_recorded", "not recorded", c1={"run_m": None}),
    Twin(
        rule="run_length_recorded", what="not boosted", obeys=boosted(), breaks=System(plan=a_plan(c1={"run_m": 0.5}))
    ),
)

RUNS = (
    by_parts("run_floor", "24 V at most", {"boost": {"in_min_v": 24}}, {"boost": {"in_min_v": 24.1}}),
    by_job("run_drop", "3 V of 24 V", {}, {"router": {"drop_pct": 12.4}}),
    twin("lead_drop", "run and lead as one", on_24(), on_24(load={"drop_pct": 12.4})),
    twin(
        "load_window_low",
        "21 V behind run and lead",
        on_24(load={"needs": Needs(form="dc-wire", min_v=21, max_v=25)}),
        on_24(load={"needs": Needs(form="dc-wire", min_v=21.1, max_v=25)}),
    ),
    by_parts("stage_window_low", "21 V at the desk", {"boost": {"in_min_v": 21}}, {"boost": {"in_min_v": 21.1}}),
    by_parts("stage_window_high", "24 V unloaded", {"boost": {"in_max_v": 24}}, {"boost": {"in_max_v": 23.9}}),
    by_parts("stage_rating", "48 W × 1.2 into the run", {}, {"up24": {"max_out_w": 57.5}}),
    by_plan("run_pair", "sizes differ", run=FeedLead(cable=("red4", "black1"), cut_mm=20000)),
    by_job("run_min_conductor", "0.5 mm²", {"limits": {"min_mm2": 0.5}}, {"limits": {"min_mm2": 0.6}}),
    by_parts(
        "run_max_conductor", "before it", {"up24": {"max_conductor_mm2": 0.5}}, {"up24": {"max_conductor_mm2": 0.4}}
    ),
    by_parts(
        "run_max_conductor", "behind it", {"boost": {"max_conductor_mm2": 0.5}}, {"boost": {"max_conductor_mm2": 0.4}}
    ),
    by_parts("run_protection", "57.6 W / 24 V", {"thin": {"ampacity_a": 2.4}}, {"thin": {"ampacity_a": 2.3}}),
    # √((90 − 75) / (90 − 30)) = 0.5
    twin(
        "run_protection",
        "derated for the desk",
        boosted(job=job(desk={"ambient_c": 75}), catalogue=catalogue(None, {"ampacity_a": 4.8})),
        boosted(job=job(desk={"ambient_c": 75}), catalogue=catalogue(None, {"ampacity_a": 4.7})),
    ),
    twin("run_protection", "output fuse of 3 A", fused(ampacity_a=3), fused(ampacity_a=2.9)),
    twin("run_max_fuse", "output fuse of 3 A", fused(max_fuse_a=3), fused(max_fuse_a=2)),
)

NEAR = {"run_m": 1}
CIRCUIT = (
    # the circuit lies at the panel: 15 A × 0.5 at 75 °C; how warm the desk is does not matter to it
    twin(
        "fuse_cable",
        "at the panel's ambient",
        boosted(job=job(desk={"ambient_c": 80}, bus={"ambient_c": 75}), catalogue=catalogue(twin4={"ampacity_a": 15})),
        boosted(
            job=job(desk={"ambient_c": 30}, bus={"ambient_c": 75}), catalogue=catalogue(twin4={"ampacity_a": 14.9})
        ),
    ),
    # 12 V / (12 V / 800 A + 0.01 Ω) = 480 A
    by_job(
        "far_fault",
        "1 m",
        {"limits": {"far_fault_multiple": 64}, "mast": NEAR},
        {"limits": {"far_fault_multiple": 64.1}, "mast": NEAR},
    ),
    # 5 A × 0.3 Ω = 11.7 V − 10.2 V: 29.5 m + 0.5 m
    by_job("drop", "its own length", {"limits": {"panel_run_m": 29.5}}, {"limits": {"panel_run_m": 29.6}}),
    # 11.7 V − 10.2 V is what the panel stage may lose; only that stage sees the bus
    by_parts("floor", "of the stage at the panel", {"up24": {"in_min_v": 11.7}}, {"up24": {"in_min_v": 11.8}}),
)

ASKED_CUTS = (
    replace(CUTS[0], pieces=(Piece(mm=1000, circuit="C1"), Piece(mm=10000, circuit="C2")), left_mm=19000),
    CUTS[1],
)
RUN_CUT = Cut(
    part="twin0.5",
    offer=None,
    unit=None,
    owned=0,
    stock_mm=25000,
    pieces=(Piece(mm=20000, run="router"),),
    left_mm=5000,
)
OWNED = (Owned(part="twin0.5", length_m=25),)


def with_cuts(*cuts: Cut) -> System:
    return boosted(job=job(owned=OWNED), plan=replace(plan(), cuts=cuts))


def with_crimps(count: int) -> System:
    """Twelve ends as ever, and four of the run: one pack of 12 and what is owned."""
    owned = (Owned(part="crimp", count=count),)
    return boosted(job=job(owned=owned), catalogue=catalogue(crimp={"mm2_min": 0.5}))


BOUGHT = (
    by_plan("cut_length", "of the run", run=replace(RUN, cut_mm=19999)),
    by_plan("cut_length", "of its circuit", c1={"cut_mm": 20000}),
    twin("cut_made_once", "the run", with_cuts(*ASKED_CUTS, RUN_CUT), with_cuts(*ASKED_CUTS)),
    twin(
        "cut_asked_for",
        "of the run",
        with_cuts(*ASKED_CUTS, RUN_CUT),
        with_cuts(*ASKED_CUTS, replace(RUN_CUT, pieces=(Piece(mm=20000, lead="router"),))),
    ),
    # thin ends come first; those left over serve the rest
    twin("terminals", "four of the run", with_crimps(4), with_crimps(3)),
    twin(
        "consumables",
        "the run is a cut lead",
        boosted(catalogue=catalogue(label={"per": "cut_lead", "each": 2})),
        boosted(catalogue=catalogue(label={"per": "cut_lead", "each": 2.1})),
    ),
    twin("references", "cable of the run", boosted(), boosted(plan=plan(run=replace(RUN, cable=("none",))))),
    twin("references", "a run of nothing", boosted(), boosted(plan=plan(run=replace(RUN, cable=())))),
)

TWINS = (*POSITION, *RUNS, *CIRCUIT, *BOUGHT)
