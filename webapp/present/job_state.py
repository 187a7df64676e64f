"""How far a job is stated: what is still missing, what nobody has confirmed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp.present.words import counted, quantity
from webapp.texts import N_, _, ngettext

STEPS = (
    ("battery", N_("Battery")),
    ("places", N_("Places")),
    ("loads", N_("Loads")),
    ("limits", N_("Limits")),
    ("plan", N_("Plan")),
)
MISSING = (
    ("places", N_("No place yet: say where things sit")),
    ("loads", N_("No load yet: say what it should feed")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step of a job in the strip."""

    key: str
    words: str
    missing: bool
    done: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Something without which there is no plan, and the step where it is said."""

    step: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobState:
    """How far a job is stated."""

    steps: tuple[Step, ...]
    missing: tuple[Missing, ...]
    assumed: int

    @property
    def assumed_words(self) -> str:
        return ngettext("%(num)s value still assumed", "%(num)s values still assumed", self.assumed)


def job_state(document: Mapping[str, Any]) -> JobState:
    """What the strip of steps and the line below it say."""
    missing = tuple(Missing(step=step, words=_(words)) for step, words in MISSING if not document[step])
    lacking = {each.step for each in missing}
    return JobState(
        steps=tuple(
            Step(key=key, words=_(words), missing=key in lacking, done=key != "plan" and key not in lacking)
            for key, words in STEPS
        ),
        missing=missing,
        assumed=len(document.get("assumed", [])),
    )


def next_fact(document: Mapping[str, Any]) -> str:
    """What a job without a plan waits for."""
    missing = job_state(document).missing
    return missing[0].words if missing else _("Ready: find the cheapest")


def size_words(document: Mapping[str, Any]) -> tuple[str, ...]:
    """A job in a few figures, by which two of them are told apart: battery, loads, how long it has to last."""
    loads, hours = len(document["loads"]), document["limits"].get("autonomy_h")
    bank = document.get("bank", {}).get("existing") or {}
    figures = (quantity(document["bus"]["nominal_v"], "V"), quantity(bank.get("capacity_ah", 0), "Ah"))
    facts = (
        ", ".join(figures if bank else figures[:1]),
        counted("%(num)s load", "%(num)s loads", loads) if loads else "",
        _("to last %(time)s", time=quantity(hours, "h")) if hours else "",
    )
    return tuple(filter(None, facts))
