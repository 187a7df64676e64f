"""The places of a job, as its page lists them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from webapp.present.words import counted, quantity
from webapp.texts import _


def places_words(document: Mapping[str, Any], place: Mapping[str, Any]) -> str:
    """A place in one line: its run and its loads."""
    number = sum(load["place"] == place["id"] for load in document["loads"])
    here = counted("%(num)s load", "%(num)s loads", number) if number else _("no load yet")
    return _("%(length)s from the panel, %(loads)s", length=quantity(place["run_m"], "m", 4), loads=here)
