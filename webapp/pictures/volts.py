"""Voltage along each circuit with the battery at its lowest and every load at peak, against what it may sink to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Catalogue
from optimizer.checks.facts import CircuitFacts, PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.pictures.lettering import Words, lettered
from webapp.present.words import quantity
from webapp.texts import _

WIDTH = 328.0
START_X, END_X = 80.0, 246.0  # between them the voltage sinks along the conductor
STEPS_PX = 48.0  # from the highest voltage to the lowest
OVER, UNDER = 6.0, 17.0  # from a line to the baseline of its figure
PLAIN_SPARE = 1e-9  # relative: binary fractions of decimal input


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """One conductor, from a fixed voltage to what is left at its end."""

    name: str
    fed: str  # how a load is reached; empty for a cable or a run
    from_v: float
    to_v: float
    floor_v: float
    holds: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A stretch as drawn, and as a row of the table."""

    height: float
    line: str  # path of the voltage
    room: str  # path of the area between it and its floor
    floor_y: float
    holds: bool
    words: tuple[Words, ...]
    said: str
    name: str
    start: str
    end: str
    floor: str
    margin: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitVolts:
    id: str
    place: str
    steps: tuple[Step, ...]


def volts_view(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[CircuitVolts, ...]:
    """Every circuit, in the order of the plan; empty steps where it cannot run at all."""
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    return tuple(
        CircuitVolts(
            id=circuit.circuit.id,
            place=circuit.place.label,
            steps=tuple(_step(stretch) for stretch in stretches(circuit)),
        )
        for circuit in facts.circuits
    )


def stretches(circuit: CircuitFacts) -> Iterator[Stretch]:
    """The conductors of a circuit, panel to loads."""
    settled = circuit.settled
    if settled is None:
        return
    if circuit.ends_at_panel:
        name = _("Cable to the converter at the panel")
    else:
        name = _("Cable to %(place)s", place=circuit.place.label)
    yield _stretch(name, circuit.job.bus.low_v, settled.place_v, circuit.floor_v)
    for feed in circuit.feeds:
        yield from _behind(feed, settled.place_v)


def _behind(feed: FeedFacts, place_v: float) -> Iterator[Stretch]:
    """What comes after a circuit's own cable: a run behind a converter at the panel, and the lead of the load."""
    if feed.run is not None and feed.run_end_v is not None:
        name = _("Run from the converter to %(place)s", place=feed.place.label)
        yield _stretch(name, feed.run.source_v, feed.run_end_v, feed.run_floor_v)
    if feed.hangs_on_run:
        source_v, fed = feed.run_end_v, _("at the end of the run")
    elif feed.out_v is not None:
        source_v, fed = feed.out_v, _("behind its converter")
    else:
        source_v, fed = place_v, _("fed straight from the cable")
    load_v = feed.appliance.load_v(place_v) if feed.out_v is None else feed.behind_v
    if source_v is not None and load_v is not None:
        yield _stretch(feed.load.label, source_v, load_v, feed.load.needs.min_v, fed)


def _stretch(name: str, from_v: float, to_v: float, floor_v: float, fed: str = "") -> Stretch:
    holds = to_v >= floor_v - PLAIN_SPARE * abs(floor_v)
    return Stretch(name=name, fed=fed, from_v=from_v, to_v=to_v, floor_v=floor_v, holds=holds)


def _step(stretch: Stretch) -> Step:
    heading, bottom = lettered(0, 0, WIDTH, (stretch.name, "title"), (stretch.fed, "note"), most=2)
    from_y, to_y, floor_y = _heights(stretch, bottom + 24)
    start, end, floor = (quantity(volts, "V", 4) for volts in (stretch.from_v, stretch.to_v, stretch.floor_v))
    margin = _margin(stretch)
    under_y = max(from_y, to_y, floor_y) + UNDER * (1 if stretch.holds else 2)
    figures = (
        Words(text=start, x=0, y=_beside(from_y, stretch.from_v >= stretch.floor_v), kind="note"),
        Words(text=end, x=WIDTH, y=_beside(to_y, stretch.holds), kind="note", ends=True),
        Words(text=_("floor %(floor)s", floor=floor), x=0, y=under_y, kind="note"),
        Words(text=margin, x=WIDTH, y=under_y, kind="title", ends=True),
    )
    line = f"M0 {from_y:g}H{START_X:g}L{END_X:g} {to_y:g}H{WIDTH:g}"
    return Step(
        height=under_y + 10,
        line=line,
        room=f"{line}V{floor_y:g}H0Z",
        floor_y=floor_y,
        holds=stretch.holds,
        words=(*heading, *figures),
        said=_(
            "%(name)s: from %(start)s to %(end)s, floor %(floor)s, %(margin)s",
            name=stretch.name, start=start, end=end, floor=floor, margin=margin,
        ),
        name=f"{stretch.name}, {stretch.fed}" if stretch.fed else stretch.name,
        start=start,
        end=end,
        floor=floor,
        margin=margin,
    )  # fmt: skip


def _heights(stretch: Stretch, top_y: float) -> tuple[float, float, float]:
    """Where start, end and floor stand, on one scale from the highest of them down to the lowest."""
    volts = (stretch.from_v, stretch.to_v, stretch.floor_v)
    span_v = max(volts) - min(volts)
    if not span_v > 0:
        return top_y, top_y, top_y
    from_y, to_y, floor_y = (round(top_y + (max(volts) - each) / span_v * STEPS_PX, 2) for each in volts)
    return from_y, to_y, floor_y


def _beside(line_y: float, above: bool) -> float:
    """Baseline of a figure: above its line, or below where the floor is above."""
    return line_y - OVER if above else line_y + UNDER


def _margin(stretch: Stretch) -> str:
    room = quantity(abs(stretch.to_v - stretch.floor_v), "V")
    if stretch.holds:
        return _("%(room)s to spare", room=room)
    return _("✕ %(room)s too low", room=room)
