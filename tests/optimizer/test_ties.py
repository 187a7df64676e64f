"""Exact ties: a value that equals its limit is within it (planning rules 2 to 4), whatever binary fractions make of it.

One part of each kind, so that the answer is a plan or none. The bus stays at 12 V and circuits may fall to 10.8 V.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from optimizer.catalogue import Cable, Catalogue, Content, Fuse, Offer, Part, Seller, Stage, Terminal
from optimizer.checks import failures
from optimizer.job import (
    AcOutlet,
    Bank,
    Brick,
    Bus,
    CutLead,
    ExistingBank,
    Job,
    Limits,
    Load,
    Needs,
    Place,
    SuppliedLead,
)
from optimizer.plan import Plan
from optimizer.planner import plan, why_this
from optimizer.solve.instance import build
from optimizer.solving import has_plan

LOAD = Load(
    id="L0",
    place="P",
    needs=Needs(form="dc-plug", min_v=5, max_v=30),
    peak_w=5,
    typical_w=1,
    hours_per_day=12,
    lead=SuppliedLead(loop_ohm=0),
)
STAGE = Stage(
    id="S",
    in_form="dc-wire",
    in_min_v=5,
    in_max_v=40,
    out_form="dc-plug",
    out_v=20,
    max_out_w=500,
    efficiency=1,
    idle_w=0,
)
CABLE = Cable(id="C", mm2=1, cores=2, ohm_per_km_20c=17, ampacity_a=40, insulation_c=90)
BANK = ExistingBank(nominal_v=12, capacity_ah=1000, usable_fraction=0.5, rated_hours=20, peukert=1, max_discharge_a=100)
BUS = Bus(nominal_v=12, low_v=12, high_v=12, spare_ways=1, way_max_a=30, fuse_style="b", fault_a=1000, ambient_c=30)


def a_job(*loads: Load, bank: dict[str, Any] | None = None, bus: dict[str, Any] | None = None, **limits: Any) -> Job:
    stated = {"drop_pct": 10, "headroom_pct": 20, "autonomy_h": 10, "bank_derate": 1, "conductor_c": 20}
    return Job(
        title="tie",
        bus=replace(BUS, **bus or {}),
        bank=Bank(existing=replace(BANK, **bank or {}), may_buy=False),
        places=(Place(id="P", run_m=2),),
        loads=loads,
        limits=Limits(**{**stated, "slack_m": 0, "wiring_allowance_pct": 0, **limits}),
    )


def catalogue(*more: Part, stage: dict[str, Any] | None = None, fuse_a: float = 30, **cable: Any) -> Catalogue:
    """Everything costs 1 but what is more, which costs nothing: 2 m of a cable, eight of another part."""
    parts: tuple[Part, ...] = (
        replace(STAGE, **stage or {}),
        replace(CABLE, **cable),
        Fuse(id="F", style="b", rating_a=fuse_a, max_v=60, interrupt_a=1000),
        Terminal(id="T", mm2_min=1, mm2_max=1),
    )

    def offer(part: Part, cents: int) -> Offer:
        content = Content(part=part.id, length_m=2) if isinstance(part, Cable) else Content(part=part.id, count=8)
        return Offer(id=f"o{part.id}", seller="s", price_cents=cents, contents=(content,))

    return Catalogue(
        sellers=(Seller(id="s", name="S", delivery_cents=0, lead_days=1),),
        parts=(*parts, *more),
        offers=(*(offer(part, 1) for part in parts), *(offer(part, 0) for part in more)),
    )


def planned(job: Job, parts: Catalogue) -> Plan:
    answer = plan(job, parts)
    assert not failures(answer.checks)
    return answer


# -- leads ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("out_v", "min_v", "drop_pct", "loop_ohm", "peak_w"),
    [
        pytest.param(12, 11.88, 10, 0.04, 35.64, id="11.88 V is left: 3 A × 0.04 Ω = 0.12 V"),
        pytest.param(5, 1, 4, 0.05, 19.2, id="4 % of 5 V: 4 A × 0.05 Ω = 0.2 V"),
        pytest.param(5.1, 1, 3, 0.15, 1.02 * 4.947, id="3 % of 5.1 V: 1.02 A × 0.15 Ω = 0.153 V"),
    ],
)
def test_lead_that_loses_exactly_what_it_may(
    out_v: float, min_v: float, drop_pct: float, loop_ohm: float, peak_w: float
) -> None:
    """Planning rules 2, lead: min_v ≤ load voltage, and at most drop_pct of out_v is lost."""
    needs = replace(LOAD.needs, min_v=min_v)
    load = replace(LOAD, needs=needs, peak_w=peak_w, drop_pct=drop_pct, lead=SuppliedLead(loop_ohm=loop_ohm))
    parts = catalogue(stage={"out_v": out_v})
    assert planned(a_job(load), parts).status == "optimal"
    assert planned(a_job(replace(load, lead=SuppliedLead(loop_ohm=loop_ohm * 1.00001))), parts).status == "infeasible"


@pytest.mark.parametrize(("ampacity_a", "is_thin"), [(7, True), (6.99999, False)])
def test_lead_that_carries_exactly_what_its_converter_can_put_out(ampacity_a: float, is_thin: bool) -> None:
    """70.7 W / 10.1 V = 7 A (planning rules 2, lead protection: at least)."""
    load = replace(LOAD, needs=Needs(form="dc-wire", min_v=5, max_v=11), lead=CutLead(length_m=1))
    stage = {"out_form": "dc-wire", "out_v": 10.1, "max_out_w": 70.7}
    thin = replace(CABLE, id="C2", ampacity_a=ampacity_a)
    answer = planned(a_job(load), catalogue(thin, stage=stage))
    leads = [feed.lead.cable for feed in answer.feeds if feed.lead]
    assert leads == [("C2",) if is_thin else ("C",)]


# -- no voltage at all ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("low_v", [6, 5])
@pytest.mark.parametrize("loop_ohm", [0, 0.1])
@pytest.mark.parametrize("form", ["dc-wire", "dc-plug"])
def test_nothing_runs_where_the_drop_leaves_no_voltage(form: str, loop_ohm: float, low_v: float) -> None:
    """50 % of 12 V below 6 V: at a floor of 0 V the current is without bound, so no run holds its drop (rules 3)."""
    needs = Needs(form=form, min_v=0, max_v=30)
    lead = SuppliedLead(loop_ohm=loop_ohm if form == "dc-wire" else 0)
    job = a_job(replace(LOAD, needs=needs, lead=lead), bus={"low_v": low_v}, drop_pct=50)
    answer = planned(job, catalogue(stage={"in_min_v": 0}))
    assert answer.status == "infeasible"
    assert "0 V" in answer.reasons[0].text or "no voltage" in answer.reasons[0].text


def test_no_converter_is_made_up_for_a_load_of_no_volts() -> None:
    answer = planned(a_job(replace(LOAD, needs=replace(LOAD.needs, min_v=0, max_v=0))), catalogue())
    assert answer.status == "infeasible"
    assert answer.reasons[0].text.startswith("L0 cannot be fed")


# -- sums -------------------------------------------------------------------------------------------------------------

_BRICK = Brick(efficiency=0.9, idle_w=0)


def _fuse(over: float) -> tuple[Job, Catalogue]:
    """Seven times 8/7 A at 10.8 V, 125 % of 8 A behind a fuse of 10 A."""
    return a_job(*_loads(7, peak_w=10.8 * 8 / 7 * over)), catalogue(fuse_a=10)


def _drop(over: float) -> tuple[Job, Catalogue]:
    """Three times 2/3 A at 10.8 V over 2 × 2 m × 150 Ω/km = 0.6 Ω lose 1.2 V."""
    return a_job(*_loads(3, peak_w=7.2 * over)), catalogue(ohm_per_km_20c=150)


def _peak(over: float) -> tuple[Job, Catalogue]:
    """Three times 40 W at 12 V: 10 A."""
    return a_job(*_loads(3, peak_w=40 * over), bank={"max_discharge_a": 10}), catalogue()


def _autonomy(over: float) -> tuple[Job, Catalogue]:
    """Three times 10 W for 8 of 24 h: 10 W; 0.5 × 20 Ah / 12 h × 12 V give 10 W."""
    loads = _loads(3, peak_w=20, typical_w=10 * over, hours_per_day=8)
    return a_job(*loads, bank={"capacity_ah": 20}, autonomy_h=12), catalogue()


def _outlet(over: float) -> tuple[Job, Catalogue]:
    """Three times 30 W / 0.9: 100 W; no converter puts out 30 W."""
    job = a_job(*_loads(3, peak_w=30 * over, brick=_BRICK))
    outlet = AcOutlet(efficiency=1, idle_w=0, on_hours_per_day=24, max_w=100)
    return replace(job, ac=outlet), catalogue(stage={"max_out_w": 20})


def _loads(count: int, **fields: Any) -> list[Load]:
    return [replace(LOAD, id=f"L{n}", **fields) for n in range(count)]


@pytest.mark.parametrize("of", [_fuse, _drop, _peak, _autonomy, _outlet])
def test_sum_that_comes_to_exactly_its_limit(of: Callable[[float], tuple[Job, Catalogue]]) -> None:
    """Planning rules 3 (drop, fuse) and 4 (autonomy, peak, outlet): each says ≤."""
    answer = planned(*of(1))
    assert answer.status == "optimal"
    assert planned(*of(1 + 1e-7)).status == "infeasible"


def test_today_is_told_where_the_outlet_carries_everything_exactly() -> None:
    answer = planned(*_outlet(1))
    assert answer.energy is not None
    assert answer.energy.today_average_w == pytest.approx(3 * 0.5 / 0.9, abs=1e-3)  # 1 W for 12 of 24 h each


def test_sum_that_is_over_its_limit_by_a_hair_takes_the_next_fuse() -> None:
    """Seven times 8/7 A and a millionth of an ampere behind 10 A (free) or 15 A (1)."""
    job = a_job(*_loads(7, peak_w=10.8 * 8 / 7 * (1 + 1e-7)))
    small = Fuse(id="F10", style="b", rating_a=10, max_v=60, interrupt_a=1000)
    answer = planned(job, catalogue(small, fuse_a=15))
    assert [circuit.fuse for circuit in answer.circuits] == ["F"]


# -- a hair -----------------------------------------------------------------------------------------------------------


def _ampacity(under: float) -> tuple[Job, Catalogue]:
    """A fuse of 30 A before a cable of 30 A."""
    return a_job(LOAD), catalogue(ampacity_a=30 * under)


def _far_fault(under: float) -> tuple[Job, Catalogue]:
    """12 V / (12 V / 1,000 A + 2 × 2 m × 17 Ω/km) = 150 A, five times 30 A."""
    return a_job(LOAD, far_fault_multiple=5 / under), catalogue()


def _feed_fuse(under: float) -> tuple[Job, Catalogue]:
    """A fuse of 30 A before a converter that takes 30 A."""
    return a_job(LOAD), catalogue(stage={"max_fuse_a": 30 * under})


def _feed_fuse_shared(under: float) -> tuple[Job, Catalogue]:
    """Eight loads on the one way: more than are joined as whole sets."""
    return a_job(*_loads(8)), catalogue(stage={"max_fuse_a": 30 * under})


def _rating(under: float) -> tuple[Job, Catalogue]:
    """5 W and 20 % of headroom out of a converter of 6 W."""
    return a_job(LOAD), catalogue(stage={"max_out_w": 6 * under})


@pytest.mark.parametrize("of", [_ampacity, _far_fault, _feed_fuse, _feed_fuse_shared, _rating])
def test_what_is_forgiven_is_the_same_for_every_limit(of: Callable[[float], tuple[Job, Catalogue]]) -> None:
    """`units.is_within` forgives 1e-10 of the limit, of single values too."""
    assert planned(*of(1 - 5e-11)).status == "optimal"
    assert planned(*of(1 - 1e-7)).status == "infeasible"


# -- what is asked about plans ----------------------------------------------------------------------------------------

_SUMS = (_fuse, _drop, _peak, _autonomy, _outlet)


@pytest.mark.parametrize("of", _SUMS)
def test_question_whether_there_is_a_plan_sees_a_sum_at_its_limit(of: Callable[[float], tuple[Job, Catalogue]]) -> None:
    assert has_plan(build(*of(1)), time_limit_s=20) is True
    assert has_plan(build(*of(1 + 1e-7)), time_limit_s=20) is not True


@pytest.mark.parametrize("of", _SUMS)
def test_what_came_next_is_told_of_a_plan_at_its_limit(of: Callable[[float], tuple[Job, Catalogue]]) -> None:
    """A second converter, at the price of a pack of eight more."""
    job, parts = of(1)
    other = replace(STAGE, id="S2", max_out_w=500)
    sold = Offer(id="oS2", seller="s", price_cents=50, contents=(Content(part="S2", count=8),))
    parts = replace(parts, parts=(*parts.parts, other), offers=(*parts.offers, sold))
    feeds = [a for a in why_this(job, parts, plan(job, parts), time_limit_s=60) if a.subject.startswith("feed ")]
    assert len(feeds) == len(job.loads)
    assert {(a.other, a.why) for a in feeds} == {("S2", "price")}


def test_budget_is_in_the_way_of_a_plan_at_its_limit_and_nothing_else() -> None:
    job, parts = _autonomy(1)  # four parts at 1
    answer = plan(replace(job, limits=replace(job.limits, budget_cents=3)), parts)
    assert [reason.text for reason in answer.reasons] == ["The cheapest plan costs 0.04, the budget is 0.03."]


def test_limit_that_is_met_exactly_is_not_said_to_be_in_the_way() -> None:
    job, parts = _peak(1)
    weak = replace(job, bank=Bank(existing=replace(BANK, max_discharge_a=10, capacity_ah=1)))
    assert [reason.rule for reason in plan(weak, parts).reasons] == ["autonomy"]


def test_drop_that_is_then_met_exactly_is_a_way_out() -> None:
    """9 % of 12 V lose 1.08 V, 10 % just the 1.2 V that 2 A lose."""
    job, parts = _drop(1)
    ways_out = plan(replace(job, limits=replace(job.limits, drop_pct=9)), parts).ways_out
    assert "Allow 10 % drop on the run to P, instead of 9 %" in {way.text for way in ways_out}
