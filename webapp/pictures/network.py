"""The plan as a tree from the battery to the loads: what the wiring sketch draws and its table lists."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from optimizer.catalogue import Catalogue, Fuse, Stage
from optimizer.checks.facts import PlanFacts
from optimizer.job import Job, Load
from optimizer.plan import Circuit, Feed, Plan
from webapp.present.circuits import ways_of
from webapp.present.cuts import cable_words
from webapp.present.energy import arranged
from webapp.present.words import figure, form_words, metres, quantity
from webapp.texts import _, bound

Kind = Literal[
    "battery", "main", "kit", "inverter", "panel", "fuse", "switch", "junction", "converter", "plug", "load", "outlet"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """Something that stands in the way from battery to load, with the conductor that reaches it."""

    key: str  # unique in a plan
    kind: Kind
    title: str  # short, for the sketch
    part: str  # in full, for the table
    note: str = ""
    via: tuple[str, ...] = ()  # cables it is reached by, with their lengths; none where it sits on what is before it
    behind: tuple[Device, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One circuit."""

    id: str
    place: str
    first: Device


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Everything of a plan that carries current, as far as the inverter's DC terminals."""

    source: tuple[Device, ...]  # battery to panel, in order
    inverter: Device | None
    outlets: tuple[Device, ...]  # loads that stay on its outlets: named, never drawn
    lanes: tuple[Lane, ...]


def network_of(job: Job, catalogue: Catalogue, plan: Plan) -> Network:
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    ways = ways_of(catalogue, plan)
    lanes = tuple(
        Lane(
            id=circuit.id,
            place=job.place_by_id[circuit.place].label,
            first=_circuit(facts, circuit, ways[circuit.id]),
        )
        for circuit in plan.circuits
    )
    outlets = tuple(_load(job.load_by_id[feed.load], "outlet", "") for feed in plan.feeds if feed.source == "ac")
    return Network(source=_source(facts), inverter=_inverter() if outlets else None, outlets=outlets, lanes=lanes)


# from the battery to the panel


def _source(facts: PlanFacts) -> tuple[Device, ...]:
    bus = facts.job.bus
    volts = quantity(bus.nominal_v, "V")
    span = _("%(low)s to %(high)s", low=quantity(bus.low_v, "V"), high=quantity(bus.high_v, "V"))
    panel = Device(key="panel", kind="panel", title=_("Panel, %(volts)s", volts=volts), part=_("Panel"), note=span)
    main = Device(
        key="main-fuse",
        kind="main",
        title=_("Main fuse, at the battery"),
        part=_("Main fuse"),
        note=_("as installed: this plan does not size it"),
    )
    kit = facts.kit
    if kit is None:
        return (_battery(facts), main, panel)
    note = _("string fuses, links, disconnect")
    bank_kit = Device(key="bank-kit", kind="kit", title=_("Bank kit"), part=bound(kit.label), note=note)
    return (_battery(facts), bank_kit, main, panel)


def _battery(facts: PlanFacts) -> Device:
    battery, kept = facts.battery, facts.job.bank.existing
    if battery is not None:
        size = _size(facts.bank_v, battery.capacity_ah * facts.bank.parallel)
        number = facts.bank.series * facts.bank.parallel
        note = _("to buy: %(number)s × %(label)s", number=number, label=bound(battery.label))
        if number > 1:
            note = f"{note}, {arranged(facts.bank.series, facts.bank.parallel)}"
        return Device(key="battery", kind="battery", title=size, part=bound(battery.label), note=note)
    size = _size(kept.nominal_v, kept.capacity_ah) if kept else _("Battery")
    return Device(key="battery", kind="battery", title=size, part=size, note=_("the one you have"))


def _size(volts: float, capacity_ah: float) -> str:
    return _("Battery %(volts)s, %(ah)s", volts=quantity(volts, "V"), ah=quantity(capacity_ah, "Ah"))


def _inverter() -> Device:
    return Device(
        key="inverter",
        kind="inverter",
        title=_("Inverter, as installed"),
        part=_("Inverter"),
        note=_("We stop at the inverter's DC terminals."),
    )


# one circuit


def _circuit(facts: PlanFacts, circuit: Circuit, way: str) -> Device:
    feeds = [feed for feed in facts.plan.feeds if feed.circuit == circuit.id]
    hosts = [feed for feed in feeds if feed.shares is None]
    behind = tuple(_chain(facts, feed, [each for each in feeds if each.shares == feed.load]) for feed in hosts)
    via = f"{cable_words(facts.catalogue, circuit.cable)}, {metres(circuit.cut_mm)}"
    if circuit.junction or len(behind) > 1:
        behind = (_junction(facts, circuit, behind),)
    if circuit.switch:
        label = bound(facts.catalogue.part(circuit.switch).label)
        behind = (Device(key=f"{circuit.id}-switch", kind="switch", title=_("Switch"), part=label, behind=behind),)
    behind = tuple(_reached_by(device, via) for device in behind)
    fuse = facts.catalogue.get(Fuse, circuit.fuse)
    return Device(
        key=f"{circuit.id}-fuse",
        kind="fuse",
        title=_("Fuse %(rating)s, %(way)s", rating=quantity(fuse.rating_a, "A"), way=way),
        part=f"{bound(fuse.label)}, {way}",
        note=_("breaks %(breaks)s, fault %(fault)s", breaks=_amps(fuse.interrupt_a), fault=_amps(facts.fault_a)),
        behind=behind,
    )


