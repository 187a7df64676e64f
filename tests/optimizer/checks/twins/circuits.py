"""Twins of planning rules 3 (and 10): circuits."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import Battery, Fuse, Holder, Junction
from optimizer.job import SuppliedLead
from tests.builders import C1, a_catalogue, a_job, a_plan

from .twin import CAMERA, SHARED_PLAN, System, Twin, bought, by_job, by_parts, by_plan

SHARED = {"plan": a_plan(**SHARED_PLAN)}

SHARING = (
    by_plan("one_place", "lamp's circuit", {}, {"c2": {"place": "desk"}}),
    by_job(
        "own_circuit",
        "camera with the router",
        {"more_loads": (CAMERA,)},
        {"more_loads": (replace(CAMERA, own_circuit=True),)},
        **SHARED,
    ),
    by_job(
        "switched_apart",
        "camera with the router",
        {"more_loads": (CAMERA,)},
        {"more_loads": (replace(CAMERA, switch=True),)},
        **SHARED,
    ),
)

VOLTAGES = (
    by_parts("floor", "stage from 11.7 V", {"boost": {"in_min_v": 11.7}}, {"boost": {"in_min_v": 11.8}}),
    by_plan("floor_recorded", "10.5 V", {"c1": {"floor_v": 10.5009}}, {"c1": {"floor_v": 10.502}}),
    by_plan("design_recorded", "4 A", {"c1": {"design_a": 4.0009}}, {"c1": {"design_a": 4.002}}),
    # 2 × 30 m × 5 Ω/km × 4 A = 1.2 V = 11.7 V − 10.5 V
    by_job("drop", "length", {"desk": {"run_m": 29.5}}, {"desk": {"run_m": 29.51}}),
    by_parts("drop", "resistance", {"twin4": {"ohm_per_km_20c": 7.5}}, {"twin4": {"ohm_per_km_20c": 7.51}}),
    by_job("drop", "joints", {"limits": {"joint_mohm": 100}}, {"limits": {"joint_mohm": 101}}),
    # 0.2 Ω × 1.5 = 0.3 Ω at 20 °C + 0.5 / 0.00393
    by_job(
        "drop",
        "warm copper",
        {"limits": {"conductor_c": 20 + 0.5 / 0.00393}},
        {"limits": {"conductor_c": 147.5}},
    ),
    # with x % the floor is 11.7 − 0.12 x; 0.2 Ω × 42 W / floor = 0.12 x at x = 6.4
    by_job("drop", "the load's own limit", {"router": {"drop_pct": 6.41}}, {"router": {"drop_pct": 6.39}}),
    by_job("settled_voltage", "length", {"desk": {"run_m": 29.5}}, {"desk": {"run_m": 29.51}}),
    # 42 W over R from 11.7 V: no operating point above 11.7² / (4 × 42) = 0.8148 Ω
    by_job("settled_voltage", "no operating point", {}, {"desk": {"run_m": 81}}),
    *(
        by_plan(
            rule,
            "stated",
            {"c1": {"settled": replace(C1.settled, **{field: value + 0.0009})}},
            {"c1": {"settled": replace(C1.settled, **{field: value + 0.002})}},
        )
        for rule, field, value in (
            ("settled_voltage_recorded", "place_v", 10.9316),
            ("settled_current_recorded", "current_a", 3.8421),
            ("settled_drop_recorded", "drop_v", 0.7684),
        )
    ),
)

FUSE_3 = Fuse(id="fuse3", style="blade", rating_a=3, max_v=32, interrupt_a=1000)
DIRECT_DIM = {"lead": SuppliedLead(loop_ohm=0.08)}
AGM = Battery(
    id="agm",
    nominal_v=12,
    capacity_ah=50,
    usable_fraction=0.5,
    rated_hours=20,
    peukert=1,
    max_discharge_a=50,
    low_v=11.7,
    high_v=14,
    fault_a=500,
)
TWO_STRINGS = a_plan(bank={"keep": False, "part": "agm", "parallel": 2})
DESK_TWICE = a_plan(more_circuits=(replace(C1, id="C3"),))

FUSES = (
    by_parts("fuse_load", "1.25 × 4 A", {"fuse5": {"rating_a": 5}}, {"fuse5": {"rating_a": 4.99}}),
    by_parts("fuse_cable", "5 A fuse", {"twin4": {"ampacity_a": 5}}, {"twin4": {"ampacity_a": 4.99}}),
    # 10 A × 0.50 for 20 conductors, × 0.45 for 21
    by_job(
        "fuse_cable",
        "bundled",
        {"desk": {"bundled": 20}},
        {"desk": {"bundled": 21}},
        catalogue=a_catalogue(twin4={"ampacity_a": 10}),
    ),
    # √((90 − 75) / (90 − 30)) = 0.5
    by_parts(
        "fuse_cable",
        "hot place",
        {"twin4": {"ampacity_a": 10}},
        {"twin4": {"ampacity_a": 9.9}},
        job=a_job(desk={"ambient_c": 75}),
    ),
    by_job("fuse_cable", "as hot as the insulation stands", {}, {"bus": {"ambient_c": 90}}),
    # two circuits to the desk are four conductors: 0.80 × 6 A = 4.8 A
    by_job(
        "fuse_cable",
        "circuits of the plan counted",
        {"limits": {"count_circuits": False}},
        {"limits": {"count_circuits": True}},
        catalogue=a_catalogue(twin4={"ampacity_a": 6}),
        plan=DESK_TWICE,
    ),
    by_job("fuse_way", "5 A fuse", {"bus": {"way_max_a": 5}}, {"bus": {"way_max_a": 4.9}}),
    by_parts("fuse_stage", "5 A fuse", {"boost": {"max_fuse_a": 5}}, {"boost": {"max_fuse_a": 4.9}}),
    by_job("fuse_direct_load", "stated", {"lamp": {"max_fuse_a": 5}}, {"lamp": {"max_fuse_a": 4.9}}),
    by_parts(
        "fuse_direct_load",
        "taken to be 5 A",
        {"fuse5": {"rating_a": 5}},
        {"fuse5": {"rating_a": 5.1}},
        job=a_job(lamp=DIRECT_DIM, limits={"fuse_ratio_max": 2}),
        plan=a_plan(lamp={"lead": None}),
    ),
    by_parts("fuse_style", "panel takes blade", {}, {"fuse5": {"style": "bolt"}}),
    by_parts("fuse_voltage", "bus at 14 V", {"fuse5": {"max_v": 14}}, {"fuse5": {"max_v": 13.9}}),
    by_parts("fuse_interrupt", "panel 800 A", {"fuse5": {"interrupt_a": 800}}, {"fuse5": {"interrupt_a": 799}}),
    by_parts(
        "fuse_interrupt",
        "bank of 2 × 500 A",
        {"fuse5": {"interrupt_a": 1000}},
        {"fuse5": {"interrupt_a": 999}},
        AGM,
        plan=TWO_STRINGS,
    ),
    # the lamp draws 2 A: 5 A is the smallest on offer from 2.5 A, until 3 A is
    Twin(
        rule="fuse_ratio",
        what="smallest on offer",
        obeys=System(job=a_job(limits={"fuse_ratio_max": 2})),
        breaks=System(
            job=a_job(limits={"fuse_ratio_max": 2}), catalogue=a_catalogue(FUSE_3, offers=(bought("fuse3"),))
        ),
    ),
    by_job(
        "fuse_ratio",
        "2.5 × 2 A",
        {"limits": {"fuse_ratio_max": 2.5}},
        {"limits": {"fuse_ratio_max": 2.4}},
        catalogue=a_catalogue(FUSE_3, offers=(bought("fuse3"),)),
    ),
    by_parts("cable_max_fuse", "5 A fuse", {"twin4": {"max_fuse_a": 5}}, {"twin4": {"max_fuse_a": 4}}),
    # 12 V / (12 V / 800 A + 0.2 Ω) = 55.81 A = 11.16 × 5 A
    by_job(
        "far_fault",
        "multiple",
        {"limits": {"far_fault_multiple": 11.16}},
        {"limits": {"far_fault_multiple": 11.17}},
    ),
    by_job(
        "far_fault",
        "joints",
        {"limits": {"far_fault_multiple": 11.16}},
        {"limits": {"far_fault_multiple": 11.16, "joint_mohm": 1}},
    ),
)

IN_LINE = Holder(id="holder", style="blade", max_a=30, max_v=14)
HELD = {"plan": a_plan(c1={"holder": "holder"})}
SPLIT = Junction(id="split", max_a=5, max_v=14, outlets=2, mm2_max=4)


def junction(rule: str, what: str, **breaks: float) -> Twin:
    """Twins that differ in the junction, which just serves."""
    same = {
        "job": a_job(limits={"count_joints": True}, more_loads=(CAMERA,)),
        "plan": a_plan(**{**SHARED_PLAN, "c1": {**SHARED_PLAN["c1"], "junction": "split"}}),
    }
    return Twin(
        rule=rule,
        what=what,
        obeys=System(catalogue=a_catalogue(SPLIT), **same),
        breaks=System(catalogue=a_catalogue(replace(SPLIT, **breaks)), **same),
    )


def holder(rule: str, what: str, **breaks: object) -> Twin:
    """Twins that differ in the in-line holder, which just serves."""
    return Twin(
        rule=rule,
        what=what,
        obeys=System(catalogue=a_catalogue(IN_LINE), **HELD),
        breaks=System(catalogue=a_catalogue(replace(IN_LINE, **breaks)), **HELD),
    )


PARTS = (
    by_plan("conductor_pair", "two positives", {"c1": {"cable": ("red4", "black4")}}, {"c1": {"cable": ("red4",) * 2}}),
    by_plan("conductor_pair", "one single", {"c1": {"cable": ("red4", "black4")}}, {"c1": {"cable": ("red4",)}}),
    by_plan(
        "conductor_pair",
        "sizes differ",
        {"c1": {"cable": ("black4", "red4")}},
        {"c1": {"cable": ("red4", "black1")}},
    ),
    by_job("conductor_min", "4 mm²", {"limits": {"min_mm2": 4}}, {"limits": {"min_mm2": 6}}),
    by_parts(
        "conductor_max", "first stage", {"boost": {"max_conductor_mm2": 4}}, {"boost": {"max_conductor_mm2": 2.5}}
    ),
    by_plan("switch", "missing", {}, {"c2": {"switch": None}}),
    by_plan("switch", "not asked for", {}, {"c1": {"switch": "switch"}}),
    by_parts("switch_current", "5 A fuse", {"switch": {"max_a": 5}}, {"switch": {"max_a": 4.9}}),
    by_parts("switch_voltage", "bus at 14 V", {"switch": {"max_v": 14}}, {"switch": {"max_v": 13.9}}),
    by_job("ways", "two circuits", {"bus": {"spare_ways": 2}}, {"bus": {"spare_ways": 1}}),
    by_plan(
        "ways",
        "one in-line holder",
        {"c1": {"holder": "holder"}},
        {},
        job=a_job(bus={"spare_ways": 1}),
        catalogue=a_catalogue(IN_LINE),
    ),
    holder("holder_style", "panel takes blade", style="bolt"),
    holder("holder_current", "largest fuse 30 A", max_a=29.9),
    holder("holder_voltage", "bus at 14 V", max_v=13.9),
    by_plan(
        "junction",
        "two feeds",
        {**SHARED_PLAN, "c1": {**SHARED_PLAN["c1"], "junction": "split"}},
        SHARED_PLAN,
        job=a_job(limits={"count_joints": True}, more_loads=(CAMERA,)),
        catalogue=a_catalogue(SPLIT),
    ),
    junction("junction_outlets", "two feeds", outlets=1),
    junction("junction_current", "5 A fuse", max_a=4.9),
    junction("junction_voltage", "bus at 14 V", max_v=13.9),
    junction("junction_conductor", "4 mm²", mm2_max=2.5),
)

TWINS = (*SHARING, *VOLTAGES, *FUSES, *PARTS)
