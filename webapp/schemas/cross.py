"""Faults between documents: what one names and the other lacks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Circuit, Cut, Feed, Plan

from .faults import Fault, capped, join, quoted
from .offers import amount_suits_part

_Names = Iterable[tuple[str, str | None]]  # pointer, name


def cross_faults(job: Job, catalogue: Catalogue) -> tuple[Fault, ...]:
    """Stock on hand that the catalogue does not know, or measures differently."""
    kinds: dict[str, str | None] = {part.id: part.kind for part in catalogue.parts}
    faults: list[Fault] = []
    for index, owned in enumerate(job.owned):
        entry = {"part": owned.part, "count": owned.count, "length_m": owned.length_m}
        faults.extend(fault.below(join("owned", str(index))) for fault in amount_suits_part(entry, kinds))
    return capped(faults)


def plan_faults(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[Fault, ...]:
    """What a plan names that its job or its catalogue does not have."""
    return capped(_plan_faults(job, catalogue, plan))


def _plan_faults(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[Fault]:
    circuits = {circuit.id for circuit in plan.circuits}
    for index, circuit in enumerate(plan.circuits):
        yield from _below(f"circuits/{index}", _of_circuit(job, catalogue, circuit))
    for index, feed in enumerate(plan.feeds):
        yield from _below(f"feeds/{index}", _of_feed(job, catalogue, circuits, feed))
    if plan.bank:
        names = [("part", plan.bank.part), ("kit", plan.bank.kit)]
        yield from _below("bank", _unknown(names, catalogue, "part"))
    for index, order in enumerate(plan.orders):
        yield from _unknown([(f"orders/{index}/offer", order.offer)], catalogue.offer_by_id, "offer")
        yield from _unknown([(f"orders/{index}/seller", order.seller)], catalogue.seller_by_id, "seller")
    for index, delivery in enumerate(plan.deliveries):
        yield from _unknown([(f"deliveries/{index}/seller", delivery.seller)], catalogue.seller_by_id, "seller")
    for index, cut in enumerate(plan.cuts):
        yield from _below(f"cuts/{index}", _of_cut(job, catalogue, circuits, cut))


def _of_circuit(job: Job, catalogue: Catalogue, circuit: Circuit) -> Iterator[Fault]:
    yield from _unknown([("place", circuit.place)], job.place_by_id, "place")
    yield from _unknown(_numbered("loads", circuit.loads), job.load_by_id, "load")
    parts: _Names = [
        *_numbered("cable", circuit.cable),
        ("fuse", circuit.fuse),
        ("switch", circuit.switch),
        ("holder", circuit.holder),
        ("junction", circuit.junction),
    ]
    yield from _unknown(parts, catalogue, "part")


def _of_feed(job: Job, catalogue: Catalogue, circuits: set[str], feed: Feed) -> Iterator[Fault]:
    yield from _unknown([("load", feed.load)], job.load_by_id, "load")
    yield from _unknown([("circuit", feed.circuit)], circuits, "circuit")
    parts = _numbered("stages", feed.stages)
    if feed.lead:
        parts += _numbered("lead/cable", feed.lead.cable)
    if feed.output_fuse:
        parts += [("output_fuse/fuse", feed.output_fuse.fuse), ("output_fuse/holder", feed.output_fuse.holder)]
    yield from _unknown(parts, catalogue, "part")


def _of_cut(job: Job, catalogue: Catalogue, circuits: set[str], cut: Cut) -> Iterator[Fault]:
    yield from _unknown([("part", cut.part)], catalogue, "part")
    yield from _unknown([("source/offer", cut.offer)], catalogue.offer_by_id, "offer")
    if cut.owned is not None and cut.owned >= len(job.owned):
        yield Fault(pointer="source/owned", message=f"the job owns no entry {cut.owned}")
    for index, piece in enumerate(cut.pieces):
        yield from _unknown([(f"pieces/{index}/circuit", piece.circuit)], circuits, "circuit")
        yield from _unknown([(f"pieces/{index}/lead", piece.lead)], job.load_by_id, "load")


def _numbered(prefix: str, names: Iterable[str]) -> list[tuple[str, str | None]]:
    return [(f"{prefix}/{index}", name) for index, name in enumerate(names)]


def _unknown(names: _Names, known: object, says: str) -> Iterator[Fault]:
    for pointer, name in names:
        if name is not None and name not in known:  # type: ignore[operator]
            yield Fault(pointer=pointer, message=f"there is no {says} called {quoted(name)}")


def _below(prefix: str, faults: Iterable[Fault]) -> Iterator[Fault]:
    return (fault.below(prefix) for fault in faults)
