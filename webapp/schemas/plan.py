"""plan/1: the one definition of what a plan says. A plan may carry more than is known here; that is left alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import post_dump

from optimizer.plan import (
    Alternative,
    Binding,
    Change,
    Check,
    Circuit,
    Cut,
    Delivery,
    Energy,
    Feed,
    FeedLead,
    Hold,
    Order,
    OutputFuse,
    Piece,
    Plan,
    PlanBank,
    Reason,
    Settled,
    WayOut,
)
from webapp.texts import N_

from . import ranges
from .faults import Fault
from .fields import Choice, Flag, Format, Id, Person, Quantity, Scalar, Whole, Words
from .records import Many, One, Record, Sound


def _ids(says: str) -> Many:
    return Many(says, Id("an id"), most=ranges.ENTRIES)


def _or_null(says: str) -> Id:
    return Id(says, allow_none=True)


def _sentence(says: str, **kwargs: Any) -> Words:
    return Words(says, most=ranges.SENTENCE_CHARS, blank=True, **kwargs)


class PlanPart(Record):
    lenient = True


class HoldRecord(PlanPart):
    makes = Hold
    field = Words("the figure")
    most = Quantity("how far it may go", ranges.FROM_ZERO)
    rule = Words("the rule that stops it")


def _holds() -> Many:
    return Many("how far its figures hold", One("a figure", HoldRecord), most=ranges.ENTRIES, load_default=())


class SettledRecord(PlanPart):
    makes = Settled
    place_v = Quantity("the voltage at the place", ranges.FROM_ZERO)
    current_a = Quantity("the current", ranges.FROM_ZERO)
    drop_v = Quantity("the drop", ranges.ANY)


class CircuitRecord(PlanPart):
    makes = Circuit
    id = Id("the id of the circuit")
    place = Id("the place")
    loads = _ids("the list of loads")  # type: ignore[assignment]  # marshmallow takes fields off the class
    cable = _ids("the cable")
    cut_mm = Whole("the cut", ranges.FROM_ZERO)
    fuse = Id("the fuse")
    switch = _or_null("the switch")
    holder = _or_null("the holder")
    floor_v = Quantity("the floor", ranges.FROM_ZERO)
    design_a = Quantity("the design current", ranges.FROM_ZERO)
    settled = One("the settled voltage", SettledRecord)
    junction = Id("the junction", load_default=None)
    run_m = Quantity("the length of its run", ranges.FROM_ZERO, load_default=None)
    holds = _holds()


class FeedLeadRecord(PlanPart):
    makes = FeedLead
    cable = _ids("the cable")
    cut_mm = Whole("the cut", ranges.FROM_ZERO)


class OutputFuseRecord(PlanPart):
    makes = OutputFuse
    fuse = Id("the output fuse")
    holder = Id("its holder")


class FeedRecord(PlanPart):
    makes = Feed
    load = Id("the load")  # type: ignore[assignment]
    source = Choice("the source", ("bus", "ac"))
    circuit = _or_null("the circuit")
    stages = _ids("the list of stages")
    lead = One("the lead", FeedLeadRecord, allow_none=True)
    output_fuse = One("the output fuse", OutputFuseRecord, load_default=None)
    panel_stages = Whole("the number of stages at the panel", ranges.FROM_ZERO, load_default=0)
    run = One("the run behind the stages at the panel", FeedLeadRecord, load_default=None)
    shares = Id("the load whose stages it shares", load_default=None)
    holds = _holds()


def _bought_is_named(bank: Sound) -> Iterator[Fault]:
    if bank.get("keep") is False and not bank.states("part"):
        yield Fault(pointer="part", message="a bank that is not kept names the battery to buy (part)")


class BankRecord(PlanPart):
    """A kept bank is `{keep: true, ...}`; a bought one names its battery."""

    makes = PlanBank
    rules = (_bought_is_named,)
    keep = Flag("whether the bank is kept", load_default=False)
    part = Id("the battery", load_default=None)
    series = Whole("the number in series", ranges.SERIES_PARALLEL, load_default=1, written=True)
    parallel = Whole("the number in parallel", ranges.SERIES_PARALLEL, load_default=1, written=True)
    average_w = Quantity("the average power", ranges.FROM_ZERO)
    available_w = Quantity("the average power available", ranges.FROM_ZERO)
    kit = Id("the bank kit", load_default=None)
    holds = _holds()

    @post_dump
    def _kept(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        if not data.get("keep"):
            return data
        return {name: value for name, value in data.items() if name not in ("part", "series", "parallel")}


class OrderRecord(PlanPart):
    makes = Order
    offer = Id("the offer")
    seller = Id("the seller")
    quantity = Whole("the quantity", ranges.COUNT)
    cents = Whole("the price", ranges.CENTS)


class DeliveryRecord(PlanPart):
    makes = Delivery
    seller = Id("the seller")
    goods_cents = Whole("the goods", ranges.CENTS)
    cents = Whole("the price of delivery", ranges.CENTS)


def _one_purpose(piece: Sound) -> Iterator[Fault]:
    if sum(piece.states(name) for name in ("circuit", "lead", "run")) != 1:
        message = "a piece is for a circuit, for the lead of a load or for the run behind it, one of the three"
        yield Fault(pointer="", message=message)


class PieceRecord(PlanPart):
    makes = Piece
    rules = (_one_purpose,)
    circuit = Id("the circuit", load_default=None)
    lead = Id("the load whose lead it is", load_default=None)
    run = Id("the load whose run it is", load_default=None)
    mm = Whole("the length", ranges.FROM_ZERO)


def _one_source(source: Sound) -> Iterator[Fault]:
    if source.states("offer") == source.states("owned"):
        yield Fault(pointer="", message="a cut comes from an offer or from owned stock, one of the two")


class SourceRecord(PlanPart):
    """Where a cut comes from; a part of the cut's own value."""

    makes = dict
    rules = (_one_source,)
    owned = Whole("the entry of the stock on hand", ranges.WAYS, load_default=None)
    offer = Id("the offer", load_default=None)
    unit = Whole("the spool", ranges.LIMIT, load_default=None)


