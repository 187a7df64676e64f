"""Changes as devices send them: one definition for reading, judging and naming them (docs/sync.md)."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from . import ranges
from .faults import UNPRINTABLE, Fault, Reading, kind_of, quoted
from .fields import Choice, Stated, Words
from .records import Record, read

UUID4 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
HANDLE = re.compile(r"new-[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
ANY_JOB = "0" * 26  # stands in addresses for a job that only a device knows yet
JOB_ID = re.compile(rf"(?!{ANY_JOB})[0123456789abcdefghjkmnpqrstvwxyz]{{26}}")
FORMS = ("battery", "place", "load", "limits", "owned")
LISTS = ("place", "load", "owned")
MOST_FIELDS, NAME_CHARS, ENTRY_CHARS = 60, 60, 500
LINES = "\n\r\t"
UNITS = ("metric", "awg")  # the systems of webapp.units
EARLIEST, LATEST = datetime(2000, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)

Changes = dict[str, tuple[str, str]]


class Typed(Stated):
    """Text as somebody typed it: lines too, but nothing that cannot be shown."""

    def __init__(self, says: str, *, most: int = ranges.TYPED_CHARS, **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.most = most

    def sound(self, value: Any) -> str:
        if not isinstance(value, str):
            raise self.wrong(f"must be text, not {kind_of(value)}")
        if len(value) > self.most:
            raise self.wrong(f"is {len(value):,} characters long; at most {self.most:,}")
        if any(char not in LINES and unicodedata.category(char) in UNPRINTABLE for char in value):
            raise self.wrong(f"holds characters that cannot be shown or printed: {quoted(value)}")
        return value


class Spelled(Words):
    """Text of a fixed pattern."""

    def __init__(self, says: str, pattern: re.Pattern[str], **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.pattern = pattern

    def sound(self, value: Any) -> str:
        text = super().sound(value)
        if self.pattern.fullmatch(text) is None:
            raise self.wrong(f"is {quoted(text)}, which none of ours looks like")
        return text


class Instant(Words):
    """A time by the clock of a device; one that no clock can mean is taken as unknown."""

    def sound(self, value: Any) -> Any:
        text = super().sound(value)
        try:
            time = datetime.fromisoformat(text)
        except ValueError:
            raise self.wrong(f"is {quoted(text)}, which is no time") from None
        time = time if time.tzinfo else time.replace(tzinfo=UTC)
        return time.astimezone(UTC) if EARLIEST <= time <= LATEST else None


class FieldChanges(Stated):
    """By the name of a field: its text before and after."""

    def sound(self, value: Any) -> Changes:
        if not isinstance(value, Mapping):
            raise self.wrong(f"must be an object, not {kind_of(value)}")
        if not 0 < len(value) <= MOST_FIELDS:
            raise self.wrong(f"names {len(value):,} fields; from 1 to {MOST_FIELDS}")
        name, text = Typed("the name of a field", most=NAME_CHARS), Typed("the text of a field")
        changes: Changes = {}
        for key, pair in value.items():
            if not isinstance(pair, list) or len(pair) != 2:
                raise self.wrong(f"must hold two texts for {quoted(str(key))}: before and after")
            changes[name.sound(key)] = (text.sound(pair[0]), text.sound(pair[1]))
        return changes


@dataclass(frozen=True, slots=True, kw_only=True)
class Op:
    """What all changes say."""

    op_id: str
    at: datetime | None
    job: str = ""
    handle: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkOp(Op):
    plan: str
    key: str
    old: str
    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormOp(Op):
    form: str
    entry: str | None
    changes: Changes = field(default_factory=dict)
    units: str = ""  # in which they were typed; empty: those of the device now


@dataclass(frozen=True, slots=True, kw_only=True)
class StartOp(Op):
    changes: Changes = field(default_factory=dict)
    units: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PresetOp(Op):
    preset: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputOp(Op):
    output: str
    what: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveOp(Op):
    form: str
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DuplicateOp(Op):
    entry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeleteOp(Op):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class RestoreOp(Op):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOp(Op):
    pass


@dataclass(frozen=True, slots=True, kw_only=True)
class UndoOp(Op):
    op: str


class _OpRecord(Record):
    kind = Typed("the kind")
    op_id = Spelled("the id of the change (op_id)", UUID4)
    at = Instant("the time of the change (at)")


class _JobOpRecord(_OpRecord):
    job = Words("the job")


class _AddingRecord(_JobOpRecord):
    handle = Spelled("the handle", HANDLE, load_default=None, allow_none=True)


class MarkRecord(_OpRecord):
    makes = MarkOp
    plan = Words("the plan")
    key = Typed("the key", most=ENTRY_CHARS)
    old = Typed("the old value")
    new = Typed("the new value")


class FormRecord(_AddingRecord):
    makes = FormOp
    form = Choice("the form", FORMS)
    entry = Typed("the entry", most=ENTRY_CHARS, load_default=None, allow_none=True)
    changes = FieldChanges("the list of changes")
    units = Choice("the units", UNITS, load_default="")


class StartRecord(_OpRecord):
    makes = StartOp
    job = Spelled("the id of the job", JOB_ID)
    changes = FieldChanges("the list of changes")
    units = Choice("the units", UNITS, load_default="")


class PresetRecord(_AddingRecord):
    makes = PresetOp
    preset = Words("the preset")
    where = Words("the place (where)")


class OutputRecord(_AddingRecord):
    makes = OutputOp
    output = Typed("the OUTPUT line")
    what = Typed("the name (what)", most=ranges.NAME_CHARS, load_default="")
    where = Words("the place (where)")


class RemoveRecord(_JobOpRecord):
    makes = RemoveOp
    form = Choice("the form", LISTS)
    entry = Typed("the entry", most=ENTRY_CHARS)


class DuplicateRecord(_AddingRecord):
    makes = DuplicateOp
    entry = Words("the load (entry)")


class DeleteRecord(_JobOpRecord):
    makes = DeleteOp


class RestoreRecord(_JobOpRecord):
    makes = RestoreOp


class PlanOpRecord(_JobOpRecord):
    makes = PlanOp


class UndoRecord(_JobOpRecord):
    makes = UndoOp
    op = Spelled("the change to undo (op)", UUID4)


RECORDS: dict[str, Record] = {
    "mark": MarkRecord(),
    "form": FormRecord(),
    "start": StartRecord(),
    "preset": PresetRecord(),
    "output": OutputRecord(),
    "remove": RemoveRecord(),
    "duplicate": DuplicateRecord(),
    "delete": DeleteRecord(),
    "restore": RestoreRecord(),
    "plan": PlanOpRecord(),
    "undo": UndoRecord(),
}


def read_op(content: object) -> Reading[Op]:
    """A change as a value, or all its faults. Never raises."""
    kind = content.get("kind") if isinstance(content, Mapping) else None
    record = RECORDS.get(kind) if isinstance(kind, str) else None
    if record is None:
        said = quoted(kind) if isinstance(kind, str) else kind_of(kind)
        return Reading(value=None, faults=(Fault(pointer="kind", message=f"there is no change of the kind {said}"),))
    return read(record, content)
