"""What people read, in their language. English is the source; a language is one file beside this one.

`_` and `ngettext` translate where a text is shown, `N_` marks a constant that is translated later. Values are filled in
by name, `_("Removed: %(called)s.", called=name)`; a text without values is taken as it is, per cent signs and all. The
numbers of a text stay on one line with their units; values are taken as they come.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path
from typing import Any

from babel import numbers
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from webapp.texts import figures

SOURCE = "en"
_FOLDER = Path(__file__).parent
_spoken: ContextVar[str] = ContextVar("language", default=SOURCE)


def languages() -> tuple[str, ...]:
    """The languages there are, English first."""
    return (SOURCE, *sorted(file.stem for file in _FOLDER.glob("*.po")))


def language() -> str:
    """The language of what is being written just now."""
    return _spoken.get()


@contextmanager
def speaking(code: str) -> Iterator[None]:
    """Whatever is written inside is in that language; in English where it is not one of ours."""
    token = _spoken.set(code if code in languages() else SOURCE)
    try:
        yield
    finally:
        _spoken.reset(token)


def N_(text: str) -> str:  # noqa: N802 - the name that text extraction looks for
    """Marks a constant that is translated where it is shown."""
    return text


def _(text: str, /, **values: Any) -> str:
    """A text in the reader's language."""
    said = bound(_catalogue(language()).gettext(text)) if text else ""
    return said % values if values else said


def ngettext(one: str, many: str, number: int, /, **values: Any) -> str:
    """One text or the other by the number, which they may show as %(num)s."""
    return bound(_catalogue(language()).ngettext(one, many, number)) % {"num": number, **values}


def bound(text: str) -> str:
    """A text in the reader's language with its numbers as we write them: grouped, on one line with their units."""
    return figures.bound(text, has_commas=language() == SOURCE)


def decimal(text: str) -> str:
    """A number in plain figures, with the decimal sign of the reader's language for its point."""
    return text.replace(".", _decimal_sign(language()))


@cache
def _decimal_sign(code: str) -> str:
    return numbers.get_decimal_symbol(code)


@cache
def _catalogue(code: str) -> NullTranslations:
    if code == SOURCE:
        return NullTranslations()
    compiled = BytesIO()
    with (_FOLDER / f"{code}.po").open(encoding="utf-8") as file:
        write_mo(compiled, read_po(file, locale=code))
    compiled.seek(0)
    return GNUTranslations(compiled)
