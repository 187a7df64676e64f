"""The page of what nobody has confirmed: values of a job in the making, by what they belong to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp import canonical
from webapp.forms import pointers
from webapp.present.assumptions import value_words, words_of
from webapp.texts import _

LISTS = ("loads", "places")


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumedRow:
    """One value: its words, and what a tap on Confirm sends."""

    key: str  # its pointer, with the id of an entry for its place in the list
    seen: str  # the value as it was read: what is confirmed
    what: str
    value: str
    step: str
    index: int | None  # of the entry in its list
    last: str  # what stands last in its pointer: leads to the field


@dataclass(frozen=True, slots=True, kw_only=True)
class AssumedGroup:
    """Values of the battery and its panel, or of one load or place."""

    subject: str
    rows: tuple[AssumedRow, ...]


def assumed_groups(document: Mapping[str, Any]) -> tuple[AssumedGroup, ...]:
    """Every unconfirmed value of a job as it stands; marks on nothing are left out."""
    groups: dict[str, list[AssumedRow]] = {}
    for pointer in document.get("assumed", []):
        row = _row(document, "/".join(pointers.steps(pointer)))
        if row is not None:
            groups.setdefault(_subject(document, row), []).append(row)
    return tuple(AssumedGroup(subject=subject, rows=tuple(rows)) for subject, rows in groups.items())


def pointer_of(document: Mapping[str, Any], key: str) -> str:
    """Where a key points now; empty where its entry is gone."""
    array, _slash, rest = key.partition("/")
    if array not in LISTS:
        return key
    entry_id, _slash, rest = rest.partition("/")
    index = next((at for at, entry in enumerate(document[array]) if entry["id"] == entry_id), None)
    return "" if index is None else f"{array}/{index}/{rest}"


def row_at(document: Mapping[str, Any], key: str) -> AssumedRow | None:
    """The value with this key, confirmed or not; None where it is gone."""
    pointer = pointer_of(document, key)
    return _row(document, pointer) if pointer else None


def _row(document: Mapping[str, Any], pointer: str) -> AssumedRow | None:
    names, value = pointers.steps(pointer), pointers.get_at(document, pointer)
    if not names or value is None:
        return None
    index = int(names[1]) if names[0] in LISTS and len(names) > 2 and names[1].isdecimal() else None
    rest = pointer if index is None else "/".join(names[2:])
    key = pointer if index is None else f"{names[0]}/{document[names[0]][index]['id']}/{rest}"
    what, step = words_of(rest)
    return AssumedRow(
        key=key,
        seen=canonical.spell(value),
        what=what[0].upper() + what[1:],
        value=value_words(rest, value),
        step=step if index is None else names[0],
        index=index,
        last=rest,
    )


def _subject(document: Mapping[str, Any], row: AssumedRow) -> str:
    if row.index is None:
        return _("Battery and panel") if row.step == "battery" else _("Limits")
    entry = document[row.step][row.index]
    return f"{entry.get('name') or entry['id']} ({entry['id']})"