class CutRecord(PlanPart):
    makes = Cut
    part = Id("the cable")
    source = One("the source of the cut", SourceRecord)
    stock_mm = Whole("the length in stock", ranges.FROM_ZERO)
    pieces = Many("the list of pieces", One("a piece", PieceRecord), most=ranges.ENTRIES)
    left_mm = Whole("what is left", ranges.FROM_ZERO)

    def get_attribute(self, obj: Any, attr: str, default: Any) -> Any:
        return obj if attr == "source" else super().get_attribute(obj, attr, default)

    def build(self, data: Mapping[str, Any]) -> Cut:
        built = self._built(data)
        return Cut(**built.pop("source"), **built)


class EnergyRecord(PlanPart):
    makes = Energy
    average_w = Quantity("the average power", ranges.FROM_ZERO)
    today_average_w = Quantity("the average power today", ranges.FROM_ZERO, load_default=None, written=True)


class CheckRecord(PlanPart):
    makes = Check
    rule = Words("the rule")
    subject = _sentence("the subject")
    value = Quantity("the value", ranges.ANY, allow_none=True)
    limit = Quantity("the limit", ranges.ANY, allow_none=True)
    unit = Words("the unit", blank=True)
    state = Choice("the state", ("holds", "tight", "fails", "not_checked"))
    margin = Quantity("the margin", ranges.ANY, allow_none=True)
    source = _sentence("the source")
    formula = _sentence("the formula", load_default="")


class ReasonRecord(PlanPart):
    makes = Reason
    subject = _sentence("the subject")
    text = _sentence("the reason")
    rule = Words("the rule", blank=True, load_default="")
    together = Many("the limits that cannot all hold", Words("a limit"), most=ranges.ENTRIES, load_default=())


