"""Does every id in the plan name something? Without that nothing else can be judged."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import BankKit, Battery, Cable, Catalogue, Fuse, Holder, Junction, Part, Stage, Switch
from optimizer.checks import rules
from optimizer.checks.verdict import claim
from optimizer.job import Job
from optimizer.plan import Check, Circuit, Cut, Feed, Plan

_PLAN = "plan"


def check_references(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[Check, ...]:
    """One line if all is known; else one that fails for each id that is not."""
    unknown = tuple(_unknown(job, catalogue, plan))
    if not unknown:
        return (claim(rules.REFERENCES, _PLAN, True, "every part, offer, place, load and circuit named is known"),)
    return tuple(claim(rules.REFERENCES, subject, False, text) for subject, text in unknown)


def _unknown(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[tuple[str, str]]:
    circuit_ids = [circuit.id for circuit in plan.circuits]
    for twice in sorted({i for i in circuit_ids if circuit_ids.count(i) > 1}):
        yield f"circuit {twice}", "two circuits have this id"
    for circuit in plan.circuits:
        yield from _of_circuit(job, catalogue, circuit)
    for feed in plan.feeds:
        yield from _of_feed(job, catalogue, feed, circuit_ids)
    yield from _of_bank(job, catalogue, plan)
    yield from _of_purchases(catalogue, plan)
    for cut in plan.cuts:
        yield from _of_cut(job, catalogue, cut, circuit_ids)


def _parts(catalogue: Catalogue, subject: str, kind: type[Part], *part_ids: str | None) -> Iterator[tuple[str, str]]:
    for part_id in part_ids:
        if part_id is not None and not (part_id in catalogue and isinstance(catalogue.part(part_id), kind)):
            yield subject, f"the catalogue has no {kind.kind} {part_id!r}"


def _of_circuit(job: Job, catalogue: Catalogue, circuit: Circuit) -> Iterator[tuple[str, str]]:
    subject = f"circuit {circuit.id}"
    if circuit.place not in job.place_by_id:
        yield subject, f"the job has no place {circuit.place!r}"
    for load in circuit.loads:
        if load not in job.load_by_id:
            yield subject, f"the job has no load {load!r}"
    if not circuit.cable:
        yield subject, "no cable is named"
    yield from _parts(catalogue, subject, Cable, *circuit.cable)
    yield from _parts(catalogue, subject, Fuse, circuit.fuse)
    yield from _parts(catalogue, subject, Switch, circuit.switch)
    yield from _parts(catalogue, subject, Holder, circuit.holder)
    yield from _parts(catalogue, subject, Junction, circuit.junction)


def _of_feed(job: Job, catalogue: Catalogue, feed: Feed, circuit_ids: list[str]) -> Iterator[tuple[str, str]]:
    subject = f"load {feed.load}"
    if feed.load not in job.load_by_id:
        yield subject, "the job has no such load"
    if feed.circuit is not None and feed.circuit not in circuit_ids:
        yield subject, f"the plan has no circuit {feed.circuit!r}"
    yield from _parts(catalogue, subject, Stage, *feed.stages)
    if feed.lead and not feed.lead.cable:
        yield subject, "no cable is named for the lead"
    if feed.lead:
        yield from _parts(catalogue, subject, Cable, *feed.lead.cable)
    if feed.run and not feed.run.cable:
        yield subject, "no cable is named for the run"
    if feed.run:
        yield from _parts(catalogue, subject, Cable, *feed.run.cable)
    if feed.shares is not None and feed.shares not in job.load_by_id:
        yield subject, f"the job has no load {feed.shares!r} to share with"
    if feed.output_fuse:
        yield from _parts(catalogue, subject, Fuse, feed.output_fuse.fuse)
        yield from _parts(catalogue, subject, Holder, feed.output_fuse.holder)


def _of_bank(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[tuple[str, str]]:
    if plan.bank is None:
        yield "bank", "the plan names no bank"
        return
    yield from _parts(catalogue, "bank", Battery, plan.bank.part)
    yield from _parts(catalogue, "bank", BankKit, plan.bank.kit)
    if plan.bank.part is None and job.bank.existing is None:
        yield "bank", "there is no existing bank to keep"


def _of_purchases(catalogue: Catalogue, plan: Plan) -> Iterator[tuple[str, str]]:
    for order in plan.orders:
        if order.offer not in catalogue.offer_by_id:
            yield f"order {order.offer}", "the catalogue has no such offer"
    for seller in [*(order.seller for order in plan.orders), *(d.seller for d in plan.deliveries)]:
        if seller not in catalogue.seller_by_id:
            yield f"seller {seller}", "the catalogue has no such seller"


def _of_cut(job: Job, catalogue: Catalogue, cut: Cut, circuit_ids: list[str]) -> Iterator[tuple[str, str]]:
    subject = f"cable {cut.part}"
    yield from _parts(catalogue, subject, Cable, cut.part)
    if cut.offer is not None and cut.offer not in catalogue.offer_by_id:
        yield subject, f"the catalogue has no offer {cut.offer!r}"
    if cut.owned is not None and not 0 <= cut.owned < len(job.owned):
        yield subject, f"the job owns no stock number {cut.owned}"
    for piece in cut.pieces:
        if piece.circuit is not None and piece.circuit not in circuit_ids:
            yield subject, f"the plan has no circuit {piece.circuit!r}"
        for load in (piece.lead, piece.run):
            if load is not None and load not in job.load_by_id:
                yield subject, f"the job has no load {load!r}"
