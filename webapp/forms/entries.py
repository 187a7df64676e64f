"""Places, loads and stock of a job document: found, taken out, put back."""

from __future__ import annotations

import copy
from collections import Counter
from collections.abc import Iterator
from typing import Any

from webapp import canonical
from webapp.forms import pointers

Document = dict[str, Any]
ARRAYS = ("places", "loads", "owned")


def name_of(entry: Document) -> str:
    """What an entry is known by: its id, or all it says where it has none."""
    return str(entry.get("id") or canonical.spell(entry))


def position(document: Document, array: str, entry_id: str) -> int | None:
    """Where an entry stands; None if it is not there."""
    return next((at for at, entry in enumerate(document.get(array, [])) if name_of(entry) == entry_id), None)


def without(document: Document, array: str, index: int) -> Document:
    """The document with one entry less; the marks of later ones move down."""
    left = copy.deepcopy(document)
    del left[array][index]
    pointers.mark(left, pointers.shifted(left.get("assumed", []), array, index))
    return left


def put_back(document: Document, before: Document, after: Document) -> tuple[Document, str]:
    """The document with whatever a step from `before` to `after` removed, and the list it went to; empty if none.

    What is there again, as often as it was before, is not put back once more.
    """
    went = ""
    for array, index in _removed(before, after):
        entry = before[array][index]
        if _count(document, array, entry) >= _count(before, array, entry):
            continue
        start = f"{array}/{index}/"
        marks = [mark.removeprefix(start) for mark in before.get("assumed", []) if mark.startswith(start)]
        place = _before_what_followed(document, array, before[array][index + 1 :])
        document, went = _put_in(document, array, place, entry, marks), array
    return document, went


def _removed(before: Document, after: Document) -> Iterator[tuple[str, int]]:
    for array in ARRAYS:
        left = Counter(name_of(entry) for entry in after.get(array, []))
        for index, entry in enumerate(before.get(array, [])):
            left[name_of(entry)] -= 1
            if left[name_of(entry)] < 0:
                yield array, index


def _count(document: Document, array: str, entry: Document) -> int:
    return sum(name_of(each) == name_of(entry) for each in document.get(array, []))


def _before_what_followed(document: Document, array: str, followers: list[Document]) -> int:
    """Where an entry goes: before the first of those behind it that is still there."""
    places = (position(document, array, name_of(each)) for each in followers)
    return next((place for place in places if place is not None), len(document.get(array, [])))


def _put_in(document: Document, array: str, index: int, entry: Document, marks: list[str]) -> Document:
    full = copy.deepcopy(document)
    full.setdefault(array, []).insert(index, entry)
    opened = pointers.opened(full.get("assumed", []), array, index)
    pointers.mark(full, [*opened, *(f"{array}/{index}/{mark}" for mark in marks)])
    return full
