"""Fields that two devices changed, each to something else, in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup, escape

from webapp.forms.merging import in_words
from webapp.present.words import moment
from webapp.services.statements import Clash
from webapp.texts import N_, _, decimal
from webapp.texts.figures import SPACE

MEASURED = {  # quantities of keys, as `record` makes them
    "open_v": N_("At the end of the run, nothing on"),
    "end_v": N_("At the end of the run, everything on"),
    "current_a": N_("Current, everything on"),
    "out_v": N_("Volts at its plug"),
    "run_m": N_("Run really laid, one way, without the spare at its ends"),
    "peak_w": N_("Most it really draws"),
}

UNITS = {"open_v": "V", "end_v": "V", "out_v": "V", "current_a": "A", "peak_w": "W"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ClashView:
    """One field with both values as they are sent, and as they are said."""

    name: str
    label: str
    yours: str
    yours_words: str
    theirs: str
    theirs_words: str
    whose: Markup


def clash_views(clashes: Iterable[Clash]) -> tuple[ClashView, ...]:
    return tuple(
        ClashView(
            name=clash.spec.name,
            label=_(clash.spec.label),
            yours=clash.yours,
            yours_words=in_words(clash.spec, clash.yours),
            theirs=clash.theirs,
            theirs_words=in_words(clash.spec, clash.theirs),
            whose=whose_words(clash.whose, clash.when),
        )
        for clash in clashes
    )


def whose_words(whose: str, when: datetime) -> Markup:
    """Which device said something, and when."""
    time = moment(when)
    if whose:
        return escape(_("stored from %(device)s, %(time)s")) % {"device": whose, "time": time}
    return escape(_("stored from another device, %(time)s")) % {"time": time}


def mark_label(key: str) -> str:
    """What a mark is, such as: Measured at C1: Current, everything on."""
    kind, _stroke, rest = key.partition("/")
    where, _stroke, what = rest.partition("/")
    if kind == "measured":
        quantity, _dash, load = what.partition("-")
        if where == "panel":
            return _("Measured at the panel, nothing on")
        said = _(MEASURED[quantity]) if quantity in MEASURED else quantity
        return _("Measured at %(where)s: %(what)s", where=", ".join(filter(None, (where, load))), what=said)
    if kind == "person":
        return _("Who answers for the plan")
    return _("Note on %(where)s", where=where) if kind == "note" else _("Tick of %(what)s", what=rest)


def mark_words(key: str, value: str) -> str:
    """A mark as the page that shows it says it: a measured number with its unit and the reader's decimal sign."""
    unit = UNITS.get(key.rpartition("/")[2].partition("-")[0], "")
    if not value:
        return _("Left empty")
    is_number = value.replace(".", "", 1).removeprefix("-").isdecimal()
    return f"{decimal(value)}{SPACE}{unit}" if unit and is_number else value
