"""What is wrong with a document: where, and in a sentence a builder understands."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from marshmallow.exceptions import SCHEMA

from webapp.texts import SOURCE, _, decimal, language

FAULTS_SHOWN = 500  # a document of megabytes can hold more faults than anybody reads
UNPRINTABLE = frozenset({"Cc", "Cs", "Zl", "Zp"})  # control characters, lone surrogates, line and paragraph separators
_QUOTED_CHARS = 60

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault. The pointer is a JSON pointer without its leading slash; empty for the document itself."""

    pointer: str
    message: str

    def below(self, prefix: str) -> Fault:
        """The same fault seen from an object further out."""
        return Fault(pointer=join(prefix, self.pointer), message=self.message)

    def __str__(self) -> str:
        return f"{self.pointer or 'document'}: {self.message}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading(Generic[T]):
    """What was read, or every fault that keeps it from being read."""

    value: T | None
    faults: tuple[Fault, ...] = ()


def join(*steps: str) -> str:
    """One pointer from several."""
    return "/".join(step for step in steps if step)


def step(key: object) -> str:
    """A key of an object or an index of a list as one step of a pointer (RFC 6901)."""
    return printable(str(key)).replace("~", "~0").replace("/", "~1") or "''"


@dataclass(frozen=True, slots=True)
class Stranger:
    """A field nobody knows. Its sentence is made only if it is shown: likenesses take long to find."""

    key: object
    known: tuple[str, ...]

    def fault(self) -> Fault:
        near = difflib.get_close_matches(str(self.key)[:_QUOTED_CHARS], self.known, n=1)
        message = _("there is no field called %(name)s here", name=quoted(str(self.key)))
        hint = _("; did you mean %(name)s?", name=quoted(near[0])) if near else ""
        return Fault(pointer=step(self.key), message=message + hint)


def flat(messages: Any, prefix: str = "") -> Iterator[tuple[str, Any]]:
    """Pointer and message out of the nested messages that marshmallow collects."""
    if isinstance(messages, dict):
        for key, inner in messages.items():
            yield from flat(inner, prefix if key == SCHEMA else join(prefix, step(key)))
    elif isinstance(messages, list):
        for inner in messages:
            yield from flat(inner, prefix)
    else:
        yield prefix, messages


def collected(messages: Any) -> tuple[Fault, ...]:
    """All faults in what marshmallow collected, as many as a person can use."""
    return capped(_fault(prefix, message) for prefix, message in flat(messages))


def _fault(prefix: str, message: Any) -> Fault:
    if isinstance(message, Stranger):
        message = message.fault()
    if isinstance(message, Fault):
        return message.below(prefix)
    return Fault(pointer=prefix, message=str(message))


def capped(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """The faults without repeats; beyond 500 a last one says that there are more."""
    unique: dict[Fault, None] = {}
    for fault in faults:
        if len(unique) == FAULTS_SHOWN:
            return (*unique, Fault(pointer="", message=_("there are more faults: mend these first")))
        unique[fault] = None
    return tuple(unique)


def printable(text: str) -> str:
    """Text that any page or terminal can show: at most 60 characters, unprintable ones spelled out."""
    clipped = text if len(text) <= _QUOTED_CHARS else text[:_QUOTED_CHARS] + "…"
    return "".join(f"\\u{ord(c):04x}" if unicodedata.category(c) in UNPRINTABLE else c for c in clipped)


def quoted(text: str) -> str:
    """Somebody else's words inside one of our sentences."""
    return f"'{printable(text)}'"


def shown(value: float) -> str:
    """A number inside a sentence; safe for any size."""
    if abs(value) >= 1e15:
        return _("an enormous number")
    text = f"{int(value):,}" if value == int(value) else f"{value:.6g}"
    return text if language() == SOURCE else decimal(text.replace(",", " "))


def kind_of(value: object) -> str:
    """What a value of a JSON document is, in plain words."""
    if value is None:
        return _("nothing (null)")
    if isinstance(value, bool):
        return _("true") if value else _("false")
    if isinstance(value, str):
        return _("text (%(text)s)", text=quoted(value))
    if isinstance(value, (int, float)):
        return _("a number")
    if isinstance(value, list):
        return _("a list")
    return _("an object") if isinstance(value, dict) else _("something else")
