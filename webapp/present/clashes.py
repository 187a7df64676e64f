"""Fields that two devices changed, each to something else, in words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup, escape

from webapp.forms.merging import in_words
from webapp.present.words import moment
from webapp.services.statements import Clash
from webapp.texts import N_, _

MEASURED = {  # quantities of keys, as `record` makes them
    "open_v": N_("At the end of the run, nothing on"),
    "end_v": N_("At the end of the run, everything on"),
    "current_a": N_("Current, everything on"),
    "out_v": N_("Volts at its plug"),
    "run_m": N_("Run really laid, one way, without the spare at its ends"),
    "peak_w": N_("Most it really draws"),
}


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
        said = _(MEASURED[quantity]) if quantity in MEASURED else quantity
        return _("Measured at %(where)s: %(what)s", where=", ".join(filter(None, (where, load))), what=said)
    if kind == "person":
        return _("Who answers for the plan")
    return _("Note on %(where)s", where=where) if kind == "note" else _("Tick of %(what)s", what=rest)
