"""catalogue/1: the one definition of what a catalogue may say."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import (
    BankKit,
    Battery,
    Cable,
    Catalogue,
    Consumable,
    Content,
    Fuse,
    Holder,
    Junction,
    Offer,
    Seller,
    Stage,
    Switch,
    Terminal,
)

from . import ranges
from .faults import Fault, shown
from .fields import Choice, Flag, Form, Format, Id, Quantity, Whole, Words
from .offers import consumables_agree, offers_hold_known_parts, sellers_exist
from .records import Many, One, Record, Sound, Variant
from .rules import in_order, one_amount, unique_ids

CHEMISTRIES = ("lithium", "lead-acid", "agm", "gel", "nickel", "sodium")


class SellerRecord(Record):
    makes = Seller
    id = Id("the id of the seller")
    name = Words("the name of the seller")
    delivery_cents = Whole("the price of delivery", ranges.CENTS)
    free_over_cents = Whole("the amount above which delivery is free", ranges.CENTS, load_default=None)
    lead_days = Whole("the delivery time", ranges.DAYS, load_default=0, written=True)


class PartRecord(Record):
    """What every part has."""

    id = Id("the id of the part")
    name = Words("the name of the part", blank=True, load_default="")


def _pass_through_is_lossless(stage: Sound) -> Iterator[Fault]:
    if stage.get("out_v", 0) is not None:
        return
    if stage.get("efficiency", 1) != 1:
        message = "a stage that passes its input voltage through (out_v null) has an efficiency of 1"
        yield Fault(pointer="efficiency", message=message)
    if stage.get("idle_w", 0) != 0:
        message = "a stage that passes its input voltage through (out_v null) draws nothing itself: idle_w is 0"
        yield Fault(pointer="idle_w", message=message)


class StageRecord(PartRecord):
    makes = Stage
    rules = (in_order("in_min_v", "in_max_v", "the least", "the highest input voltage", "V"), _pass_through_is_lossless)
    kind = Choice("the kind", ("stage",))
    in_form = Form("the form of supply at the input")
    in_min_v = Quantity("the least input voltage", ranges.TOLERATED_V)
    in_max_v = Quantity("the highest input voltage", ranges.TOLERATED_V)
    out_form = Form("the form of supply at the output")
    out_v = Quantity("the output voltage", ranges.SUPPLY_V, allow_none=True)
    max_out_w = Quantity("the largest output power", ranges.PEAK_W)
    efficiency = Quantity("the efficiency", ranges.FRACTION)
    idle_w = Quantity("the idle power", ranges.IDLE_W)
    max_fuse_a = Quantity("the largest fuse before it", ranges.CURRENT_A, load_default=None)
    max_conductor_mm2 = Quantity("the largest conductor that it takes", ranges.AREA_MM2, load_default=None)
    max_in_a = Quantity("the largest input current", ranges.CURRENT_A, load_default=None)
    limits_output = Flag("whether it limits its output current (limits_output)", load_default=True)
    outlets = Whole("the number of loads that its output takes", ranges.OUTLETS, load_default=1)


def _polarity_of_singles(cable: Sound) -> Iterator[Fault]:
    if cable.get("cores") == 1 and not cable.states("polarity"):
        yield Fault(pointer="polarity", message="a single cable is positive or negative: state its polarity")
    if cable.get("cores") == 2 and cable.states("polarity"):
        yield Fault(pointer="polarity", message="a twin cable holds both conductors: it has no polarity of its own")


def _no_better_than_copper(cable: Sound) -> Iterator[Fault]:
    mm2, ohm_per_km = cable.get("mm2"), cable.get("ohm_per_km_20c")
    if mm2 is None or ohm_per_km is None or mm2 * ohm_per_km >= ranges.COPPER_OHM_MM2_PER_KM:
        return
    least = ranges.COPPER_OHM_MM2_PER_KM / mm2
    message = (
        f"{shown(ohm_per_km)} Ω/km is less than pure copper of {shown(mm2)} mm² has (about {shown(least)} Ω/km): "
        "state the resistance of one conductor at 20 °C"
    )
    yield Fault(pointer="ohm_per_km_20c", message=message)


class CableRecord(PartRecord):
    makes = Cable
    rules = (_polarity_of_singles, _no_better_than_copper)
    kind = Choice("the kind", ("cable",))
    mm2 = Quantity("the conductor size", ranges.AREA_MM2)
    cores = Choice("the number of cores", (1, 2))
    polarity = Choice("the polarity", ("positive", "negative"), load_default=None)
    ohm_per_km_20c = Quantity("the resistance of a conductor", ranges.OHM_PER_KM)
    ampacity_a = Quantity("the ampacity", ranges.CURRENT_A)
    insulation_c = Quantity("the temperature of the insulation", ranges.INSULATION_C)
    max_fuse_a = Quantity("the largest fuse for the conductor", ranges.CURRENT_A, load_default=None)


class FuseRecord(PartRecord):
    makes = Fuse
    kind = Choice("the kind", ("fuse",))
    style = Id("the fuse style")
    rating_a = Quantity("the rating", ranges.CURRENT_A)
    max_v = Quantity("the largest DC voltage", ranges.WITHSTAND_V)
    interrupt_a = Quantity("the interrupt rating", ranges.INTERRUPT_A)


class HolderRecord(PartRecord):
    makes = Holder
    kind = Choice("the kind", ("holder",))
    style = Id("the fuse style")
    max_a = Quantity("the largest current", ranges.CURRENT_A)
    max_v = Quantity("the largest DC voltage", ranges.WITHSTAND_V)


class SwitchRecord(PartRecord):
    makes = Switch
    kind = Choice("the kind", ("switch",))
    max_a = Quantity("the largest current", ranges.CURRENT_A)
    max_v = Quantity("the largest DC voltage", ranges.WITHSTAND_V)


class TerminalRecord(PartRecord):
    makes = Terminal
    rules = (in_order("mm2_min", "mm2_max", "the smallest conductor", "the largest", "mm²"),)
    kind = Choice("the kind", ("terminal",))
    mm2_min = Quantity("the smallest conductor", ranges.AREA_MM2)
    mm2_max = Quantity("the largest conductor", ranges.AREA_MM2)


class JunctionRecord(PartRecord):
    makes = Junction
    kind = Choice("the kind", ("junction",))
    max_a = Quantity("the largest current", ranges.CURRENT_A)
    max_v = Quantity("the largest DC voltage", ranges.WITHSTAND_V)
    outlets = Whole("the number of outlets", ranges.COUNT)
    mm2_max = Quantity("the largest conductor", ranges.AREA_MM2)


class ConsumableRecord(PartRecord):
    makes = Consumable
    kind = Choice("the kind", ("consumable",))
    purpose = Id("the purpose")
    per = Choice("what it is counted by (per)", ("circuit", "termination", "cut_lead", "job"))
    each = Quantity("how many of it each takes (each)", ranges.EACH)


class BatteryRecord(PartRecord):
    makes = Battery
    rules = (
        in_order("nominal_v", "high_v", "the nominal voltage", "the highest voltage", "V"),
        in_order("low_v", "high_v", "the lowest voltage", "the highest voltage", "V"),
        in_order("nominal_v", "charge_v", "the nominal voltage", "the highest charging voltage", "V"),
    )
    kind = Choice("the kind", ("battery",))
    nominal_v = Quantity("the nominal voltage", ranges.SUPPLY_V)
    capacity_ah = Quantity("the capacity", ranges.CAPACITY_AH)
    usable_fraction = Quantity("the usable share", ranges.FRACTION)
    rated_hours = Quantity("the hours at which the capacity is rated", ranges.RATED_H)
    peukert = Quantity("the Peukert exponent", ranges.PEUKERT)
    max_discharge_a = Quantity("the largest discharge current", ranges.CURRENT_A)
    low_v = Quantity("the lowest voltage under load", ranges.SUPPLY_V)
    high_v = Quantity("the highest voltage", ranges.SUPPLY_V)
    max_parallel = Whole("the most in parallel", ranges.SERIES_PARALLEL, load_default=4, written=True)
    mass_kg = Quantity("the mass", ranges.MASS_KG, load_default=0.0)
    chemistry = Choice("the chemistry", CHEMISTRIES, load_default=None)
    fault_a = Quantity("the fault current of one battery", ranges.FAULT_A, load_default=None)
    max_series = Whole("the most in series", ranges.SERIES_PARALLEL, load_default=None)
    charge_v = Quantity("the highest charging voltage", ranges.SUPPLY_V, load_default=None)


class BankKitRecord(PartRecord):
    makes = BankKit
    kind = Choice("the kind", ("bank-kit",))
    max_series = Whole("the most in series", ranges.SERIES_PARALLEL)
    max_parallel = Whole("the most in parallel", ranges.SERIES_PARALLEL)
    max_a = Quantity("the largest current", ranges.CURRENT_A)
    max_v = Quantity("the largest DC voltage", ranges.WITHSTAND_V)
    interrupt_a = Quantity("the interrupt rating", ranges.INTERRUPT_A)


class ContentRecord(Record):
    makes = Content
    rules = (one_amount,)
    part = Id("the part")
    count = Whole("the count", ranges.COUNT, load_default=None)
    length_m = Quantity("the length of the spool", ranges.STOCK_M, load_default=None)


def _holds_something(offer: Sound) -> Iterator[Fault]:
    if offer.get("contents") == []:
        yield Fault(pointer="contents", message="an offer holds at least one part")


def _step_is_one_cable(offer: Sound) -> Iterator[Fault]:
    contents, step_m = offer.get("contents"), offer.get("step_m")
    if step_m is None or not contents:
        return
    if len(contents) != 1:
        yield Fault(pointer="contents", message="an offer by the metre (step_m) holds one cable and nothing else")
        return
    length_m = (contents[0] or {}).get("length_m")
    if length_m is not None and length_m != step_m:
        message = f"an offer by the metre holds one step of {shown(step_m)} m, not {shown(length_m)} m"
        yield Fault(pointer="contents/0/length_m", message=message)


class OfferRecord(Record):
    makes = Offer
    rules = (_holds_something, _step_is_one_cable)
    id = Id("the id of the offer")
    seller = Id("the seller")
    price_cents = Whole("the price", ranges.CENTS)
    contents = Many("the list of contents", One("an entry", ContentRecord), most=ranges.ENTRIES)
    step_m = Quantity("the step of cable sold by the metre", ranges.STOCK_M, load_default=None)
    limit = Whole("the most that can be bought", ranges.LIMIT, load_default=None)


_PARTS = (
    StageRecord,
    CableRecord,
    FuseRecord,
    HolderRecord,
    SwitchRecord,
    TerminalRecord,
    JunctionRecord,
    ConsumableRecord,
    BatteryRecord,
    BankKitRecord,
)


class CatalogueRecord(Record):
    makes = Catalogue
    rules = (
        unique_ids("sellers", "seller"),
        unique_ids("parts", "part"),
        unique_ids("offers", "offer"),
        sellers_exist,
        offers_hold_known_parts,
        consumables_agree,
    )
    format = Format("catalogue/1")
    sellers = Many("the list of sellers", One("a seller", SellerRecord), most=ranges.ROWS)
    parts = Many("the list of parts", Variant("a part", {part.makes.kind: part for part in _PARTS}), most=ranges.ROWS)
    offers = Many("the list of offers", One("an offer", OfferRecord), most=ranges.ROWS)
