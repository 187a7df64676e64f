"""Circuits, feeds and fuses in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Fuse, Stage
from optimizer.job import Job
from optimizer.plan import Circuit, Feed, Plan
from webapp.present.cuts import cable_words, run_v
from webapp.present.holds import circuit_words
from webapp.present.words import figure, listed, metres, quantity
from webapp.texts import N_, _, bound

AT_PANEL = N_("to the converter at the panel")


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
    run: str  # length of its cut, and where that ends where it is not the place
    cable: str
    onward: str  # the run behind a converter at the panel
    fuse: str
    way: str
    switch: str
    junction: str
    design: str
    ends_at: str  # what its settled voltage is that of
    at_end: str
    drop: str
    feeds: tuple[FeedView, ...]
    holds: tuple[str, ...]

    @property
    def brief(self) -> str:
        """Loads, cable and fuse in one line."""
        loads = listed([feed.load for feed in self.feeds])
        return _("%(loads)s on %(cable)s, fuse %(fuse)s", loads=loads, cable=self.cable, fuse=self.fuse)


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
    ways = ways_of(catalogue, plan)
    return tuple(_circuit(job, catalogue, plan, circuit, ways[circuit.id]) for circuit in plan.circuits)


def _circuit(job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit, way: str) -> CircuitView:
    feeds = {feed.load: feed for feed in plan.feeds}
    hosts_first = sorted((feeds[load] for load in circuit.loads), key=lambda feed: feed.shares is not None)
    fuse = catalogue.get(Fuse, circuit.fuse)
    return CircuitView(
        id=circuit.id,
        place=job.place_by_id[circuit.place].label,
        run=metres(circuit.cut_mm) + (f", {_(AT_PANEL)}" if _is_boosted(plan, circuit) else ""),
        cable=cable_words(catalogue, circuit.cable),
        onward=next((_onward(catalogue, feed) for feed in hosts_first if feed.run is not None), ""),
        fuse=quantity(fuse.rating_a, "A"),
        way=way,
        switch=bound(catalogue.part(circuit.switch).label) if circuit.switch else "",
        junction=bound(catalogue.part(circuit.junction).label) if circuit.junction else "",
        design=quantity(circuit.design_a, "A"),
        ends_at=_("At the converter") if _is_boosted(plan, circuit) else _("At the place"),
        at_end=quantity(circuit.settled.place_v, "V", 4),
        drop=quantity(circuit.settled.drop_v, "V"),
        feeds=tuple(feed_view(job, catalogue, feed) for feed in hosts_first),
        holds=circuit_words(job, plan, circuit),
    )


def _onward(catalogue: Catalogue, feed: Feed) -> str:
    assert feed.run is not None
    volts = quantity(run_v(catalogue, feed), "V")
    return _(
        "%(cable)s, cut %(length)s, carries %(volts)s",
        cable=cable_words(catalogue, feed.run.cable),
        length=metres(feed.run.cut_mm),
        volts=volts,
    )


def outlet_feeds(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[FeedView, ...]:
    """Loads that stay on the existing outlets."""
    return tuple(feed_view(job, catalogue, feed) for feed in plan.feeds if feed.source == "ac")


def feed_view(job: Job, catalogue: Catalogue, feed: Feed) -> FeedView:
    load = job.load_by_id[feed.load]
    if feed.source == "ac":
        words = _(
            "%(load)s: stays on the inverter's outlet with the mains adapter it has. Nothing to buy.", load=load.label
        )
        return FeedView(load=load.label, words=words, chain=(), lead="")
    if feed.shares:
        host = job.load_by_id[feed.shares].label
        words = _(
            "%(load)s: fed by the converter of %(host)s, from another of its outlets.", load=load.label, host=host
        )
        return FeedView(load=load.label, words=words, chain=(), lead=_lead(catalogue, feed))
    chain = _chain(job, catalogue, feed)
    how = _how(job, catalogue, feed) if chain else _("fed straight from the panel.")
    return FeedView(
        load=load.label,
        words=f"{load.label}: {how}",
        chain=chain,
        lead=_lead(catalogue, feed),
    )


def _how(job: Job, catalogue: Catalogue, feed: Feed) -> str:
    """How a feed with stages begins; where they stand at the panel, up to the place."""
    if feed.run is None:
        return _("fed through")
    place = job.place_by_id[job.load_by_id[feed.load].place].label
    return _(
        "%(low)s to %(high)s at the panel, then %(length)s of %(cable)s to %(place)s",
        low=figure(job.bus.nominal_v),
        high=quantity(run_v(catalogue, feed), "V"),
        length=metres(feed.run.cut_mm),
        cable=cable_words(catalogue, feed.run.cable),
        place=place,
    )


def _chain(job: Job, catalogue: Catalogue, feed: Feed) -> tuple[str, ...]:
    """Panel to load, one name a step; nothing where there is no stage."""
    stages = [bound(catalogue.part(stage).label) for stage in feed.stages]
    if not stages:
        return ()
    if feed.run is not None:
        place = job.place_by_id[job.load_by_id[feed.load].place].label
        stages[: feed.panel_stages] = [_("%(part)s, at the panel", part=stage) for stage in stages[: feed.panel_stages]]
        stages.insert(feed.panel_stages, _("%(length)s to %(place)s", length=metres(feed.run.cut_mm), place=place))
    return (_("circuit %(name)s", name=feed.circuit), *stages, job.load_by_id[feed.load].label)


def _is_boosted(plan: Plan, circuit: Circuit) -> bool:
    """Whether a circuit only reaches a converter at the panel."""
    return any(feed.run is not None for feed in plan.feeds if feed.circuit == circuit.id)


def _lead(catalogue: Catalogue, feed: Feed) -> str:
    if feed.lead is None:
        return _("the lead it came with")
    return _(
        "lead cut from %(cable)s, %(length)s",
        cable=cable_words(catalogue, feed.lead.cable),
        length=metres(feed.lead.cut_mm),
    )


def ways_of(catalogue: Catalogue, plan: Plan) -> dict[str, str]:
    """Where each circuit's fuse sits: a way of the panel, or a holder of its own."""
    ways, used = {}, 0
    for circuit in plan.circuits:
        if circuit.holder:
            ways[circuit.id] = _("in-line: %(holder)s", holder=bound(catalogue.part(circuit.holder).label))
        else:
            used += 1
            ways[circuit.id] = _("free way %(number)s", number=used)
    return ways


