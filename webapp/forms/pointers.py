"""JSON pointers into a job document."""

from __future__ import annotations

from typing import Any

MOST_DIGITS = 9  # of an index: far beyond every list, and int() refuses thousands


def steps(pointer: str) -> list[str]:
    """The names along a pointer, with or without its leading stroke."""
    return [name.replace("~1", "/").replace("~0", "~") for name in pointer.split("/") if name]


def get_at(document: Any, pointer: str) -> Any:
    """The value there; None where something on the way is missing."""
    for name in steps(pointer):
        if isinstance(document, dict):
            document = document.get(name)
        elif isinstance(document, list) and _is_index(name) and int(name) < len(document):
            document = document[int(name)]
        else:
            return None
    return document


def _is_index(name: str) -> bool:
    return name.isdecimal() and len(name) <= MOST_DIGITS


def put_at(document: dict[str, Any], pointer: str, value: Any) -> None:
    """Set the value there, making objects on the way; None takes the field out."""
    *way, last = steps(pointer)
    for name in way:
        document = document[int(name)] if isinstance(document, list) else document.setdefault(name, {})
    if value is None:
        document.pop(last, None)
    elif document.get(last) != value:  # 14 is left standing as 14.0: a save that changes nothing stays one
        document[last] = value


def mark(document: dict[str, Any], assumed: list[str]) -> None:
    """Note what nobody has confirmed; a document without such a list gets none for nothing."""
    if assumed or "assumed" in document:
        document["assumed"] = assumed


def shifted(assumed: list[str], array: str, removed: int) -> list[str]:
    """Pointers after one entry of an array is gone: its own dropped, later ones moved down."""
    kept = []
    for pointer in assumed:
        names = steps(pointer)
        if len(names) > 1 and names[0] == array and names[1].isdecimal():
            index = int(names[1])
            if index == removed:
                continue
            names[1] = str(index - (index > removed))
            pointer = "/".join(names)
        kept.append(pointer)
    return kept


def opened(assumed: list[str], array: str, inserted: int) -> list[str]:
    """Pointers after an entry of an array is put in: later ones moved up."""
    moved = []
    for pointer in assumed:
        names = steps(pointer)
        if len(names) > 1 and names[0] == array and names[1].isdecimal() and int(names[1]) >= inserted:
            names[1] = str(int(names[1]) + 1)
            pointer = "/".join(names)
        moved.append(pointer)
    return moved
