"""Sentences that the optimizer wrote into a plan, in the reader's language.

Plans are kept as they were written, in English and with numbers inside. Here are the forms such sentences have; one
that fits is said anew with its own names and numbers. One that fits none stays English and is marked as such, so that
a screen reader says it right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache

from markupsafe import Markup, escape

from webapp.present.styles import in_trade_words
from webapp.present.told_forms import FORMS, NAMED
from webapp.present.words import capital
from webapp.texts import SOURCE, _, bound, decimal, language, speaking
from webapp.texts.figures import GROUP

_HOLE = re.compile(r"%\((\w+)\)s")
_NUMBER = re.compile(r"\d+(?:,\d{3})+(?:\.\d+)?|\d+\.\d+")
_WORD = re.compile(r"[^\W\d_]{2,}")
_FIRST_MARK = 0xE000  # of the characters that mean nothing
_UNITS = re.compile(r"(?:Ω/km|[mk]?[VAWΩ]|[AW]h|mm²?|°C|AWG)(?!\w)|√")


def told(text: str) -> str:
    """A sentence, clause or name out of a plan; HTML that marks it as English where there are no other words for it."""
    text = in_trade_words(text)
    if language() == SOURCE or not text:
        return bound(text)
    said = _said(language(), text)
    return bound(said) if said is not None else _in_english(text)


def told_sentence(text: str, names: Iterable[str] = ()) -> str:
    """The same as a sentence of its own; names given stay whole, also where they hold an "and" or a "from"."""
    text = in_trade_words(text.strip())
    if not text:
        return ""
    text = text[0].upper() + text[1:] + ("" if text[-1] in ".?:" else ".")
    if language() == SOURCE:
        return bound(text)
    hidden, marks = _hidden(text, names)
    said = _said(language(), hidden)
    return bound(_shown(capital(said), marks)) if said is not None else _in_english(text)


def told_choice(text: str, names: Iterable[str] = ()) -> str:
    """What a plan chose: names, with what is said around them. The same of names given."""
    hidden, marks = _hidden(text, names)
    reading = None if language() == SOURCE else _reading(language(), hidden, among_names=True)
    return bound(text if reading is None else _shown(reading.said, marks))


def _hidden(text: str, names: Iterable[str]) -> tuple[str, dict[str, str]]:
    """The text with a mark for every name that would be taken for words of ours, and the names by mark."""
    marks: dict[str, str] = {}
    if language() == SOURCE:
        return text, marks
    there = {said for name in names for said in (name, capital(name)) if said in text and _is_ours(said)}
    for name in sorted(there, key=lambda each: (-len(each), each)):
        mark = chr(_FIRST_MARK + len(marks))
        marks[mark] = name
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", mark, text)
    return text, marks


def _is_ours(name: str) -> bool:
    """Whether a name would not stay as it is."""
    reading = _reading(language(), name, among_names=True)
    return reading is not None and reading.said != name


def _shown(text: str, marks: Mapping[str, str]) -> str:
    for mark, name in marks.items():
        text = text.replace(mark, name)
    return text


def joined(mark: str, parts: Iterable[str]) -> str:
    """Texts of which some may be marked as English, in one."""
    parts = tuple(parts)
    is_marked = any(isinstance(part, Markup) for part in parts)
    return escape(mark).join(parts) if is_marked else mark.join(parts)


def told_plainly(text: str) -> str:
    """The same as plain text: for what is kept, or said inside another sentence."""
    text = in_trade_words(text)
    if language() == SOURCE:
        return text
    return _said(language(), text) or text


def _said(code: str, text: str) -> str | None:
    """The text in a language; None where a part of it has no words there."""
    reading = _reading(code, text)
    return None if reading is None else reading.said


@dataclass(frozen=True, slots=True)
class _Reading:
    said: str
    kept: int  # characters taken for names: of several readings the one that keeps fewest is right


@lru_cache(maxsize=4096)
def _reading(code: str, text: str, *, among_names: bool = False) -> _Reading | None:
    """The text as a whole or clause by clause, whichever leaves the least of it as it was."""
    with speaking(code):
        readings = [
            *_whole(text, among_names=among_names),
            *(each for mark in (". ", "; ", ", ") for each in _parts(text, mark)),
        ]
    return min(readings, key=lambda reading: reading.kept, default=None)


def _parts(text: str, mark: str) -> Iterator[_Reading]:
    parts = text.split(mark)
    readings = [_reading(language(), part) for part in parts] if len(parts) > 1 else []
    sound = [reading for reading in readings if reading is not None]
    if sound and len(sound) == len(parts):
        yield _Reading(mark.join(each.said for each in sound), sum(each.kept for each in sound))


def _whole(text: str, *, among_names: bool) -> Iterator[_Reading]:
    ending = "." if text.endswith(".") else ""
    bare = text.removesuffix(".")
    if not _WORD.search(_UNITS.sub("", bare)):
        yield _Reading(_numbers(text), 0)
        return
    for form, core, shape in _shapes(among_names):
        if core not in bare[1:]:
            continue
        found = shape.fullmatch(bare) or shape.fullmatch(bare[:1].lower() + bare[1:])
        values = _values(found.groupdict()) if found else None
        if values is not None:
            said = _(form, **{name: each.said for name, each in values.items()})
            said = (capital(said) if text[:1].isupper() and form[:1].islower() else said) + ending
            yield _Reading(said, sum(each.kept for each in values.values()))


def _values(found: Mapping[str, str]) -> dict[str, _Reading] | None:
    """What the holes of a form hold, in the language; None where something in them has no words there."""
    values = {}
    for name, value in found.items():
        among_names = name.startswith("either")
        reading = None if name.startswith("name") else _reading(language(), value, among_names=among_names)
        if reading is None and name.startswith(("name", "either")) and "; " not in value:
            reading = _Reading(value, len(value))
        if reading is None or (name == "amount" and reading.kept):  # an amount holds no name
            return None
        values[name] = reading
    return values


def _numbers(text: str) -> str:
    return _NUMBER.sub(lambda number: decimal(number.group().replace(",", GROUP)), text)


@lru_cache(maxsize=2)
def _shapes(among_names: bool) -> tuple[tuple[str, str, re.Pattern[str]], ...]:
    """Every form, its longest piece of text, which is quick to look for, and what fits it; the wordiest come first."""
    forms = (*FORMS, *NAMED) if among_names else FORMS
    by_length = sorted(forms, key=lambda form: -len(_HOLE.sub("", form)))
    return tuple((form, _core(form), _shape(form)) for form in by_length)


def _core(form: str) -> str:
    """Without its first letter, which may be a capital."""
    first, *others = _pieces(form)
    return max(first[1:], *others, key=len) if others else first[1:]


def _pieces(form: str) -> list[str]:
    """Its text around the holes."""
    pieces = _HOLE.split(form)
    return [piece.replace("%%", "%") for piece in pieces[::2]] if len(pieces) > 1 else pieces


def _shape(form: str) -> re.Pattern[str]:
    text, names = _pieces(form), _HOLE.findall(form)
    holes = [f"(?P={name})" if name in names[:at] else f"(?P<{name}>.+?)" for at, name in enumerate(names)]
    return re.compile("".join(re.escape(piece) + hole for piece, hole in zip(text, [*holes, ""], strict=True)))


def _in_english(text: str) -> Markup:
    with speaking(SOURCE):
        return Markup('<span lang="en">{}</span>').format(escape(bound(text)))
