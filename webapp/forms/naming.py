"""What a job is called that nobody gave a name: by where it is built and the day it was begun."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta
from itertools import count

from babel.dates import format_skeleton

from webapp.present.words import date_locale
from webapp.texts import N_, _

DAY = "day"  # what the form calls the day where the device is
_LONGEST_WAIT = timedelta(days=400)  # without a signal; answers to changes are kept as long
BUILT_IN = {"vehicle": N_("Vehicle"), "boat": N_("Boat"), "land": N_("On land")}


def begun(told: str, utc: date) -> date:
    """The day a job was begun where its device is; that of UTC where what is told is no day, or cannot be it."""
    try:
        day = date.fromisoformat(told)
    except ValueError:
        return utc
    return day if utc - _LONGEST_WAIT <= day <= utc + timedelta(days=1) else utc


def fresh_name(setting: str, begun: date, taken: Collection[str]) -> str:
    """A name that no other job has.

    Args:
        setting: Where the job is built; empty where nobody has said it.
        taken: What the other jobs are called.
    """
    where = _(BUILT_IN[setting]) if setting in BUILT_IN else _("Job")
    name = f"{where}, {format_skeleton('MMMd', begun, locale=date_locale())}"
    numbered = (name if number == 1 else f"{name} ({number})" for number in count(1))
    return next(each for each in numbered if each not in taken)
