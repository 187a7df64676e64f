"""Fields of a document: strict types, one sentence a fault. Nothing is converted that was not meant."""

from __future__ import annotations

import math
import re
import unicodedata
from typing import Any

from marshmallow import ValidationError, fields, missing

from webapp.texts import _

from . import ranges
from .faults import UNPRINTABLE, kind_of, quoted, shown
from .ranges import Range


class Stated(fields.Field[Any]):
    """A field with a name for people. Without a `load_default` it has to be stated."""

    def __init__(self, says: str, *, written: bool = False, unknown: str = "", **kwargs: Any) -> None:
        super().__init__(required=kwargs.get("load_default", missing) is missing, **kwargs)
        self.unknown = unknown
        self.says = says
        self.written = written  # dumped even where it holds the default

    def wrong(self, problem: str) -> ValidationError:
        return ValidationError(f"{_(self.says)} {problem}")

    def make_error(self, key: str, **kwargs: Any) -> ValidationError:
        """What to say where nothing is stated."""
        if key in ("required", "null"):
            return ValidationError(_(self.unknown) or _("%(what)s is missing", what=_(self.says)))
        return super().make_error(key, **kwargs)

    def sound(self, value: Any) -> Any:
        """The value as it goes on, or a ValidationError."""
        raise NotImplementedError

    def plain(self, value: Any) -> Any:
        """The value as a document holds it."""
        return value

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:  # noqa: ARG002
        return self.sound(value)

    def _serialize(self, value: Any, attr: str | None, obj: Any, **kwargs: Any) -> Any:  # noqa: ARG002
        return self.plain(value)


class Quantity(Stated):
    """A finite number within its range. Whole numbers stay whole."""

    def __init__(self, says: str, bounds: Range, **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.bounds = bounds

    def sound(self, value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            raise self.wrong(_("must be a number, not %(kind)s", kind=kind_of(value)))
        if isinstance(value, float) and not math.isfinite(value):
            raise self.wrong(_("must be a finite number"))
        problem = self.bounds.problem(value)
        if problem:
            raise self.wrong(problem)
        return value


class Scalar(Stated):
    """A finite number, or yes or no: a value of any field."""

    def sound(self, value: Any) -> Any:
        if isinstance(value, bool):
            return value
        return Quantity(self.says, ranges.ANY).sound(value)


class Whole(Quantity):
    """A whole number; 3.0 will do for 3."""

    def sound(self, value: Any) -> int:
        number = super().sound(value)
        if number != int(number):
            raise self.wrong(_("must be a whole number, not %(number)s", number=shown(number)))
        return int(number)


class Flag(Stated):
    """true or false, nothing that merely resembles it."""

    def sound(self, value: Any) -> bool:
        if not isinstance(value, bool):
            raise self.wrong(_("must be true or false, not %(kind)s", kind=kind_of(value)))
        return value


class Words(Stated):
    """Text as people write it, kept byte for byte: any script, any markup, no control characters."""

    def __init__(self, says: str, *, most: int = ranges.NAME_CHARS, blank: bool = False, **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.most = most
        self.blank = blank

    def sound(self, value: Any) -> str:
        if not isinstance(value, str):
            raise self.wrong(_("must be text, not %(kind)s", kind=kind_of(value)))
        if len(value) > self.most:
            raise self.wrong(
                _("is %(now)s characters long; at most %(most)s", now=shown(len(value)), most=shown(self.most))
            )
        if any(unicodedata.category(char) in UNPRINTABLE for char in value):
            raise self.wrong(_("holds characters that cannot be shown or printed: %(text)s", text=quoted(value)))
        if not self.blank and not value.strip():
            raise self.wrong(_("is empty"))
        return value


class Id(Words):
    """A short name that other entries refer to."""

    def __init__(self, says: str, **kwargs: Any) -> None:
        super().__init__(says, most=ranges.ID_CHARS, **kwargs)


class Person(Words):
    """Somebody's name, as people write it: without a letter in it nobody is named."""

    def __init__(self, says: str, **kwargs: Any) -> None:
        super().__init__(says, most=ranges.PERSON_CHARS, **kwargs)

    def sound(self, value: Any) -> str:
        name = super().sound(value)
        if not any(char.isalpha() for char in name):
            raise self.wrong(_("holds no letter: it names nobody"))
        return name


class Choice(Stated):
    """One of a few fixed words."""

    def __init__(self, says: str, options: tuple[Any, ...], **kwargs: Any) -> None:
        super().__init__(says, **kwargs)
        self.options = options

    def sound(self, value: Any) -> Any:
        for option in self.options:
            if type(value) in (type(option), *((float,) if type(option) is int else ())) and value == option:
                return option
        known = " or ".join(str(option) for option in self.options)
        given = str(value) if type(value) in (int, float) and abs(value) < 1e6 else kind_of(value)
        raise self.wrong(_("must be %(known)s, not %(given)s", known=known, given=given))


class Format(Stated):
    """The version of a document."""

    def __init__(self, version: str) -> None:
        super().__init__("format", unknown=f"the format is missing: write {quoted(version)}", dump_default=version)
        self.version = version

    def sound(self, value: Any) -> str:
        if value != self.version:
            given = quoted(value) if isinstance(value, str) else kind_of(value)
            raise ValidationError(f"this must be a {self.version} document, not {given}")
        return self.version


# Words for a mains supply: trade terms and the common nominal voltages with their tolerances.
_MAINS_WORD = re.compile(r"mains|ac|shore|hookup|schuko|(?:1[0-3]\d|2[0-7]\d)(?:v|vac)|\d+vac")


class Form(Id):
    """A form of supply: an open set, mains excepted."""

    def sound(self, value: Any) -> str:
        form = super().sound(value)
        if is_mains(form):
            raise self.wrong(_("is %(form)s: %(why)s", form=quoted(form), why=_(ranges.MAINS_REFUSED)))
        return form


def is_mains(form: str) -> bool:
    """Whether a form of supply names the mains."""
    plain = unicodedata.normalize("NFKC", form).casefold().replace("hook-up", "hookup")
    joined = re.sub(r"(\d)\s*-?\s*v", r"\1v", plain)
    return any(_MAINS_WORD.fullmatch(word) for word in re.split(r"[^a-z0-9]+", joined))
