"""job/1: the one definition of what a job may say."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from optimizer.catalogue import BUS_FORM
from optimizer.job import (
    CRITICAL,
    SETTINGS,
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
from webapp.texts import N_, _

from . import ranges
from .catalogue import CHEMISTRIES
from .faults import Fault, join, quoted, shown
from .fields import Choice, Flag, Form, Format, Id, Quantity, Whole, Words
from .records import Many, One, Record, Rule, Sound, Variant
from .rules import in_order, one_amount, unique_ids


class BusRecord(Record):
    makes = Bus
    rules = (
        in_order("nominal_v", "high_v", N_("the nominal voltage"), N_("the highest bus voltage"), "V"),
        # low_v may be above nominal_v (planning rules 1): lithium cells hold a "12 V" bus above 12 V
        in_order("low_v", "high_v", N_("the lowest bus voltage"), N_("the highest bus voltage"), "V"),
    )
    nominal_v = Quantity(N_("the nominal voltage of the bus"), ranges.SUPPLY_V)
    low_v = Quantity(N_("the lowest voltage at the panel while loads run"), ranges.SUPPLY_V)
    high_v = Quantity(N_("the highest voltage at the panel"), ranges.SUPPLY_V)
    spare_ways = Whole(N_("the number of spare fuse ways"), ranges.WAYS)
    way_max_a = Quantity(N_("the largest fuse that a way takes"), ranges.CURRENT_A)
    fuse_style = Id(N_("the fuse style of the panel"))
    fault_a = Quantity(N_("the fault current at the panel"), ranges.FAULT_A, unknown=ranges.FAULT_CURRENT_UNKNOWN)
    ambient_c = Quantity(N_("the ambient temperature"), ranges.AMBIENT_C, load_default=30.0, written=True)
    wet = Flag(N_("whether the panel gets wet (wet)"), load_default=False)
    fuel = Flag(N_("whether there is petrol or gas at the panel (fuel)"), load_default=False)


class AcRecord(Record):
    makes = AcOutlet
    efficiency = Quantity(N_("the efficiency of the inverter"), ranges.FRACTION)
    idle_w = Quantity(N_("the idle power of the inverter"), ranges.IDLE_W)
    on_hours_per_day = Quantity(N_("the hours a day that the inverter is on"), ranges.HOURS_A_DAY)
    max_w = Quantity(N_("the largest power of the inverter"), ranges.PEAK_W)


class ExistingBankRecord(Record):
    makes = ExistingBank
    nominal_v = Quantity(N_("the nominal voltage of the bank"), ranges.SUPPLY_V)
    capacity_ah = Quantity(N_("the capacity of the bank"), ranges.CAPACITY_AH)
    usable_fraction = Quantity(N_("the usable share of the bank"), ranges.FRACTION)
    rated_hours = Quantity(N_("the hours at which the capacity is rated"), ranges.RATED_H)
    peukert = Quantity(N_("the Peukert exponent"), ranges.PEUKERT)
    max_discharge_a = Quantity(N_("the largest discharge current of the bank"), ranges.CURRENT_A)
    charged_cold = Flag(N_("whether the bank is charged below 0 °C (charged_cold)"), load_default=False)
    chemistry = Choice(N_("the type of the bank"), CHEMISTRIES, load_default=None)


def _some_bank(bank: Sound) -> Iterator[Fault]:
    if not bank.states("existing") and bank.get("may_buy") is False:
        yield Fault(pointer="", message=_(ranges.NO_BANK))


class BankRecord(Record):
    makes = Bank
    rules = (_some_bank,)
    existing = One(N_("the existing bank"), ExistingBankRecord, load_default=None)
    may_buy = Flag(N_("whether a new bank may be bought (may_buy)"), load_default=False, written=True)


class PlaceRecord(Record):
    makes = Place
    id = Id(N_("the id of the place"))
    name = Words(N_("the name of the place"), blank=True, load_default="")
    run_m = Quantity(N_("the run from panel to place"), ranges.RUN_M)
    bundled = Whole(
        N_("the number of loaded conductors bundled along the run"), ranges.BUNDLED, load_default=2, written=True
    )
    ambient_c = Quantity(N_("the ambient temperature"), ranges.AMBIENT_C, load_default=None)
    wet = Flag(N_("whether the place gets wet (wet)"), load_default=False)
    fuel = Flag(N_("whether there is petrol or gas (fuel)"), load_default=False)
    outdoors = Flag(N_("whether the run goes outdoors (outdoors)"), load_default=False)
    above_roof = Flag(N_("whether the run ends above the roof line (above_roof)"), load_default=False)


class NeedsRecord(Record):
    makes = Needs
    rules = (in_order("min_v", "max_v", N_("the least voltage"), N_("the highest voltage"), "V"),)
    form = Form(N_("the form of supply"))
    min_v = Quantity(N_("the least voltage that the load works with"), ranges.LOAD_V)
    max_v = Quantity(N_("the highest voltage that the load endures"), ranges.TOLERATED_V)


class SuppliedLeadRecord(Record):
    makes = SuppliedLead
    kind = Choice(N_("the kind of lead"), ("supplied",), dump_default="supplied")
    loop_ohm = Quantity(N_("the loop resistance of the lead"), ranges.LOOP_OHM)


class CutLeadRecord(Record):
    makes = CutLead
    kind = Choice(N_("the kind of lead"), ("cut",), dump_default="cut")
    length_m = Quantity(N_("the length of the lead"), ranges.LEAD_M)


class BrickRecord(Record):
    makes = Brick
    efficiency = Quantity(N_("the efficiency of the mains adapter"), ranges.FRACTION)
    idle_w = Quantity(N_("the idle power of the mains adapter"), ranges.IDLE_W)


def _cut_lead_needs_wire(load: Sound) -> Iterator[Fault]:
    form = load.get("needs", {}).get("form")
    if load.get("lead", {}).get("kind") == "cut" and form not in (None, BUS_FORM):
        yield Fault(
            pointer="lead/kind",
            message=_(
                "a lead can be cut only where the load needs '%(bus)s'; this one needs %(form)s: its lead is supplied, "
                "or part of a plug lead",
                bus=BUS_FORM,
                form=quoted(form),
            ),
        )


def _resistive_has_rated_v(load: Sound) -> Iterator[Fault]:
    if load.get("behaviour") == "resistive" and not load.states("rated_v"):
        message = _("a resistive load needs the voltage at which it takes its peak power (rated_v)")
        yield Fault(pointer="rated_v", message=message)


class LoadRecord(Record):
    makes = Load
    rules = (
        in_order("typical_w", "peak_w", N_("the typical power"), N_("the peak power"), "W"),
        _cut_lead_needs_wire,
        _resistive_has_rated_v,
    )
    id = Id(N_("the id of the load"))
    name = Words(N_("the name of the load"), blank=True, load_default="")
    place = Id(N_("the place of the load"))
    needs = One(N_("what the load needs"), NeedsRecord)
    peak_w = Quantity(N_("the peak power"), ranges.PEAK_W)
    typical_w = Quantity(N_("the typical power while on"), ranges.TYPICAL_W)
    hours_per_day = Quantity(N_("the hours a day that the load is on"), ranges.HOURS_A_DAY)
    lead = Variant(N_("the lead"), {"supplied": SuppliedLeadRecord, "cut": CutLeadRecord})
    switch = Flag(N_("whether the load is switched (switch)"), load_default=False, written=True)
    own_circuit = Flag(N_("whether the load has its own circuit (own_circuit)"), load_default=False, written=True)
    drop_pct = Quantity(N_("the drop allowed for the load"), ranges.DROP_PCT, load_default=None)
    brick = One(N_("the mains adapter of the load (brick)"), BrickRecord, load_default=None)
    behaviour = Choice(N_("the behaviour of the load"), ("constant_power", "resistive"), load_default="constant_power")
    rated_v = Quantity(N_("the voltage at which the load takes its peak power"), ranges.SUPPLY_V, load_default=None)
    max_fuse_a = Quantity(N_("the largest fuse that the load allows"), ranges.CURRENT_A, load_default=None)
    critical = Choice(N_("what depends on the load (critical)"), CRITICAL, load_default=None)
    keeps_supply = Flag(N_("whether the load keeps its own supply (keeps_supply)"), load_default=False)


class LimitsRecord(Record):
    makes = Limits
    drop_pct = Quantity(N_("the drop allowed"), ranges.DROP_PCT)
    headroom_pct = Quantity(N_("the headroom of stages"), ranges.HEADROOM_PCT)
    autonomy_h = Quantity(N_("the autonomy"), ranges.AUTONOMY_H)
    bank_derate = Quantity(N_("the fraction of the rated capacity that is counted on"), ranges.FRACTION)
    conductor_c = Quantity(N_("the conductor temperature"), ranges.CONDUCTOR_C)
    slack_m = Quantity(N_("the slack of every cut"), ranges.SLACK_M)
    wiring_allowance_pct = Quantity(N_("the allowance for wiring losses"), ranges.ALLOWANCE_PCT)
    min_mm2 = Quantity(N_("the least conductor size"), ranges.LEAST_AREA_MM2, load_default=0.0)
    far_fault_multiple = Quantity(N_("the far fault multiple"), ranges.FAR_FAULT, load_default=0.0)
    count_circuits = Flag(N_("whether the circuits of a place count as bundled"), load_default=False)
    fuse_ratio_max = Quantity(N_("the largest fuse over design current"), ranges.FUSE_RATIO, load_default=None)
    joint_mohm = Quantity(N_("the resistance of joints"), ranges.JOINT_MOHM, load_default=0.0)
    count_joints = Flag(N_("whether joints count"), load_default=False)
    budget_cents = Whole(N_("the budget"), ranges.BUDGET_CENTS, load_default=None)
    boost_at_panel = Flag(N_("whether a converter may stand at the panel (boost_at_panel)"), load_default=False)
    panel_run_m = Quantity(N_("the length from the panel to a converter there"), ranges.PANEL_RUN_M, load_default=0.5)
    share_stages = Flag(N_("whether loads may share a chain (share_stages)"), load_default=False)


class OwnedRecord(Record):
    makes = Owned
    rules = (one_amount,)
    part = Id(N_("the part"))
    count = Whole(N_("the count"), ranges.COUNT, load_default=None)
    length_m = Quantity(N_("the length of the offcut"), ranges.STOCK_M, load_default=None)


def _places_exist(job: Sound) -> Iterator[Fault]:
    if not isinstance(job.get("places"), list) and job.states("places"):
        return  # the list itself is at fault
    known = {place["id"] for place in job.get("places", []) if place and "id" in place}
    for index, load in enumerate(job.get("loads", [])):
        place = (load or {}).get("place")
        if place is not None and place not in known:
            yield Fault(
                pointer=join("loads", str(index), "place"),
                message=_("there is no place called %(name)s", name=quoted(place)),
            )


def _bank_suits_bus(job: Sound) -> Iterator[Fault]:
    bus_v = job.get("bus", {}).get("nominal_v")
    bank_v = ((job.get("bank") or {}).get("existing") or {}).get("nominal_v")
    if bus_v is None or bank_v is None:
        return
    least, most = ranges.BANK_RATIO
    if not least <= bank_v / bus_v <= most:
        message = _(
            "the bank is %(bank)s V but the bus %(bus)s V: one of the two is wrong",
            bank=shown(bank_v),
            bus=shown(bus_v),
        )
        yield Fault(pointer="bank/existing/nominal_v", message=message)


def _something_to_feed(job: Sound) -> Iterator[Fault]:
    if job.get("places") == []:
        yield Fault(pointer="places", message=_("there is no place yet: add at least one"))
    if job.get("loads") == []:
        yield Fault(pointer="loads", message=_("there is no load yet: add at least one"))


class DraftRecord(Record):
    """A job in the making: as job/1, but places and loads may still be empty."""

    makes = Job
    rules: ClassVar[tuple[Rule, ...]] = (
        unique_ids("places", N_("place")),
        unique_ids("loads", N_("load")),
        _places_exist,
        _bank_suits_bus,
    )
    format = Format("job/1")
    title = Words(N_("the title"), blank=True)
    bus = One(N_("the bus"), BusRecord)
    bank = One(N_("the bank"), BankRecord)
    places = Many(N_("the list of places"), One(N_("a place"), PlaceRecord), most=ranges.PLACES)
    loads = Many(  # type: ignore[assignment]  # marshmallow takes fields off the class
        N_("the list of loads"), One(N_("a load"), LoadRecord), most=ranges.LOADS
    )
    limits = One(N_("the limits"), LimitsRecord, unknown=N_("the limits are missing"))
    ac = One(N_("the AC outlets"), AcRecord, load_default=None)
    owned = Many(
        N_("the stock on hand"), One(N_("an entry"), OwnedRecord), most=ranges.ENTRIES, load_default=(), written=True
    )
    assumed = Many(N_("the list of assumptions"), Words(N_("an assumption")), most=ranges.ROWS, load_default=())
    setting = Choice(N_("where the job is built (setting)"), SETTINGS, load_default=None)


class JobRecord(DraftRecord):
    rules: ClassVar[tuple[Rule, ...]] = (*DraftRecord.rules, _something_to_feed)
