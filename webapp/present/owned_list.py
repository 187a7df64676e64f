"""What somebody has on hand, as the pages of a job list it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from webapp import canonical
from webapp.present.words import counted, quantity
from webapp.texts import _, bound


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnedRow:
    what: str
    amount: str
    entry: str  # all it says: stock has no id
    unknown: bool  # to the catalogue of now


def owned_rows(document: Mapping[str, Any], parts: Sequence[Mapping[str, Any]]) -> tuple[OwnedRow, ...]:
    """Stock on hand by the names of the catalogue."""
    names = {part["id"]: part.get("name") or part["id"] for part in parts}
    return tuple(
        OwnedRow(
            what=bound(names.get(entry["part"], entry["part"])),
            amount=_owned_amount(entry),
            entry=canonical.spell(entry),
            unknown=entry["part"] not in names,
        )
        for entry in document.get("owned", [])
    )


def _owned_amount(entry: Mapping[str, Any]) -> str:
    length_m = entry.get("length_m")
    return f"{entry['count']} ×" if length_m is None else quantity(length_m, "m", 5)


def owned_words(document: Mapping[str, Any]) -> str:
    """How much is on hand, for the page of limits."""
    number = len(document.get("owned", []))
    if not number:
        return _("Nothing on hand yet")
    return counted("%(num)s entry on hand", "%(num)s entries on hand", number)
