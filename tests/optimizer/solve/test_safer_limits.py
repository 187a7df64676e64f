"""The safer limits of planning rules 10: each with a job that just has a plan and one that just has none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import pytest

from optimizer.catalogue import BankKit, Battery, Catalogue, Fuse, Holder
from optimizer.checks import check_plan, failures
from optimizer.job import Bank, Job, SuppliedLead
from optimizer.plan import Plan
from optimizer.planner import plan
from tests.builders import a_catalogue, a_job
from tests.optimizer.checks.twins.twin import CAMERA, pass_through
from tests.optimizer.solve.rule_twins import FUSE_10, sold

Fields = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Pair:
    """A job and catalogue that just have a plan, and that just have none."""

    what: str
    has: tuple[Job, Catalogue]
    lacks: tuple[Job, Catalogue]


def by_job(what: str, has: Fields, lacks: Fields, catalogue: Catalogue | None = None) -> Pair:
    parts = catalogue or a_catalogue()
    return Pair(what=what, has=(a_job(**has), parts), lacks=(a_job(**lacks), parts))


def by_parts(what: str, has: Catalogue, lacks: Catalogue, job: Job | None = None) -> Pair:
    return Pair(what=what, has=(job or a_job(), has), lacks=(job or a_job(), lacks))


def limit(**fields: Any) -> Fields:
    return {"limits": fields}


AGM = Battery(
    id="agm",
    nominal_v=12,
    capacity_ah=100,
    usable_fraction=0.5,
    rated_hours=20,
    peukert=1,
    max_discharge_a=50,
    low_v=11.7,
    high_v=14,
    fault_a=500,
)
SIX = replace(AGM, id="six", nominal_v=6, low_v=5.85, high_v=7, max_parallel=1, fault_a=None, chemistry="lead")
KIT = BankKit(id="kit", max_series=2, max_parallel=2, max_a=10, max_v=14, interrupt_a=1000)
NEW_BANK = a_job(bank=Bank(may_buy=True))
TWO_AGM = a_job(bank=Bank(may_buy=True), limits={"autonomy_h": 40})  # one holds 12 W for so long; 14.7 W are drawn
# 45 W at 10.5 V are 4.3 A, so that the lamp takes a fuse of 10 A
BIG_LAMP: Fields = {"peak_w": 45, "typical_w": 12, "lead": SuppliedLead(loop_ohm=0.01)}
TIP = pass_through("tip", "dc-barrel", "dc-plug", max_in_a=3.16)  # 60 W / 19 V = 3.158 A
BARREL_BOOST: Fields = {"boost": {"out_form": "dc-barrel"}}
LEADING_TIP = pass_through("tail", "dc-wire", "dc-tail", max_in_a=5)
FROM_TAIL: Fields = {"boost": {"in_form": "dc-tail"}}
OUTPUT_FUSE = Fuse(id="fuse2.5", style="glass", rating_a=2.5, max_v=32, interrupt_a=100)
OUTPUT_HOLDER = Holder(id="glass-holder", style="glass", max_a=10, max_v=32)
UNLIMITED: Fields = {"boost": {"limits_output": False}}

PAIRS = (
    # 12 V / (12 V / 800 A + 0.2 Ω) = 55.8 A at the desk; 11.16 × 5 A
    by_job("far fault", limit(far_fault_multiple=11.1), limit(far_fault_multiple=11.2)),
    by_parts("cable ceiling", a_catalogue(twin4={"max_fuse_a": 5}), a_catalogue(twin4={"max_fuse_a": 4.9})),
    # two circuits to the desk: 0.8 × 6.25 A
    Pair(
        what="own circuits counted",
        has=(
            a_job(
                limits={"count_circuits": True},
                more_loads=(replace(CAMERA, own_circuit=True),),
                bus={"spare_ways": 3},
                existing={"capacity_ah": 200},
            ),
            a_catalogue(twin4={"ampacity_a": 6.25}),
        ),
        lacks=(
            a_job(
                limits={"count_circuits": True},
                more_loads=(replace(CAMERA, own_circuit=True),),
                bus={"spare_ways": 3},
                existing={"capacity_ah": 200},
            ),
            a_catalogue(twin4={"ampacity_a": 6.24}),
        ),
    ),
    by_job(
        "5 A assumed for a load that states nothing",
        {"lamp": BIG_LAMP | {"max_fuse_a": 10}, "mast": {"run_m": 4}} | limit(fuse_ratio_max=2),
        {"lamp": BIG_LAMP, "mast": {"run_m": 4}} | limit(fuse_ratio_max=2),
        sold(FUSE_10),
    ),
    by_job(
        "nothing assumed without the ratio limit",
        {"lamp": BIG_LAMP, "mast": {"run_m": 4}},
        {"lamp": BIG_LAMP, "mast": {"run_m": 4}} | limit(fuse_ratio_max=2),
        sold(FUSE_10),
    ),
    # fuses of the small catalogue break 1000 A
    by_parts(
        "bought bank's fault current", sold(replace(AGM, fault_a=1000)), sold(replace(AGM, fault_a=1001)), NEW_BANK
    ),
    by_parts("series", sold(replace(SIX, max_series=2), KIT), sold(replace(SIX, max_series=1), KIT), NEW_BANK),
    by_parts(
        "lithium is not put in series unless it says so",
        sold(SIX, KIT),
        sold(replace(SIX, chemistry="lithium"), KIT),
        NEW_BANK,
    ),
    by_parts("charging voltage", sold(replace(AGM, charge_v=14)), sold(replace(AGM, charge_v=13.9)), NEW_BANK),
    by_parts("two batteries bring their kit", sold(AGM, KIT), sold(AGM), TWO_AGM),
    by_parts("kit breaks the fault", sold(AGM, KIT), sold(AGM, replace(KIT, interrupt_a=999)), TWO_AGM),
    by_parts("kit stands the voltage", sold(AGM, KIT), sold(AGM, replace(KIT, max_v=13.9)), TWO_AGM),
    by_parts("kit carries the peak", sold(AGM, replace(KIT, max_a=5.41)), sold(AGM, replace(KIT, max_a=5.38)), TWO_AGM),
    by_parts("kit for the strings", sold(AGM, KIT), sold(AGM, replace(KIT, max_parallel=1)), TWO_AGM),
    by_parts("plug after a converter", sold(TIP, **BARREL_BOOST), sold(replace(TIP, max_in_a=3.15), **BARREL_BOOST)),
    by_parts(
        "plug behind the circuit's fuse",
        sold(LEADING_TIP, **FROM_TAIL),
        sold(replace(LEADING_TIP, max_in_a=4.9), **FROM_TAIL),
    ),
    # 36 W / 19 V × 1.25 = 2.37 A
    by_parts("output fuse", sold(OUTPUT_FUSE, OUTPUT_HOLDER, **UNLIMITED), sold(OUTPUT_HOLDER, **UNLIMITED)),
    by_parts("output fuse holder", sold(OUTPUT_FUSE, OUTPUT_HOLDER, **UNLIMITED), sold(OUTPUT_FUSE, **UNLIMITED)),
    by_parts(
        "output fuse carries the load",
        sold(replace(OUTPUT_FUSE, rating_a=2.37), OUTPUT_HOLDER, **UNLIMITED),
        sold(replace(OUTPUT_FUSE, rating_a=2.36), OUTPUT_HOLDER, **UNLIMITED),
    ),
    # 4 A × (0.2 Ω + 0.1 Ω) = 1.2 V
    by_job("joints", limit(joint_mohm=100), limit(joint_mohm=101)),
)


@pytest.mark.parametrize("pair", [pytest.param(pair, id=pair.what) for pair in PAIRS])
def test_just_within_the_limit_there_is_a_plan(pair: Pair) -> None:
    answer = plan(*pair.has)
    assert answer.status == "optimal", answer.reasons
    assert failures(check_plan(*pair.has, answer)) == ()


@pytest.mark.parametrize("pair", [pytest.param(pair, id=pair.what) for pair in PAIRS])
def test_just_beyond_it_there_is_none(pair: Pair) -> None:
    answer = plan(*pair.lacks)
    assert (answer.status, answer.orders) == ("infeasible", ())
    assert answer.reasons


# -- limits that cost, but do not forbid ------------------------------------------------------------------------------


def fuses(answer: Plan) -> set[str]:
    return {circuit.fuse for circuit in answer.circuits}


def test_ratio_limit_takes_the_fuse_close_to_the_current() -> None:
    job, fuse_3 = (
        a_job(limits={"fuse_ratio_max": 2}),
        Fuse(id="fuse3", style="blade", rating_a=3, max_v=32, interrupt_a=1000),
    )
    catalogue = sold(fuse_3, price_cents=999)
    assert fuses(plan(a_job(), catalogue)) == {"fuse5"}
    assert fuses(plan(job, catalogue)) == {"fuse5", "fuse3"}  # 2 A: 3 A carries it, 5 A > 2 × 2 A


def test_ratio_limit_allows_twice_the_current() -> None:
    """The router draws 4 A: 8 A is twice that and allowed although 5 A would do; 8.1 A is not."""
    dear_five: Fields = {"fuse5": {"rating_a": 8}}
    five = Fuse(id="five", style="blade", rating_a=5, max_v=32, interrupt_a=1000)
    job = a_job(limits={"fuse_ratio_max": 2}, lamp={"peak_w": 42, "typical_w": 12}, mast={"run_m": 4})
    allowed = plan(job, sold(five, price_cents=5000, **dear_five))
    refused = plan(job, sold(five, price_cents=5000, fuse5={"rating_a": 8.5}))
    assert allowed.circuits[0].fuse == "fuse5"
    assert refused.circuits[0].fuse == "five"


def test_joints_counted_take_terminals_for_switch_and_holder() -> None:
    """4 + 4 for the circuits, 4 for the lead, 2 for the switch, 2 for the holder: 16, two packs of 12."""
    holder = Holder(id="holder", style="blade", max_a=30, max_v=32)
    plain = plan(a_job(bus={"spare_ways": 1}), sold(holder))
    counted = plan(a_job(bus={"spare_ways": 1}, limits={"count_joints": True}), sold(holder))
    assert plain.total_cents is not None
    assert counted.total_cents == plain.total_cents + 300
    assert next(order.quantity for order in counted.orders if order.offer == "o-crimp") == 2


def test_joints_counted_take_terminals_for_two_holders() -> None:
    """Two circuits of 4 mm², both in holders: 4 + 2 each and 2 for the switch: 14, two packs of 12."""
    holder = Holder(id="holder", style="blade", max_a=30, max_v=32)
    supplied: Fields = {"lamp": {"lead": SuppliedLead(loop_ohm=0.01)}, "mast": {"run_m": 19.5}}
    answer = plan(a_job(bus={"spare_ways": 0}, limits={"count_joints": True}, **supplied), sold(holder))
    assert answer.status == "optimal"
    assert next(order.quantity for order in answer.orders if order.offer == "o-crimp") == 2
