"""Circuits, feeds and fuses in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Fuse
from optimizer.job import Job, Load
from optimizer.plan import Circuit, Feed, Plan
from webapp.present.cuts import cable_words
from webapp.present.words import listed, metres, quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedView:
    load: str
    words: str
    chain: tuple[str, ...]  # panel to load, one name a step
    lead: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitView:
    id: str
    place: str
    run: str
    cable: str
    fuse: str
    way: str
    switch: str
    junction: str
    design: str
    at_place: str
    drop: str
    feeds: tuple[FeedView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FuseRow:
    circuit: str
    way: str
    rating: str
    part: str
    breaks: str
    cable: str
    feeds: str


def circuit_views(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[CircuitView, ...]:
    ways = _ways(catalogue, plan)
    return tuple(_circuit(job, catalogue, plan, circuit, ways[circuit.id]) for circuit in plan.circuits)


def _circuit(job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit, way: str) -> CircuitView:
    feeds = {feed.load: feed for feed in plan.feeds}
    fuse = catalogue.get(Fuse, circuit.fuse)
    return CircuitView(
        id=circuit.id,
        place=job.place_by_id[circuit.place].label,
        run=metres(circuit.cut_mm),
        cable=cable_words(catalogue, circuit.cable),
        fuse=quantity(fuse.rating_a, "A"),
        way=way,
        switch=catalogue.part(circuit.switch).label if circuit.switch else "",
        junction=catalogue.part(circuit.junction).label if circuit.junction else "",
        design=quantity(circuit.design_a, "A"),
        at_place=quantity(circuit.settled.place_v, "V", 4),
        drop=quantity(circuit.settled.drop_v, "V"),
        feeds=tuple(feed_view(job, catalogue, plan, feeds[load]) for load in circuit.loads),
    )


def outlet_feeds(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[FeedView, ...]:
    """Loads that stay on the existing outlets."""
    return tuple(feed_view(job, catalogue, plan, feed) for feed in plan.feeds if feed.source == "ac")


def feed_view(job: Job, catalogue: Catalogue, plan: Plan, feed: Feed) -> FeedView:
    load = job.load_by_id[feed.load]
    place = job.place_by_id[load.place].label
    if feed.source == "ac":
        words = f"{load.label}: stays on the inverter's outlet with the mains adapter it has. Nothing to buy."
        return FeedView(
            load=load.label, words=words, chain=("inverter outlet", "its mains adapter", load.label), lead=""
        )
    stages = [catalogue.part(stage).label for stage in feed.stages]
    return FeedView(
        load=load.label,
        words=_words(load, place, stages, _companions(job, plan, feed), feed.circuit or ""),
        chain=(f"circuit {feed.circuit}", *stages, load.label),
        lead=_lead(catalogue, feed),
    )


def _words(load: Load, place: str, stages: list[str], companions: list[str], circuit: str) -> str:
    how = f"fed through {listed(stages)}" if stages else "fed straight from the panel"
    shared = f"shared with {_few(companions)}" if companions else "which it has to itself"
    return f"{load.label}: {how}, at {place}, on circuit {circuit}, {shared}."


def _few(names: list[str]) -> str:
    return listed(names) if len(names) <= 3 else f"{len(names)} others"


def _companions(job: Job, plan: Plan, feed: Feed) -> list[str]:
    circuit = next(each for each in plan.circuits if each.id == feed.circuit)
    return [job.load_by_id[load].label for load in circuit.loads if load != feed.load]


def _lead(catalogue: Catalogue, feed: Feed) -> str:
    if feed.lead is None:
        return "the lead it came with"
    return f"lead cut from {cable_words(catalogue, feed.lead.cable)}, {metres(feed.lead.cut_mm)}"


def _ways(catalogue: Catalogue, plan: Plan) -> dict[str, str]:
    """Where each circuit's fuse sits: a way of the panel, or a holder of its own."""
    ways, used = {}, 0
    for circuit in plan.circuits:
        if circuit.holder:
            ways[circuit.id] = f"in-line: {catalogue.part(circuit.holder).label}"
        else:
            used += 1
            ways[circuit.id] = f"free way {used}"
    return ways


def fuse_rows(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[FuseRow, ...]:
    """The fuse schedule, a row per circuit."""
    ways = _ways(catalogue, plan)
    return tuple(_fuse_row(job, catalogue, circuit, ways[circuit.id]) for circuit in plan.circuits)


def _fuse_row(job: Job, catalogue: Catalogue, circuit: Circuit, way: str) -> FuseRow:
    fuse = catalogue.get(Fuse, circuit.fuse)
    loads = [job.load_by_id[load].label for load in circuit.loads]
    return FuseRow(
        circuit=circuit.id,
        way=way,
        rating=quantity(fuse.rating_a, "A"),
        part=fuse.label,
        breaks=quantity(fuse.interrupt_a, "A", 6),
        cable=cable_words(catalogue, circuit.cable),
        feeds=f"{listed(loads)}, {job.place_by_id[circuit.place].label}",
    )


def output_fuse_rows(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """Fuses behind converters that do not limit their own output."""
    return tuple(
        f"{job.load_by_id[feed.load].label}: {catalogue.part(feed.output_fuse.fuse).label} in "
        f"{catalogue.part(feed.output_fuse.holder).label}, right behind the converter."
        for feed in plan.feeds
        if feed.output_fuse
    )
