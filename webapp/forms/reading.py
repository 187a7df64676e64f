"""Text to values and back, by the reader of typed quantities that the documents share."""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, Any

from webapp import units
from webapp.schemas import ranges, typed
from webapp.schemas.declared import declared
from webapp.schemas.fields import Words
from webapp.texts import _, decimal, languages, speaking

if TYPE_CHECKING:
    from webapp.forms.fields import Spec

CENTS = 100
HEAD_CHARS = 80  # of a title: as much as the head of a page shows on a phone


class Unreadable(ValueError):
    """A sentence about what to type instead."""


def read_text(spec: Spec, text: str) -> Any:
    """The value of one field; None for an optional field left empty."""
    if spec.kind == "tick":
        return text == "yes"
    if not text:
        if spec.optional:
            return None
        raise Unreadable(_missing(spec))
    if spec.kind == "text":
        return _short(spec, text)
    if spec.kind == "choice":
        return _chosen(spec, text)
    return _number(spec, text)


def read_anywhere(spec: Spec, text: str) -> Any:
    """The value of a text that was written in any of our languages: none has two values."""
    for code in languages():
        with speaking(code), suppress(Unreadable):
            return read_text(spec, text)
    raise Unreadable(_missing(spec))


def written(spec: Spec, value: Any) -> str:
    """A value as its field shows it."""
    if spec.kind == "tick":
        return "yes" if value else ""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if spec.quantity == "money":
        return decimal(f"{value // CENTS}.{value % CENTS:02d}")
    chosen = units.field_text(spec.quantity, value) if spec.kind == "number" else None
    if chosen is not None:
        return decimal(chosen)
    text = plain(value * 100 if spec.percent else value)
    return text if spec.kind == "choice" else decimal(text)  # a choice is sent as its key, which nobody reads


def plain(value: float) -> str:
    """A number without a trailing point or dust, the same in every language: 12, 0.85, 19.5."""
    return format(round(float(value), 9), ".10g")


def as_copy(name: str) -> str:
    """What a copy is called; of a long name the end gives way."""
    room = ranges.NAME_CHARS - len(_("%(name)s (copy)", name=""))
    return _("%(name)s (copy)", name=name[:room])


def with_change(name: str, change: str) -> str:
    """What a copy with a change is called: of a long name the end gives way, so that the two are told apart."""
    room = max(HEAD_CHARS // 2, HEAD_CHARS - len(f": {change}"))
    return f"{name[:room].rstrip()}: {change}"[:HEAD_CHARS]


def _missing(spec: Spec) -> str:
    return _("Choose one.") if spec.kind == "choice" else _("Nothing is entered here yet.")


def most_chars(spec: Spec) -> int:
    """How long a text may be: what its document holds, or what may be typed where none holds it."""
    field = declared(spec.pointer) if spec.pointer else None
    return field.most if isinstance(field, Words) else ranges.TYPED_CHARS


def _short(spec: Spec, text: str) -> str:
    most = most_chars(spec)
    if len(text) > most:
        raise Unreadable(_("Keep this to %(most)s characters; it has %(now)s.", most=most, now=len(text)))
    return text


def _chosen(spec: Spec, text: str) -> str:
    if text not in dict(spec.choices):
        raise Unreadable(_missing(spec))
    return text


def _number(spec: Spec, text: str) -> float:
    try:
        value = typed.read("percent" if spec.percent else spec.quantity, units.with_unit(spec.quantity, text))
    except ValueError as trouble:
        raise Unreadable(str(trouble)) from trouble
    if spec.quantity == "money":
        return round(value * CENTS)
    return round(value / 100, 9) if spec.percent else value