def _junction(facts: PlanFacts, circuit: Circuit, behind: tuple[Device, ...]) -> Device:
    """Where a circuit splits: a junction, or a splice where the job does not count joints."""
    key = f"{circuit.id}-junction"
    if circuit.junction is None:
        words = _("Splice, not in the parts list")
        return Device(key=key, kind="junction", title=words, part=words, behind=behind)
    label = bound(facts.catalogue.part(circuit.junction).label)
    return Device(key=key, kind="junction", title=_("Junction"), part=label, behind=behind)


def _amps(current_a: float) -> str:
    return quantity(current_a, "A", 6)


def _chain(facts: PlanFacts, feed: Feed, guests: list[Feed]) -> Device:
    """The stages of a feed and what is plugged into them, panel to load."""
    behind = tuple(_at_the_end(facts, each) for each in (feed, *guests))
    if not feed.stages:
        return behind[0]
    last = _last_fixing(facts.catalogue, feed)
    for position in reversed(range(len(feed.stages))):
        if feed.output_fuse and position == last:
            behind = (_output_fuse(facts, feed, behind),)
        if feed.run and position == feed.panel_stages - 1:
            via = f"{cable_words(facts.catalogue, feed.run.cable)}, {metres(feed.run.cut_mm)}"
            behind = tuple(_reached_by(device, via) for device in behind)
        behind = (_stage(facts, feed, position, behind),)
    return behind[0]


def _reached_by(device: Device, via: str) -> Device:
    """A device at the far end of a run; an output fuse stands before it, so the run is behind that."""
    if device.key.endswith("-output-fuse"):
        return replace(device, behind=tuple(_reached_by(each, via) for each in device.behind))
    return replace(device, via=(via, *device.via))


def _last_fixing(catalogue: Catalogue, feed: Feed) -> int:
    """Position of the last stage that fixes its own voltage; -1 where none does."""
    fixing = [i for i, stage in enumerate(feed.stages) if catalogue.get(Stage, stage).out_v is not None]
    return fixing[-1] if fixing else -1


def _at_the_end(facts: PlanFacts, feed: Feed) -> Device:
    if feed.lead is None:
        via = _("the lead it came with")
    else:
        via = _("lead %(cable)s, %(length)s", cable=_lead(facts, feed), length=metres(feed.lead.cut_mm))
    return _load(facts.job.load_by_id[feed.load], "load", via)


def _lead(facts: PlanFacts, feed: Feed) -> str:
    assert feed.lead is not None
    return cable_words(facts.catalogue, feed.lead.cable)


def _load(load: Load, kind: Literal["load", "outlet"], via: str) -> Device:
    note = _("%(peak)s at most", peak=quantity(load.peak_w, "W"))
    return Device(
        key=f"load-{load.id}", kind=kind, title=load.label, part=load.label, note=note, via=(via,) if via else ()
    )


def _stage(facts: PlanFacts, feed: Feed, position: int, behind: tuple[Device, ...]) -> Device:
    stage = facts.catalogue.get(Stage, feed.stages[position])
    before = [facts.catalogue.get(Stage, each).out_v for each in feed.stages[:position]]
    in_v = next((volts for volts in reversed(before) if volts is not None), facts.job.bus.nominal_v)
    form = form_words(stage.out_form)
    if stage.out_v is None:
        title = _("Plug lead or injector: %(form)s", form=form)
    else:
        title = f"{figure(in_v)} → {quantity(stage.out_v, 'V')}, {form}"
    note = _("up to %(power)s", power=quantity(stage.max_out_w, "W"))
    if position < feed.panel_stages:
        note = _("at the panel; %(note)s", note=note)
    return Device(
        key=f"{feed.load}-stage-{position + 1}",
        kind="plug" if stage.out_v is None else "converter",
        title=title,
        part=bound(stage.label),
        note=note,
        behind=behind,
    )


def _output_fuse(facts: PlanFacts, feed: Feed, behind: tuple[Device, ...]) -> Device:
    assert feed.output_fuse is not None
    fuse = facts.catalogue.get(Fuse, feed.output_fuse.fuse)
    holder = bound(facts.catalogue.part(feed.output_fuse.holder).label)
    return Device(
        key=f"{feed.load}-output-fuse",
        kind="fuse",
        title=_("Fuse %(rating)s", rating=quantity(fuse.rating_a, "A")),
        part=f"{bound(fuse.label)}, {holder}",
        note=_("right behind the converter"),
        behind=behind,
    )
