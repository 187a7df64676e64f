"""job/1: the one definition of what a job may say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from optimizer.catalogue import BUS_FORM
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
    Owned,
    Place,
    SuppliedLead,
)

from . import ranges
from .faults import Fault, join, quoted, shown
from .fields import Choice, Flag, Form, Format, Id, Quantity, Whole, Words
from .records import Many, One, Record, Rule, Sound, Variant
from .rules import in_order, one_amount, unique_ids


class BusRecord(Record):
    makes = Bus
    rules = (
        in_order("low_v", "nominal_v", "the lowest bus voltage", "the nominal voltage", "V"),
        in_order("nominal_v", "high_v", "the nominal voltage", "the highest bus voltage", "V"),
        in_order("low_v", "high_v", "the lowest bus voltage", "the highest bus voltage", "V", unless="nominal_v"),
    )
    nominal_v = Quantity("the nominal voltage of the bus", ranges.SUPPLY_V)
    low_v = Quantity("the lowest voltage at the panel while loads run", ranges.SUPPLY_V)
    high_v = Quantity("the highest voltage at the panel", ranges.SUPPLY_V)
    spare_ways = Whole("the number of spare fuse ways", ranges.WAYS)
    way_max_a = Quantity("the largest fuse that a way takes", ranges.CURRENT_A)
    fuse_style = Id("the fuse style of the panel")
    fault_a = Quantity("the fault current at the panel", ranges.FAULT_A, unknown=ranges.FAULT_CURRENT_UNKNOWN)
    ambient_c = Quantity("the ambient temperature", ranges.AMBIENT_C, load_default=30.0, written=True)


class AcRecord(Record):
    makes = AcOutlet
    efficiency = Quantity("the efficiency of the inverter", ranges.FRACTION)
    idle_w = Quantity("the idle power of the inverter", ranges.IDLE_W)
    on_hours_per_day = Quantity("the hours a day that the inverter is on", ranges.HOURS_A_DAY)
    max_w = Quantity("the largest power of the inverter", ranges.PEAK_W)


class ExistingBankRecord(Record):
    makes = ExistingBank
    nominal_v = Quantity("the nominal voltage of the bank", ranges.SUPPLY_V)
    capacity_ah = Quantity("the capacity of the bank", ranges.CAPACITY_AH)
    usable_fraction = Quantity("the usable share of the bank", ranges.FRACTION)
    rated_hours = Quantity("the hours at which the capacity is rated", ranges.RATED_H)
    peukert = Quantity("the Peukert exponent", ranges.PEUKERT)
    max_discharge_a = Quantity("the largest discharge current of the bank", ranges.CURRENT_A)


def _some_bank(bank: Sound) -> Iterator[Fault]:
    if not bank.states("existing") and bank.get("may_buy") is False:
        yield Fault(pointer="", message=ranges.NO_BANK)


class BankRecord(Record):
    makes = Bank
    rules = (_some_bank,)
    existing = One("the existing bank", ExistingBankRecord, load_default=None)
    may_buy = Flag("whether a new bank may be bought (may_buy)", load_default=False, written=True)


class PlaceRecord(Record):
    makes = Place
    id = Id("the id of the place")
    name = Words("the name of the place", blank=True, load_default="")
    run_m = Quantity("the run from panel to place", ranges.RUN_M)
    bundled = Whole(
        "the number of loaded conductors bundled along the run", ranges.BUNDLED, load_default=2, written=True
    )
    ambient_c = Quantity("the ambient temperature", ranges.AMBIENT_C, load_default=None)


class NeedsRecord(Record):
    makes = Needs
    rules = (in_order("min_v", "max_v", "the least voltage", "the highest voltage", "V"),)
    form = Form("the form of supply")
    min_v = Quantity("the least voltage that the load works with", ranges.LOAD_V)
    max_v = Quantity("the highest voltage that the load endures", ranges.TOLERATED_V)


class SuppliedLeadRecord(Record):
    makes = SuppliedLead
    kind = Choice("the kind of lead", ("supplied",), dump_default="supplied")
    loop_ohm = Quantity("the loop resistance of the lead", ranges.LOOP_OHM)


class CutLeadRecord(Record):
    makes = CutLead
    kind = Choice("the kind of lead", ("cut",), dump_default="cut")
    length_m = Quantity("the length of the lead", ranges.LEAD_M)


class BrickRecord(Record):
    makes = Brick
    efficiency = Quantity("the efficiency of the mains adapter", ranges.FRACTION)
    idle_w = Quantity("the idle power of the mains adapter", ranges.IDLE_W)


def _cut_lead_needs_wire(load: Sound) -> Iterator[Fault]:
    form = load.get("needs", {}).get("form")
    if load.get("lead", {}).get("kind") == "cut" and form not in (None, BUS_FORM):
        yield Fault(
            pointer="lead/kind",
            message=f"a lead can be cut only where the load needs '{BUS_FORM}'; this one needs {quoted(form)}: "
            "its lead is supplied, or part of a plug lead",
        )


def _resistive_has_rated_v(load: Sound) -> Iterator[Fault]:
    if load.get("behaviour") == "resistive" and not load.states("rated_v"):
        message = "a resistive load needs the voltage at which it takes its peak power (rated_v)"
        yield Fault(pointer="rated_v", message=message)


class LoadRecord(Record):
    makes = Load
    rules = (
        in_order("typical_w", "peak_w", "the typical power", "the peak power", "W"),
        _cut_lead_needs_wire,
        _resistive_has_rated_v,
    )
    id = Id("the id of the load")
    name = Words("the name of the load", blank=True, load_default="")
    place = Id("the place of the load")
    needs = One("what the load needs", NeedsRecord)
    peak_w = Quantity("the peak power", ranges.PEAK_W)
    typical_w = Quantity("the typical power while on", ranges.TYPICAL_W)
    hours_per_day = Quantity("the hours a day that the load is on", ranges.HOURS_A_DAY)
    lead = Variant("the lead", {"supplied": SuppliedLeadRecord, "cut": CutLeadRecord})
    switch = Flag("whether the load is switched (switch)", load_default=False, written=True)
    own_circuit = Flag("whether the load has its own circuit (own_circuit)", load_default=False, written=True)
    drop_pct = Quantity("the drop allowed for the load", ranges.DROP_PCT, load_default=None)
    brick = One("the mains adapter of the load (brick)", BrickRecord, load_default=None)
    behaviour = Choice("the behaviour of the load", ("constant_power", "resistive"), load_default="constant_power")
    rated_v = Quantity("the voltage at which the load takes its peak power", ranges.SUPPLY_V, load_default=None)
    max_fuse_a = Quantity("the largest fuse that the load allows", ranges.CURRENT_A, load_default=None)


class LimitsRecord(Record):
    makes = Limits
    drop_pct = Quantity("the drop allowed", ranges.DROP_PCT)
    headroom_pct = Quantity("the headroom of stages", ranges.HEADROOM_PCT)
    autonomy_h = Quantity("the autonomy", ranges.AUTONOMY_H)
    bank_derate = Quantity("the fraction of the rated capacity that is counted on", ranges.FRACTION)
    conductor_c = Quantity("the conductor temperature", ranges.CONDUCTOR_C)
    slack_m = Quantity("the slack of every cut", ranges.SLACK_M)
    wiring_allowance_pct = Quantity("the allowance for wiring losses", ranges.ALLOWANCE_PCT)
    min_mm2 = Quantity("the least conductor size", ranges.LEAST_AREA_MM2, load_default=0.0)
    far_fault_multiple = Quantity("the far fault multiple", ranges.FAR_FAULT, load_default=0.0)
    count_circuits = Flag("whether the circuits of a place count as bundled", load_default=False)
    fuse_ratio_max = Quantity("the largest fuse over design current", ranges.FUSE_RATIO, load_default=None)
    joint_mohm = Quantity("the resistance of joints", ranges.JOINT_MOHM, load_default=0.0)
    count_joints = Flag("whether joints count", load_default=False)
    budget_cents = Whole("the budget", ranges.BUDGET_CENTS, load_default=None)
    boost_at_panel = Flag("whether a converter may stand at the panel (boost_at_panel)", load_default=False)
    panel_run_m = Quantity("the length from the panel to a converter there", ranges.PANEL_RUN_M, load_default=0.5)
    share_stages = Flag("whether loads may share a chain (share_stages)", load_default=False)


class OwnedRecord(Record):
    makes = Owned
    rules = (one_amount,)
    part = Id("the part")
    count = Whole("the count", ranges.COUNT, load_default=None)
    length_m = Quantity("the length of the offcut", ranges.STOCK_M, load_default=None)


def _places_exist(job: Sound) -> Iterator[Fault]:
    if not isinstance(job.get("places"), list) and job.states("places"):
        return  # the list itself is at fault
    known = {place["id"] for place in job.get("places", []) if place and "id" in place}
    for index, load in enumerate(job.get("loads", [])):
        place = (load or {}).get("place")
        if place is not None and place not in known:
            yield Fault(pointer=join("loads", str(index), "place"), message=f"there is no place called {quoted(place)}")


def _bank_suits_bus(job: Sound) -> Iterator[Fault]:
    bus_v = job.get("bus", {}).get("nominal_v")
    bank_v = ((job.get("bank") or {}).get("existing") or {}).get("nominal_v")
    if bus_v is None or bank_v is None:
        return
    least, most = ranges.BANK_RATIO
    if not least <= bank_v / bus_v <= most:
        message = f"the bank is {shown(bank_v)} V but the bus {shown(bus_v)} V: one of the two is wrong"
        yield Fault(pointer="bank/existing/nominal_v", message=message)


def _something_to_feed(job: Sound) -> Iterator[Fault]:
    if job.get("places") == []:
        yield Fault(pointer="places", message="there is no place yet: add at least one")
    if job.get("loads") == []:
        yield Fault(pointer="loads", message="there is no load yet: add at least one")


class DraftRecord(Record):
    """A job in the making: as job/1, but places and loads may still be empty."""

    makes = Job
    rules: ClassVar[tuple[Rule, ...]] = (
        unique_ids("places", "place"),
        unique_ids("loads", "load"),
        _places_exist,
        _bank_suits_bus,
    )
    format = Format("job/1")
    title = Words("the title", blank=True)
    bus = One("the bus", BusRecord)
    bank = One("the bank", BankRecord)
    places = Many("the list of places", One("a place", PlaceRecord), most=ranges.PLACES)
    loads = Many(  # type: ignore[assignment]  # marshmallow takes fields off the class
        "the list of loads", One("a load", LoadRecord), most=ranges.LOADS
    )
    limits = One("the limits", LimitsRecord, unknown="the limits are missing")
    ac = One("the AC outlets", AcRecord, load_default=None)
    owned = Many("the stock on hand", One("an entry", OwnedRecord), most=ranges.ENTRIES, load_default=(), written=True)
    assumed = Many("the list of assumptions", Words("an assumption"), most=ranges.ROWS, load_default=())


class JobRecord(DraftRecord):
    rules: ClassVar[tuple[Rule, ...]] = (*DraftRecord.rules, _something_to_feed)
