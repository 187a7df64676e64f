"""Values that nobody has confirmed, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from optimizer.job import Job
from webapp.present.styles import style_words
from webapp.present.words import quantity
from webapp.texts import N_, _

# Last steps of a pointer: words, unit, and how much of the unit one stands for.
FIGURES = {
    "bus/low_v": (N_("Lowest voltage at the panel"), "V", 1.0, "battery"),
    "bus/high_v": (N_("Highest voltage at the panel"), "V", 1.0, "battery"),
    "bus/fault_a": (N_("Short-circuit current at the panel"), "A", 1.0, "battery"),
    "bus/fuse_style": (N_("Style of fuse"), "", 1.0, "battery"),
    "bus/way_max_a": (N_("Largest fuse a way takes"), "A", 1.0, "battery"),
    "bus/ambient_c": (N_("Hottest air around panel and cables"), "°C", 1.0, "battery"),
    "bus/spare_ways": (N_("Free fuse ways"), "", 1.0, "battery"),
    "bank/existing/capacity_ah": (N_("Battery capacity"), "Ah", 1.0, "battery"),
    "bank/existing/usable_fraction": (N_("Share of the battery used"), "%", 100.0, "battery"),
    "bank/existing/rated_hours": (N_("Battery rated over"), "h", 1.0, "battery"),
    "bank/existing/peukert": (N_("Peukert's exponent"), "", 1.0, "battery"),
    "bank/existing/max_discharge_a": (N_("Largest lasting discharge"), "A", 1.0, "battery"),
    "ac/efficiency": (N_("Inverter efficiency"), "%", 100.0, "battery"),
    "ac/idle_w": (N_("Inverter's own draw"), "W", 1.0, "battery"),
    "ac/on_hours_per_day": (N_("Inverter on, a day"), "h", 1.0, "battery"),
    "ac/max_w": (N_("Most the inverter feeds"), "W", 1.0, "battery"),
    "needs/min_v": (N_("lowest voltage"), "V", 1.0, "loads"),
    "needs/max_v": (N_("highest voltage"), "V", 1.0, "loads"),
    "peak_w": (N_("most it draws"), "W", 1.0, "loads"),
    "typical_w": (N_("usual draw"), "W", 1.0, "loads"),
    "hours_per_day": (N_("on, a day"), "h", 1.0, "loads"),
    "brick/efficiency": (N_("adapter efficiency"), "%", 100.0, "loads"),
    "brick/idle_w": (N_("adapter's own draw"), "W", 1.0, "loads"),
    "lead/loop_ohm": (N_("resistance of its lead"), "Ω", 1.0, "loads"),
    "run_m": (N_("length of the run"), "m", 1.0, "places"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    what: str
    value: str
    step: str
    load: str  # the id of the load that it is a value of; empty: of none


def assumptions(job: Job) -> tuple[Assumption, ...]:
    """Every unconfirmed value of a job; pointers to nothing are left out."""
    found = (_assumption(job, pointer.strip("/")) for pointer in job.assumed)
    return tuple(each for each in found if each is not None)


def guessed_fuses(job: Job) -> str:
    """The style of fuse that was taken for the panel's, where nobody has said it; else empty."""
    return style_words(job.bus.fuse_style) if "bus/fuse_style" in job.assumed else ""


def _assumption(job: Job, pointer: str) -> Assumption | None:
    subject, rest, load = _owner(job, pointer)
    value = _value(job, pointer)
    if value is None:
        return None
    words, step = words_of(rest)
    return Assumption(
        what=f"{subject}: {words}" if subject else words,
        value=value_words(rest, value),
        step=step if rest in FIGURES else _step(pointer),
        load=load,
    )


def words_of(last: str) -> tuple[str, str]:
    """What a value is called, by its pointer within a load, a place or the job; and the step that asks for it."""
    if last in FIGURES:
        words, _unit, _scale, step = FIGURES[last]
        return _(words), step
    return last.replace("_", " "), _step(last)


def value_words(last: str, value: Any) -> str:
    """The value with its unit; of what holds several values, that all of them are meant."""
    if isinstance(value, bool):
        return _("Yes") if value else _("No")
    if isinstance(value, str):
        return style_words(value) if last == "bus/fuse_style" else value.replace("-", " ")
    if not isinstance(value, int | float):
        return _("all of it")
    _words, unit, scale, _step = FIGURES.get(last, ("", "", 1.0, ""))
    return quantity(value * scale, unit, 5)


def _owner(job: Job, pointer: str) -> tuple[str, str, str]:
    names = pointer.split("/")
    if len(names) > 2 and names[1].isdecimal():
        index = int(names[1])
        if names[0] == "loads" and index < len(job.loads):
            return job.loads[index].label, "/".join(names[2:]), job.loads[index].id
        if names[0] == "places" and index < len(job.places):
            return job.places[index].label, "/".join(names[2:]), ""
    return "", pointer, ""


def _step(pointer: str) -> str:
    first = pointer.split("/")[0]
    return first if first in ("places", "loads", "limits") else "battery"


def _value(job: Job, pointer: str) -> Any:
    value: Any = job
    for name in pointer.split("/"):
        if isinstance(value, tuple):
            value = value[int(name)] if name.isdecimal() and int(name) < len(value) else None
        else:
            value = getattr(value, name, None)
    return value