def fuse_rows(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[FuseRow, ...]:
    """The fuse schedule, a row per circuit."""
    ways = ways_of(catalogue, plan)
    return tuple(_fuse_row(job, catalogue, plan, circuit, ways[circuit.id]) for circuit in plan.circuits)


def _fuse_row(job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit, way: str) -> FuseRow:
    fuse = catalogue.get(Fuse, circuit.fuse)
    loads = [job.load_by_id[load].label for load in circuit.loads]
    return FuseRow(
        circuit=circuit.id,
        way=way,
        rating=quantity(fuse.rating_a, "A"),
        part=bound(fuse.label),
        breaks=quantity(fuse.interrupt_a, "A", 6),
        cable=cable_words(catalogue, circuit.cable) + (f", {_(AT_PANEL)}" if _is_boosted(plan, circuit) else ""),
        feeds=f"{listed(loads)}, {job.place_by_id[circuit.place].label}",
    )


def output_fuse_rows(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """Fuses behind converters that do not limit their own output."""
    return tuple(_output_fuse(job, catalogue, feed) for feed in plan.feeds if feed.output_fuse)


def _output_fuse(job: Job, catalogue: Catalogue, feed: Feed) -> str:
    assert feed.output_fuse is not None
    names = {
        "load": job.load_by_id[feed.load].label,
        "fuse": bound(catalogue.part(feed.output_fuse.fuse).label),
        "holder": bound(catalogue.part(feed.output_fuse.holder).label),
    }
    if _is_guarded_at_panel(catalogue, feed):
        return _("%(load)s: %(fuse)s in %(holder)s, right behind the converter at the panel.", **names)
    return _("%(load)s: %(fuse)s in %(holder)s, right behind the converter.", **names)


def _is_guarded_at_panel(catalogue: Catalogue, feed: Feed) -> bool:
    """Whether the last converter, which the output fuse stands behind, is at the panel."""
    behind = feed.stages[feed.panel_stages :]
    return feed.run is not None and all(catalogue.get(Stage, stage).out_v is None for stage in behind)
