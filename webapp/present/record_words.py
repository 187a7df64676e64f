"""What to say of a measured value: all of it stands in the page, so that it can be said without a signal too."""

from __future__ import annotations

from collections.abc import Mapping

from optimizer.plan import Hold
from webapp.present.holds import STOPS
from webapp.present.rule_words import rule_words
from webapp.present.words import up_to
from webapp.texts import _

Words = Mapping[str, str]  # by verdict
SHAPES = {"within": "●", "below": "▲", "above": "▲", "reversed": "✕", "unreadable": "○"}


def of_open() -> Words:
    return _of_volts(
        below=_("Lower than expected: look for a fuse or switch that does not conduct, or an empty battery."),
        above=_too_high(),
    )


def of_end() -> Words:
    return _of_volts(
        below=_(
            "Lower than expected: look for a loose crimp, a joint that gets warm, a thinner or longer cable, and "
            "whether the battery is low."
        ),
        above=_too_high(),
    )


def of_output(load: str) -> Words:
    said = _(
        "Outside what %(load)s takes: leave it unplugged, and look at the converter's setting and what it is fed with.",
        load=load,
    )
    return _of_volts(below=said, above=said)


def of_current() -> Words:
    return {
        "within": _within(),
        "above": _("More than the plan counts on: a load draws more than stated, or something else hangs on it."),
        "reversed": _("Less than nothing: turn the clamp round and measure again."),
        "unreadable": _unreadable(),
    }


def of_length(hold: Hold) -> Words:
    return _of_hold(hold, "m")


def of_power(hold: Hold) -> Words:
    return _of_hold(hold, "W")


def _of_hold(hold: Hold, unit: str) -> Words:
    most = up_to(hold.most, unit)
    why = _(STOPS[hold.rule]) if hold.rule in STOPS else rule_words(hold.rule)
    return {
        "within": _("Holds, with all else as planned: up to %(most)s.", most=most),
        "above": _(
            "Does not hold: over %(most)s, %(why)s. Put the new figure into the job and find the cheapest again.",
            most=most,
            why=why,
        ),
        "reversed": _unreadable(),
        "unreadable": _unreadable(),
    }


def _of_volts(*, below: str, above: str) -> Words:
    return {
        "within": _within(),
        "below": below,
        "above": above,
        "reversed": _("Reversed: take the fuse out now, then find where + and − change places."),
        "unreadable": _unreadable(),
    }


def _too_high() -> str:
    return _("Higher than expected: look at the charger's settings before anything is plugged in.")


def _within() -> str:
    return _("As expected.")


def _unreadable() -> str:
    return _("This cannot be read as a number. Type it as 12.3.")
