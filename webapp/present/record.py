"""The record of a finished installation: what was measured beside what to expect, judged in words."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Circuit, Feed, Hold, Plan
from webapp import units
from webapp.present.cuts import fixed_v
from webapp.present.record_words import Words, of_current, of_end, of_length, of_open, of_output, of_power
from webapp.present.words import DUST, figure
from webapp.schemas import typed
from webapp.texts import _
from webapp.texts.figures import SPACE

_PLAIN = re.compile(r"[+-]?\d+(?:\.\d+)?")
_KINDS = {"V": "voltage", "A": "current", "m": "length", "ft": "length", "W": "power"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One thing to measure."""

    key: str
    label: str
    unit: str
    least: float
    most: float
    expected: str
    value: str  # as typed
    verdict: str  # within, below, above, reversed, unreadable; empty where nothing is typed
    words: Words

    @property
    def is_measured(self) -> bool:
        """Whether there is a figure: what cannot be read as one is still to be measured."""
        return self.verdict not in ("", "unreadable")

    @property
    def id(self) -> str:
        return re.sub(r"[^A-Za-z0-9]", lambda sign: f"-{ord(sign.group()):x}-", self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordSection:
    """All there is to measure at one circuit, or at the panel."""

    id: str
    tag: str
    title: str
    readings: tuple[Reading, ...]
    rechecks: tuple[Reading, ...]  # figures of the plan that came out otherwise on site
    note: str
    note_key: str

    @property
    def done(self) -> str:
        """How much of what is to be measured here is."""
        return _part(str(sum(one.is_measured for one in self.readings)), str(len(self.readings)))


def record_sections(job: Job, catalogue: Catalogue, plan: Plan, marks: Mapping[str, str]) -> tuple[RecordSection, ...]:
    """The panel first, then circuit by circuit."""
    bus = job.bus
    panel = _reading(marks, "panel/open_v", _("Nothing on"), "V", (bus.low_v, bus.high_v), of_open())
    circuits = (_of_circuit(job, catalogue, plan, circuit, marks) for circuit in plan.circuits)
    return (_section("panel", "", _("At the panel"), (panel,), (), marks), *circuits)


@dataclass(frozen=True, slots=True, kw_only=True)
class Walk:
    """How far somebody is who measures value after value; the shapes are the same with gaps, for the browser."""

    done: str
    shape: str
    part_shape: str
    first: str  # id of the first value that is open; empty where there is none


def walk_through(sections: tuple[RecordSection, ...]) -> Walk:
    """What is measured and what comes next; what may be checked again is not counted."""
    due = [one for section in sections for one in section.readings]
    open_ = [one for one in due if not one.is_measured]
    return Walk(
        done=_measured(str(len(due) - len(open_)), str(len(due))),
        shape=_measured("{done}", "{all}"),
        part_shape=_part("{done}", "{all}"),
        first=open_[0].id if open_ else "",
    )


def _measured(done: str, all_: str) -> str:
    return _("%(done)s of %(all)s measured", done=done, all=all_)


def _part(done: str, all_: str) -> str:
    return _("%(done)s of %(all)s", done=done, all=all_)


def _of_circuit(
    job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit, marks: Mapping[str, str]
) -> RecordSection:
    feeds = [feed for feed in plan.feeds if feed.circuit == circuit.id]
    place = job.place_by_id[circuit.place].label
    readings = tuple(_readings(job, catalogue, circuit, feeds, marks))
    return _section(circuit.id, circuit.id, place, readings, tuple(_rechecks(job, circuit, feeds, marks)), marks)


def _section(
    id_: str,
    tag: str,
    title: str,
    readings: tuple[Reading, ...],
    rechecks: tuple[Reading, ...],
    marks: Mapping[str, str],
) -> RecordSection:
    key = f"note/{id_}"
    note = marks.get(key, "")
    return RecordSection(id=id_, tag=tag, title=title, readings=readings, rechecks=rechecks, note=note, note_key=key)


def _readings(
    job: Job, catalogue: Catalogue, circuit: Circuit, feeds: list[Feed], marks: Mapping[str, str]
) -> Iterator[Reading]:
    bus, c = job.bus, circuit.id
    is_boosted = any(feed.run is not None for feed in feeds)
    end = _("At the converter, everything on") if is_boosted else _("At the end of the run, everything on")
    yield _reading(
        marks, f"{c}/open_v", _("At the end of the run, nothing on"), "V", (bus.low_v, bus.high_v), of_open()
    )
    # between the worst case at low battery and the highest the bus may have
    yield _reading(marks, f"{c}/end_v", end, "V", (circuit.settled.place_v, bus.high_v), of_end())
    yield _reading(marks, f"{c}/current_a", _("Current, everything on"), "A", (0.0, circuit.design_a), of_current())
    for feed in feeds:
        if fixed_v(catalogue, feed.stages) is not None:
            load = job.load_by_id[feed.load]
            window = (load.needs.min_v, load.needs.max_v)
            label = _("At the plug of %(load)s", load=load.label)
            yield _reading(marks, f"{c}/out_v-{feed.load}", label, "V", window, of_output(load.label))


def _rechecks(job: Job, circuit: Circuit, feeds: list[Feed], marks: Mapping[str, str]) -> Iterator[Reading]:
    """Figures that the plan says how far they hold: comparing is all there is to do on site."""
    run = _nearest(circuit.holds, "run_m")
    if run is not None:
        label = _("Run really laid, one way, without the spare at its ends")
        key = f"{circuit.id}/run_m"
        yield _reading(marks, key, label, "m", (0.0, run.most), of_length(run))
    for feed in feeds:
        peak = _nearest(feed.holds, "peak_w")
        if peak is not None:
            label = _("Most that %(load)s really draws", load=job.load_by_id[feed.load].label)
            yield _reading(marks, f"{circuit.id}/peak_w-{feed.load}", label, "W", (0.0, peak.most), of_power(peak))


def _nearest(holds: tuple[Hold, ...], field: str) -> Hold | None:
    return next((hold for hold in holds if hold.field == field), None)  # they come nearest first


def _reading(
    marks: Mapping[str, str], key: str, label: str, unit: str, window: tuple[float, float], words: Words
) -> Reading:
    value = in_unit_shown(marks.get(f"measured/{key}", ""), unit)
    shown = units.symbol(unit)
    ends = [units.figure(end, unit)[0] for end in window]
    # inwards to what is shown, so that a value at the limit is judged as it reads
    least, most = math.ceil(ends[0] * 100 - DUST) / 100, math.floor(ends[1] * 100 + DUST) / 100
    return Reading(
        key=f"measured/{key}",
        label=label,
        unit=shown,
        least=least,
        most=most,
        expected=_expected(least, most, shown),
        value=value,
        verdict=judged(value, shown, least, most),
        words=words,
    )


def in_unit_shown(text: str, unit: str) -> str:
    """What was measured as its field shows it: a length in feet or metres as chosen, whatever it was typed in."""
    metres = _value(text, unit) if unit == "m" and text else None
    if metres is None:
        return text
    return spelled(round(units.figure(metres, unit)[0], 2))


def _expected(least: float, most: float, unit: str) -> str:
    shown = f"{figure(most, 6)}{SPACE}{unit}"
    if least <= 0:
        return _("up to %(most)s", most=shown)
    return _("%(least)s to %(most)s", least=figure(least, 6), most=shown)


def judged(text: str, unit: str, least: float, most: float) -> str:
    """Where a typed figure lies: within, below, above, reversed or unreadable; empty where nothing is typed.

    Args:
        least: Lowest value to expect, in the unit.
        most: Highest one.
    """
    if not text.strip():
        return ""
    value = _value(text, unit)
    if value is None:
        return "unreadable"
    if value < 0:
        return "reversed"
    return "below" if value < least else "above" if value > most else "within"


def _value(text: str, unit: str) -> float | None:
    """A figure as it is stored, or as somebody typed it with its unit."""
    if _PLAIN.fullmatch(text.strip()):
        value = float(text)
        return value if math.isfinite(value) else None
    try:
        return typed.read(_KINDS[unit], text)
    except typed.Untypable:
        return None


def worth_of_units() -> str:
    """For the browser: what each typed unit is worth in each unit that fields show; JSON."""
    every = {unit: typed.worth(kind) for unit, kind in _KINDS.items()}
    return json.dumps(
        {shown: {unit: worth[unit] / worth[shown.lower()] for unit in worth} for shown, worth in every.items()}
    )


def spelled(value: float) -> str:
    """A number for the browser: with a decimal point in every language."""
    return f"{value:.10g}"
