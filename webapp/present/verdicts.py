"""Whether the battery suits a load as it is: said as soon as its voltages are known, with both numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp.present.words import exactly
from webapp.texts import N_, _

DIRECT, PART, HIGH, LOW, BOTH = "direct", "part", "high", "low", "both"
OWN_SUPPLY = ("usb-c", "powered-ethernet")  # forms that no battery puts out, whatever its voltage
SHAPES = {DIRECT: "●", PART: "▲", HIGH: "▲", LOW: "▲", BOTH: "▲"}
WORDS = {
    DIRECT: N_("Straight from the battery"),
    PART: N_("Needs a part for its plug"),
    HIGH: N_("Needs a converter"),
    LOW: N_("Needs a converter"),
    BOTH: N_("Needs a converter"),
}
REASONS = {
    DIRECT: N_("the battery's %(low)s to %(high)s V lie within its %(min)s to %(max)s V"),
    PART: N_("the battery's %(low)s to %(high)s V would suit, its socket does not"),
    HIGH: N_("%(high)s V on charge is over %(max)s V"),
    LOW: N_("%(low)s V when nearly down is under %(min)s V"),
    BOTH: N_("%(high)s V on charge is over %(max)s V, %(low)s V when nearly down is under %(min)s V"),
}
SLOTS = ("min", "max", "low", "high")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """A verdict in a word, a shape and its reason."""

    state: str
    shape: str
    words: str
    reason: str
    pieces: tuple[tuple[str, str], ...] = ()  # of the reason, with the name of a figure that is still to be filled in


def verdict(bus: Mapping[str, Any], needs: Mapping[str, Any]) -> Verdict:
    """The verdict on a load of the job."""
    state = _state(bus, needs)
    return _verdict(state, _figures(bus) | {"min": exactly(needs["min_v"]), "max": exactly(needs["max_v"])})


def verdicts() -> tuple[Verdict, ...]:
    """Every verdict there can be, its figures left open, for a page that judges while somebody types."""
    return tuple(_verdict(state, {slot: f"\0{slot}\0" for slot in SLOTS}) for state in WORDS)


def _state(bus: Mapping[str, Any], needs: Mapping[str, Any]) -> str:
    over, under = bus["high_v"] > needs["max_v"], bus["low_v"] < needs["min_v"]
    if over or under:
        return BOTH if over and under else HIGH if over else LOW
    return PART if needs["form"] in OWN_SUPPLY else DIRECT


def _verdict(state: str, figures: Mapping[str, str]) -> Verdict:
    reason = _(REASONS[state], **figures)
    parts = reason.split("\0")
    return Verdict(
        state=state,
        shape=SHAPES[state],
        words=_(WORDS[state]),
        reason=reason,
        pieces=tuple((part, "") if at % 2 == 0 else ("", part) for at, part in enumerate(parts)),
    )


def _figures(bus: Mapping[str, Any]) -> dict[str, str]:
    return {"low": exactly(bus["low_v"]), "high": exactly(bus["high_v"])}
