"""Objects and lists of a document: one schema reads it, judges it, builds the value and writes it back."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, ClassVar

from marshmallow import EXCLUDE, Schema, ValidationError, fields, post_dump, validates_schema

from webapp.texts import _

from .faults import Fault, Reading, Stranger, collected, kind_of, shown
from .fields import Choice, Stated

_CONSTANT = ("format", "kind")  # fields that name the type and are not part of the value


class Sound(dict[str, Any]):
    """The fields of an object that are sound by themselves; rules between fields look only at these."""

    def __init__(self, data: Mapping[str, Any], original: Mapping[str, Any]) -> None:
        super().__init__(data)
        self._original = original

    def states(self, name: str) -> bool:
        """Whether the document says anything about a field, sound or not."""
        return self._original.get(name) is not None


Rule = Callable[[Sound], Iterator[Fault]]


class Record(Schema):
    """An object of a document. It loads to a plain dict; `build` turns a faultless one into a value."""

    class Meta:
        unknown = EXCLUDE  # strangers are reported by name below

    makes: ClassVar[type]
    rules: ClassVar[tuple[Rule, ...]] = ()
    lenient: ClassVar[bool] = False  # whether a document may carry fields that are not known here

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def _judge(self, data: dict[str, Any], original: Any, **_: Any) -> None:
        if not isinstance(original, Mapping):
            return
        known = tuple(self.load_fields)
        faults: list[Any] = [] if self.lenient else [Stranger(key, known) for key in original if key not in known]
        sound = Sound(data, original)
        for rule in self.rules:
            faults.extend(rule(sound))
        if faults:
            raise ValidationError(faults)

    def build(self, data: Mapping[str, Any]) -> Any:
        """The value of a faultless object."""
        return self.makes(**self._built(data))

    def _built(self, data: Mapping[str, Any]) -> dict[str, Any]:
        return {
            name: field.build(data[name]) if isinstance(field, (One, Many, Variant)) else data[name]
            for name, field in self.load_fields.items()
            if name not in _CONSTANT
        }

    @post_dump
    def _leave_out(self, data: dict[str, Any], **_: Any) -> dict[str, Any]:
        """Without the optional fields that hold their default."""
        return {name: value for name, value in data.items() if not _is_default(self.fields[name], value)}


def _is_default(field: fields.Field[Any], value: Any) -> bool:
    if field.required or getattr(field, "written", False):
        return False
    default = field.load_default
    return bool(value == (list(default) if isinstance(default, tuple) else default))


class One(Stated):
    """An object."""

    def __init__(self, says: str, record: type[Record], **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.record = record()

    def sound(self, value: Any) -> Any:
        if not isinstance(value, Mapping):
            raise self.wrong(_("must be an object, not %(kind)s", kind=kind_of(value)))
        return self.record.load(value)

    def plain(self, value: Any) -> Any:
        return None if value is None else self.record.dump(value)

    def build(self, data: Any) -> Any:
        return None if data is None else self.record.build(data)


class Variant(Stated):
    """An object whose `kind` says which one of several it is."""

    def __init__(self, says: str, records: Mapping[str, type[Record]], **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.records = {kind: record() for kind, record in records.items()}
        self.by_value = {record.makes: record for record in self.records.values()}
        self.kind = Choice("the kind", tuple(records))

    def sound(self, value: Any) -> Any:
        if not isinstance(value, Mapping):
            raise self.wrong(_("must be an object, not %(kind)s", kind=kind_of(value)))
        try:
            kind: Any = self.kind.deserialize(value.get("kind"))
        except ValidationError as error:
            raise ValidationError({"kind": error.messages}, valid_data=_id_only(value)) from error
        return self.records[kind].load(value)

    def plain(self, value: Any) -> Any:
        return self.by_value[type(value)].dump(value)

    def build(self, data: Any) -> Any:
        return self.records[data["kind"]].build(data)


def _id_only(value: Mapping[str, Any]) -> dict[str, Any]:
    """Of an object of unknown kind the id still counts, or everything that refers to it would seem to dangle."""
    return {"id": value["id"]} if isinstance(value.get("id"), str) else {}


class Many(Stated):
    """A list. A faulty entry keeps its position, as what is sound of it."""

    def __init__(self, says: str, inner: Stated, *, most: int, **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.inner = inner
        self.most = most

    def sound(self, value: Any) -> list[Any]:
        if not isinstance(value, list):
            raise self.wrong(_("must be a list, not %(kind)s", kind=kind_of(value)))
        if len(value) > self.most:
            now, most = shown(len(value)), shown(self.most)
            raise self.wrong(
                _("has %(now)s entries, outside what we have tested; at most %(most)s", now=now, most=most)
            )
        sound: list[Any] = []
        wrong: dict[int, Any] = {}
        for index, entry in enumerate(value):
            try:
                sound.append(self.inner.deserialize(entry))
            except ValidationError as error:
                sound.append(error.valid_data)
                wrong[index] = error.messages
        if wrong:
            raise ValidationError(wrong, valid_data=sound)
        return sound

    def plain(self, value: Any) -> list[Any]:
        return [self.inner.plain(entry) for entry in value]

    def build(self, data: list[Any]) -> tuple[Any, ...]:
        if isinstance(self.inner, (One, Variant)):
            return tuple(self.inner.build(entry) for entry in data)
        return tuple(data)


def read(record: Record, document: object) -> Reading[Any]:
    """The value of a document, or all its faults. Never raises, whatever the object."""
    if not isinstance(document, Mapping):
        message = f"this must be an object with the fields of the document, not {kind_of(document)}"
        return Reading(value=None, faults=(Fault(pointer="", message=message),))
    try:
        if isinstance(document.get("format"), str):
            _of_this_version(record, document["format"])
        return Reading(value=record.build(record.load(document)))
    except ValidationError as error:
        return Reading(value=None, faults=collected(error.messages))


def _of_this_version(record: Record, version: str) -> None:
    """Stops at another version: what else such a document says cannot be judged."""
    try:
        record.fields["format"].deserialize(version)
    except ValidationError as error:
        raise ValidationError({"format": error.messages}) from error
