"""cutlist/1: runs to cut and what they can be cut from. Lengths in metres, kerf, trim and offcut in millimetres."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar

from optimizer.cutting import ByTheMetre, CutLength, CutListAnswer, CutListRequest, Owned, Run, Settings, Spool
from optimizer.cutting.request import MOST_PIECES
from optimizer.units import cut_mm, stock_mm

from . import ranges
from .faults import Fault, Reading, join, quoted
from .fields import Format, Id, Quantity, Whole, Words
from .records import Many, One, Record, Rule, Sound, read
from .rules import unique_ids


class RunRecord(Record):
    makes = Run
    id = Id("the id of the run")
    length_m = Quantity("the length of the run", ranges.STOCK_M)
    quantity = Whole("how many of the run are cut (quantity)", ranges.COUNT, load_default=1, written=True)
    cables = Many("the list of cables that serve", Id("a cable"), most=ranges.ENTRIES)

    def build(self, data: Mapping[str, Any]) -> Run:
        cables = tuple(data["cables"])
        return Run(id=data["id"], length_mm=cut_mm(data["length_m"]), cables=cables, quantity=data["quantity"])


class SpoolRecord(Record):
    makes = Spool
    id = Id("the id of the offer")
    cable = Id("the cable")
    length_m = Quantity("the length of the spool", ranges.STOCK_M)
    price_cents = Whole("the price", ranges.CENTS)
    limit = Whole("the limit", ranges.LIMIT, load_default=None)

    def build(self, data: Mapping[str, Any]) -> Spool:
        return Spool(
            offer=data["id"],
            cable=data["cable"],
            length_mm=stock_mm(data["length_m"]),
            price_cents=data["price_cents"],
            limit=data["limit"],
        )


class ByTheMetreRecord(Record):
    makes = ByTheMetre
    id = Id("the id of the offer")
    cable = Id("the cable")
    step_m = Quantity("the step", ranges.STOCK_M)
    step_cents = Whole("the price of a step", ranges.CENTS)
    limit = Whole("the limit", ranges.LIMIT, load_default=None)

    def build(self, data: Mapping[str, Any]) -> ByTheMetre:
        return ByTheMetre(
            offer=data["id"],
            cable=data["cable"],
            step_mm=stock_mm(data["step_m"]),
            step_cents=data["step_cents"],
            limit=data["limit"],
        )


class OwnedRecord(Record):
    makes = Owned
    id = Id("the id of the owned length")
    cable = Id("the cable")
    length_m = Quantity("the owned length", ranges.STOCK_M)

    def build(self, data: Mapping[str, Any]) -> Owned:
        return Owned(id=data["id"], cable=data["cable"], length_mm=stock_mm(data["length_m"]))


class SettingsRecord(Record):
    makes = Settings
    kerf_mm = Whole("the kerf", ranges.KERF_MM, load_default=0, written=True)
    trim_mm = Whole("the trim", ranges.TRIM_MM, load_default=0, written=True)
    least_offcut_mm = Whole("the least offcut worth keeping", ranges.OFFCUT_MM, load_default=0, written=True)


def _something_to_cut(request: Sound) -> Iterator[Fault]:
    runs = request.get("runs")
    if runs == []:
        yield Fault(pointer="runs", message="there is nothing to cut yet: add at least one run")
    for at, run in enumerate(runs or []):
        cables: list[str] | None = (run or {}).get("cables")
        if cables == []:
            yield Fault(pointer=join("runs", str(at), "cables"), message="name at least one cable that serves")
        for cable in sorted(cable for cable, times in Counter(cables or []).items() if times > 1):
            message = f"{quoted(cable)} is named more than once"
            yield Fault(pointer=join("runs", str(at), "cables"), message=message)
    pieces = sum((run or {}).get("quantity") or 0 for run in runs or [])
    if pieces > MOST_PIECES:
        yield Fault(pointer="runs", message=f"{pieces:,} cuts are more than one list takes; at most {MOST_PIECES:,}")


def _offers_apart(request: Sound) -> Iterator[Fault]:
    spools = {(offer or {}).get("id") for offer in request.get("spools") or []}
    for at, offer in enumerate(request.get("by_the_metre") or []):
        offer_id = (offer or {}).get("id")
        if offer_id is not None and offer_id in spools:
            message = f"{quoted(offer_id)} is already the id of a spool"
            yield Fault(pointer=join("by_the_metre", str(at), "id"), message=message)


class CutListRecord(Record):
    makes = CutListRequest
    rules: ClassVar[tuple[Rule, ...]] = (
        unique_ids("runs", "run"),
        unique_ids("spools", "spool"),
        unique_ids("by_the_metre", "offer"),
        unique_ids("owned", "owned length"),
        _offers_apart,
        _something_to_cut,
    )
    format = Format("cutlist/1")
    title = Words("the title", blank=True, load_default="")
    runs = Many("the list of runs", One("a run", RunRecord), most=ranges.ROWS)
    spools = Many("the list of spools", One("a spool", SpoolRecord), most=ranges.ROWS, load_default=())
    by_the_metre = Many("the list of offers", One("an offer", ByTheMetreRecord), most=ranges.ENTRIES, load_default=())
    owned = Many("the list of owned lengths", One("an owned length", OwnedRecord), most=ranges.ENTRIES, load_default=())
    settings = One("the settings", SettingsRecord, load_default=None)

    def build(self, data: Mapping[str, Any]) -> CutListRequest:
        built = self._built(data)
        return CutListRequest(
            runs=built["runs"],
            spools=built["spools"],
            by_the_metre=built["by_the_metre"],
            owned=built["owned"],
            settings=built["settings"] or Settings(),
        )


_CUTLIST = CutListRecord()


def read_cutlist(document: object) -> Reading[CutListRequest]:
    """A cutlist/1 document as a value, or all its faults. Never raises."""
    return read(_CUTLIST, document)


def dump_cuts(answer: CutListAnswer) -> dict[str, Any]:
    """The cuts/1 document of an answer."""
    return {
        "format": "cuts/1",
        "status": answer.status,
        "total_cents": answer.total_cents,
        "bound_cents": answer.bound_cents,
        "fewest_lengths": answer.fewest_lengths,
        "longest_rest": answer.longest_rest,
        "purchases": [
            {"offer": p.offer, "cable": p.cable, "quantity": p.quantity, "price_cents": p.price_cents}
            for p in answer.purchases
        ],
        "lengths": [_length(length) for length in answer.lengths],
        "reasons": list(answer.reasons),
    }


def _length(length: CutLength) -> dict[str, Any]:
    return {
        "source": length.source,
        "id": length.id,
        "unit": length.unit,
        "cable": length.cable,
        "length_m": length.length_mm / 1000,
        "cuts": [{"run": cut.run, "number": cut.number, "length_m": cut.length_mm / 1000} for cut in length.cuts],
        "rest_m": length.rest_mm / 1000,
        "keep": length.keep,
    }
