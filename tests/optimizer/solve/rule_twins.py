"""Twins of every rule of the model, on the small system of tests/builders.py: one it must allow, one it must refuse.

The numbers are worked out by hand from that system: the router draws 42 W / 10.5 V = 4 A over 0.2 Ω, the lamp 2 A.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from optimizer.catalogue import (
    Battery,
    Catalogue,
    Content,
    Fuse,
    Holder,
    Junction,
    Part,
)
from optimizer.job import Bank, CutLead, Job, Owned, SuppliedLead
from optimizer.solve import demands, joined_circuits, rules
from optimizer.solve.rules import Rule
from tests.builders import a_catalogue, a_job
from tests.optimizer.checks.twins.twin import BRICK, CAMERA, OUTLET, bought

Fields = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Small:
    job: Job = field(default_factory=a_job)
    catalogue: Catalogue = field(default_factory=a_catalogue)


@dataclass(frozen=True, kw_only=True)
class RuleTwin:
    """`allows`: a plan exists; `refuses`: none does, or a dearer one, and without the rule there were a better one."""

    rule: Rule
    what: str
    allows: Small
    refuses: Small


def sold(*parts: Part, price_cents: int = 100, count: int = 1, **fields: Any) -> Catalogue:
    """The small catalogue with more parts, each sold by the piece."""
    offers = tuple(replace(bought(part.id, count), price_cents=price_cents) for part in parts)
    return a_catalogue(*parts, offers=offers, **fields)


def _in_spools(length_m: float, **fields: Any) -> Catalogue:
    """The small catalogue with its 4 mm² in spools of another length, and delivered free."""
    plain = a_catalogue(seller={"delivery_cents": 0}, **fields)
    spool = (Content(part="twin4", length_m=length_m),)
    offers = tuple(replace(offer, contents=spool) if offer.id == "o-twin4" else offer for offer in plain.offers)
    return replace(plain, offers=offers)


def owning(*stock: Owned) -> Job:
    return a_job(owned=stock)


def _by_job(rule: Rule, what: str, allows: Fields, refuses: Fields, catalogue: Catalogue | None = None) -> RuleTwin:
    parts = catalogue or a_catalogue()
    return RuleTwin(
        rule=rule,
        what=what,
        allows=Small(job=a_job(**allows), catalogue=parts),
        refuses=Small(job=a_job(**refuses), catalogue=parts),
    )


def _by_parts(rule: Rule, what: str, allows: Catalogue, refuses: Catalogue, job: Job | None = None) -> RuleTwin:
    stated = job or a_job()
    return RuleTwin(
        rule=rule,
        what=what,
        allows=Small(job=stated, catalogue=allows),
        refuses=Small(job=stated, catalogue=refuses),
    )


FUSE_3 = Fuse(id="fuse3", style="blade", rating_a=3, max_v=32, interrupt_a=1000)
FUSE_10 = Fuse(id="fuse10", style="blade", rating_a=10, max_v=32, interrupt_a=1000)
HOLDER = Holder(id="holder", style="blade", max_a=30, max_v=32)
JUNCTION = Junction(id="junction", max_a=10, max_v=14, outlets=2, mm2_max=4)
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
    max_parallel=1,
)
WITH_OUTLET: Fields = {"ac": replace(OUTLET, max_w=46), "router": {"brick": BRICK}}  # 1 W + 36 W / 0.8
NO_CONVERTER = a_catalogue(boost={"out_v": 24})
BIG_BANK: Fields = {"existing": {"capacity_ah": 200}}
TWO_AT_DESK: Fields = {"more_loads": (CAMERA,)} | BIG_BANK
MORE_WAYS: Fields = {"bus": {"spare_ways": 3}} | BIG_BANK
APART_AT_DESK: Fields = {
    "limits": {"count_circuits": True},
    "more_loads": (replace(CAMERA, own_circuit=True),),
} | MORE_WAYS
# 72 W behind a stronger boost draw 82 W / 10.5 V = 7.81 A, × 1.25 = 9.76 A; half the run holds the drop
NEEDS_10_A: Fields = {"router": {"peak_w": 72, "typical_w": 18}, "desk": {"run_m": 9.5}}
STRONG: Fields = {"boost": {"max_out_w": 100}}

FEEDING = (
    RuleTwin(
        rule=rules.every_load_fed_once,
        what="a load that nothing feeds",
        allows=Small(job=a_job(**WITH_OUTLET, lamp={"brick": BRICK, "peak_w": 0.0001}), catalogue=NO_CONVERTER),
        refuses=Small(catalogue=NO_CONVERTER),
    ),
    # the camera's floor is the higher one, so that the router would hang on an unopened circuit for nothing
    _by_job(
        joined_circuits.joins_open_circuits_only,
        "a circuit whose first load is at the outlet",
        {"more_loads": (replace(CAMERA, drop_pct=8),)} | MORE_WAYS,
        {"more_loads": (replace(CAMERA, drop_pct=8, brick=BRICK),), "ac": OUTLET} | MORE_WAYS,
    ),
    _by_job(
        rules.outlet_power,
        "46 W at the outlet",
        WITH_OUTLET,
        WITH_OUTLET | {"ac": replace(OUTLET, max_w=45.9)},
        NO_CONVERTER,
    ),
)

CIRCUITS = (
    _by_job(
        rules.one_fuse_and_pair_each,
        "5 A and 3 A do not make 8 A",
        {},
        {"router": {"peak_w": 50, "typical_w": 18}},
        sold(FUSE_3),
    ),
    # 2 × 30 m × 5 Ω/km × 4 A = 1.2 V = 11.7 V − 10.5 V
    _by_job(joined_circuits.drop_at_floor, "length", {"desk": {"run_m": 29.5}}, {"desk": {"run_m": 29.6}}),
    _by_job(joined_circuits.drop_at_floor, "joints", {"limits": {"joint_mohm": 100}}, {"limits": {"joint_mohm": 101}}),
    # 1.25 × 4 A = 5 A
    _by_job(joined_circuits.fuse_carries_design_current, "at the floor", {}, {"router": {"peak_w": 36.1}}),
    # a resistance of 3.42 Ω and its lead of 0.08 Ω take 4 A at 14 V
    _by_job(
        joined_circuits.fuse_carries_design_current,
        "at the highest voltage",
        {"lamp": {"behaviour": "resistive", "rated_v": 12, "peak_w": 144 / 3.43}},
        {"lamp": {"behaviour": "resistive", "rated_v": 12, "peak_w": 144 / 3.41}},
    ),
    _by_parts(
        rules.fuse_within_conductor,
        "ampacity of 10 A for a fuse of 10 A",
        sold(FUSE_10, **STRONG, twin4={"ampacity_a": 10}),
        sold(FUSE_10, **STRONG, twin4={"ampacity_a": 9.9}),
        a_job(**NEEDS_10_A),
    ),
    # two circuits to the desk: four loaded conductors, 0.8 of the ampacity
    _by_parts(
        rules.bundling_counts_circuits,
        "0.8 × 6.25 A = 5 A",
        a_catalogue(twin4={"ampacity_a": 6.25}),
        a_catalogue(twin4={"ampacity_a": 6.24}),
        a_job(**APART_AT_DESK),
    ),
    # the boost can put out 60 W / 19 V = 3.158 A; 0.8 × 3.95 A = 3.16 A
    _by_parts(
        rules.cut_lead_is_protected,
        "a lead beside two circuits",
        _in_spools(20, twin1={"ampacity_a": 3.95}),
        _in_spools(20, twin1={"ampacity_a": 3.94}),
        a_job(
            router={"lead": CutLead(length_m=1.5), "peak_w": 35},
            lamp={"lead": SuppliedLead(loop_ohm=0.01)},
            mast={"run_m": 19.5},
            **APART_AT_DESK,
        ),
    ),
    _by_parts(
        joined_circuits.fuse_within_feed,
        "a stage that allows 5 A",
        a_catalogue(boost={"max_fuse_a": 5}),
        a_catalogue(boost={"max_fuse_a": 4.9}),
    ),
    _by_job(
        joined_circuits.fuse_within_feed,
        "a load that allows 5 A",
        {"lamp": {"max_fuse_a": 5}},
        {"lamp": {"max_fuse_a": 4.9}},
    ),
    # the lead of 1 mm² carries the fuse of 5 A, or one of 4 mm² is taken at more cost
    _by_parts(
        joined_circuits.fuse_within_feed,
        "a lead behind 5 A",
        a_catalogue(twin1={"ampacity_a": 5}),
        a_catalogue(twin1={"ampacity_a": 4.9}),
    ),
    _by_parts(
        joined_circuits.fuse_within_feed,
        "the usual ceiling of a lead",
        a_catalogue(twin1={"max_fuse_a": 5}),
        a_catalogue(twin1={"max_fuse_a": 4.9}),
    ),
    _by_parts(
        joined_circuits.conductor_fits_first_stage,
        "terminals of the boost",
        a_catalogue(boost={"max_conductor_mm2": 4}),
        a_catalogue(boost={"max_conductor_mm2": 3.9}),
    ),
    # 2 A at the lamp: 3 A would carry it, so 5 A is more than the smallest on offer and more than 2 × 2 A
    _by_parts(
        joined_circuits.fuse_not_oversized,
        "5 A for 2 A where 3 A is on offer",
        a_catalogue(),
        sold(FUSE_3, price_cents=300),
        a_job(limits={"fuse_ratio_max": 2}),
    ),
)

PANEL = (
    _by_job(rules.ways_and_holders, "two circuits, two ways", {}, {"bus": {"spare_ways": 1}}),
    _by_job(rules.ways_and_holders, "a holder costs", {}, {"bus": {"spare_ways": 1}}, sold(HOLDER)),
    RuleTwin(
        rule=rules.fuse_parts,
        what="two fuses",
        allows=Small(job=owning(Owned(part="fuse5", count=2))),
        refuses=Small(job=owning(Owned(part="fuse5", count=1))),
    ),
    _by_parts(
        rules.switch_parts,
        "5 A",
        a_catalogue(switch={"max_a": 5}),
        a_catalogue(switch={"max_a": 4.9}),
        owning(Owned(part="switch", count=1)),
    ),
    _by_parts(
        rules.switch_parts,
        "14 V",
        a_catalogue(switch={"max_v": 14}),
        a_catalogue(switch={"max_v": 13.9}),
        owning(Owned(part="switch", count=1)),
    ),
)

BANK = (
    # the bank at hand holds 12 W for 24 h and so does the one on offer; 14.7 W are drawn
    _by_job(
        rules.one_bank,
        "two banks are not one",
        {"bank": Bank(existing=a_job().bank.existing, may_buy=True)},
        {"bank": Bank(existing=a_job(existing={"capacity_ah": 60}).bank.existing, may_buy=True)},
        sold(AGM),
    ),
    # 14.7 W × 24 h / 12 V / 0.5 / 0.8 = 73.5 Ah
    _by_job(rules.autonomy, "capacity", {"existing": {"capacity_ah": 73.5}}, {"existing": {"capacity_ah": 73.4}}),
    # 42 W / 11.7 V + 21 W / 11.555 V = 3.5897 A + 1.8173 A
    _by_job(
        rules.bank_peak, "5.41 A", {"existing": {"max_discharge_a": 5.41}}, {"existing": {"max_discharge_a": 5.40}}
    ),
)

STOCK = (
    RuleTwin(
        rule=demands.feed_parts,
        what="the converter",
        allows=Small(job=owning(Owned(part="boost", count=1))),
        refuses=Small(),
    ),
    RuleTwin(
        rule=demands.bank_parts,
        what="the battery",
        allows=Small(
            job=a_job(bank=Bank(may_buy=True), owned=(Owned(part="agm", count=1),), limits={"autonomy_h": 8}),
            catalogue=sold(AGM),
        ),
        refuses=Small(job=a_job(bank=Bank(may_buy=True), limits={"autonomy_h": 8}), catalogue=sold(AGM)),
    ),
    RuleTwin(
        rule=demands.junction_parts,
        what="two feeds on one circuit",
        allows=Small(
            job=a_job(limits={"count_joints": True}, owned=(Owned(part="junction", count=1),), **TWO_AT_DESK),
            catalogue=sold(JUNCTION, FUSE_10),
        ),
        refuses=Small(job=a_job(limits={"count_joints": True}, **TWO_AT_DESK), catalogue=sold(JUNCTION, FUSE_10)),
    ),
    *(
        _by_parts(
            demands.junction_parts,
            f"junction {what}",
            sold(JUNCTION, FUSE_10),
            sold(replace(JUNCTION, **weaker), FUSE_10),
            a_job(limits={"count_joints": True}, **TWO_AT_DESK),
        )
        for what, weaker in (
            ("outlets", {"outlets": 1}),
            ("behind 10 A", {"max_a": 9.9}),
            ("at 14 V", {"max_v": 13.9}),
            ("on 4 mm²", {"mm2_max": 3.9}),
        )
    ),
    RuleTwin(
        rule=demands.cuts,
        what="cable",
        allows=Small(
            job=owning(
                Owned(part="twin4", length_m=20), Owned(part="twin4", length_m=10), Owned(part="twin1", length_m=2)
            )
        ),
        refuses=Small(
            job=owning(
                Owned(part="twin4", length_m=20), Owned(part="twin4", length_m=9.9), Owned(part="twin1", length_m=2)
            )
        ),
    ),
    RuleTwin(
        rule=demands.terminal_parts,
        what="four per circuit, four for the lead",
        allows=Small(job=owning(Owned(part="crimp", count=12))),
        refuses=Small(job=owning(Owned(part="crimp", count=11))),
    ),
    _by_parts(
        demands.terminal_parts,
        "range, ends included",
        a_catalogue(crimp={"mm2_max": 4}),
        a_catalogue(crimp={"mm2_max": 3.9}),
        owning(Owned(part="crimp", count=12)),
    ),
    RuleTwin(
        rule=demands.consumable_parts,
        what="two labels per circuit",
        allows=Small(job=owning(Owned(part="label", count=4))),
        refuses=Small(job=owning(Owned(part="label", count=3))),
    ),
)

TWINS = (*FEEDING, *CIRCUITS, *PANEL, *BANK, *STOCK)
TAKEN_FOR_GRANTED = {joined_circuits.floor_is_the_highest}  # other rows are built on it: see test_rules_twins.py
