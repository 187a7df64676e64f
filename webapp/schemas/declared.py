"""What the definition of a job says of one of its fields: for forms, so that nothing is said twice."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from marshmallow import Schema, ValidationError

from .fields import Stated
from .job import DraftRecord, LoadRecord, OwnedRecord, PlaceRecord
from .records import One, Variant

_FROM = (DraftRecord(), PlaceRecord(), LoadRecord(), OwnedRecord())  # where the pointers of forms begin


@lru_cache
def declared(pointer: str) -> Stated | None:
    """The field that a pointer names, from the job or from one of its places, loads or pieces; None where none is."""
    return next((found for record in _FROM for found in _along(record, pointer.split("/"))), None)


def problem(pointer: str, value: Any) -> str:
    """What the field that a pointer names has against a value, by itself; empty where nothing."""
    field = declared(pointer)
    if field is None:
        return ""
    try:
        field.sound(value)
    except ValidationError as trouble:
        return str(trouble.messages[0])
    return ""


def _along(record: Schema, names: list[str]) -> Iterator[Stated]:
    first, *rest = names
    field = record.fields.get(first)
    if not isinstance(field, Stated):
        return
    if not rest:
        yield field
    elif isinstance(field, One):
        yield from _along(field.record, rest)
    elif isinstance(field, Variant):
        for each in field.records.values():
            yield from _along(each, rest)