class ChangeRecord(PlanPart):
    makes = Change
    pointer = Words("where the job changes")
    value = Scalar("the value", allow_none=True)


class WayOutRecord(PlanPart):
    makes = WayOut
    text = _sentence("the way out")
    limit = Words("the limit that gives")
    change = Many("the list of changes", One("a change", ChangeRecord), most=ranges.ENTRIES)
    total_cents = Whole("the total", ranges.FROM_ZERO)
    bound_cents = Whole("the proven bound", ranges.ANY, allow_none=True)
    status = Choice("the status", ("optimal", "feasible"))
    least = Flag("whether less would not do (least)", load_default=False)
    uncounted = _sentence("what the total leaves out", load_default="")


class BindingRecord(PlanPart):
    makes = Binding
    text = _sentence("the limit in words")
    limit = Words("the limit")
    change = Many("the list of changes", One("a change", ChangeRecord), most=ranges.ENTRIES)
    total_cents = Whole("the total", ranges.FROM_ZERO, allow_none=True)
    saves_cents = Whole("what it saves", ranges.ANY)
    bound_cents = Whole("the proven bound", ranges.ANY, allow_none=True)
    status = Choice("the status", ("optimal", "feasible", "infeasible"))


class AlternativeRecord(PlanPart):
    makes = Alternative
    subject = Words("whose choice")
    chosen = _sentence("what was chosen")
    other = _sentence("what else there is")
    text = _sentence("why it was not chosen")
    why = Words("the reason in a word")
    more_cents = Whole("what it costs more", ranges.ANY, allow_none=True)


ANSWERS = N_("the name of who answers for the plan")
_LATER = ("energy", "checks", "reasons", "cautions")


class PlanRecord(PlanPart):
    makes = Plan
    format = Format("plan/1")
    status = Choice("the status", ("optimal", "feasible", "infeasible", "unknown"))
    total_cents = Whole("the total", ranges.FROM_ZERO, allow_none=True)
    bound_cents = Whole("the proven bound", ranges.ANY, allow_none=True)
    circuits = Many("the list of circuits", One("a circuit", CircuitRecord), most=ranges.ROWS)
    feeds = Many("the list of feeds", One("a feed", FeedRecord), most=ranges.ROWS)
    bank = One("the bank", BankRecord, allow_none=True)
    orders = Many("the list of orders", One("an order", OrderRecord), most=ranges.ROWS)
    deliveries = Many("the list of deliveries", One("a delivery", DeliveryRecord), most=ranges.ROWS)
    cuts = Many("the list of cuts", One("a cut", CutRecord), most=ranges.ROWS)
    energy = One("the energy", EnergyRecord, load_default=None, written=True)
    checks = Many("the list of checks", One("a check", CheckRecord), most=ranges.ROWS, load_default=(), written=True)
    reasons = Many(
        "the list of reasons", One("a reason", ReasonRecord), most=ranges.ROWS, load_default=(), written=True
    )
    cautions = Many("the list of cautions", _sentence("a caution"), most=ranges.ENTRIES, load_default=(), written=True)

    ways_out = Many("the list of ways out", One("a way out", WayOutRecord), most=ranges.ENTRIES, load_default=())
    binding = Many("what limits cost", One("a limit", BindingRecord), most=ranges.ENTRIES, load_default=())
    alternatives = Many("why these parts", One("an alternative", AlternativeRecord), most=ranges.ROWS, load_default=())
    untried = Many("the list of ways out not tried", _sentence("a way out"), most=ranges.ENTRIES, load_default=())
    answered_by = Person(ANSWERS, load_default=None)

    @post_dump
    def _all_or_none(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """The fields that a bare plan lacks are written together, so that who reads one finds the others."""
        if any(data[name] for name in _LATER):
            return data
        return {name: value for name, value in data.items() if name not in _LATER}
