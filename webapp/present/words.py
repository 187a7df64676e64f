"""Quantities as people read them: three figures, unit attached by a space that does not break."""

from __future__ import annotations

import math
import re

from webapp.texts import SOURCE, language

SPACE = "\u00a0"  # no line break between number and unit
GROUP = "\u202f"  # narrow, between thousands
MINUS = "\u2212"
_GROUPED = re.compile(r"(?<![\d',.])\d{1,3}(?:,\d{3})+(?![\d',])")  # in quotes it is what somebody typed
_SPACED = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")  # the same in German: 20 000
_UNIT = re.compile(r"(?<=\d) (?=(?:[mk]?[VAWΩ]|[AW]h|mm²|mm|m|h|s|°C|%|×)(?!\w))")
FORMS = {
    "dc-plug": "round DC plug",
    "usb-c": "USB-C",
    "powered-ethernet": "powered Ethernet",
    "dc-wire": "bare conductors",
}


def figure(value: float, digits: int = 3) -> str:
    """A number to so many significant figures, never in powers of ten; whole parts are never cut."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "–"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:,.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace(",", GROUP).replace("-", MINUS)


def quantity(value: float, unit: str, digits: int = 3) -> str:
    """A number with its unit."""
    return f"{figure(value, digits)}{SPACE}{unit}" if unit else figure(value, digits)


def bound(text: str) -> str:
    """A text of others with numbers as we write them: grouped like ours, on one line with their units."""
    if language() == SOURCE:
        text = _GROUPED.sub(lambda number: number.group().replace(",", GROUP), text)
    else:
        text = _SPACED.sub(GROUP, text)
    return _UNIT.sub(SPACE, text)


def one_or_many(value: float, unit: str) -> str:
    """A unit that is a word, as it stands behind this number: 1 stage, 2 stages."""
    if value != 1 or len(unit) < 4:
        return unit
    return f"{unit.removesuffix('ies')}y" if unit.endswith("ies") else unit.removesuffix("s")


def signed(value: float, unit: str) -> str:
    """A difference: + or − always written."""
    sign = "+" if value > 0 else ""
    return f"{sign}{quantity(value, unit)}"


def money(cents: int) -> str:
    """Minor units as an amount with two decimals. No currency: the catalogue names none."""
    whole, rest = divmod(abs(cents), 100)
    return f"{MINUS if cents < 0 else ''}{whole:,}.{rest:02}".replace(",", GROUP)


def metres(mm: int) -> str:
    """A length in metres to the centimetre, or the millimetre where it has one."""
    text = f"{mm / 1000:.3f}"
    return f"{text.removesuffix('0')}{SPACE}m"


def percent(fraction: float) -> str:
    return quantity(fraction * 100, "%")


def count(number: int, one: str, many: str = "") -> str:
    """So many of something."""
    return f"{number}{SPACE}{one if number == 1 else many or one + 's'}"


def listed(names: list[str]) -> str:
    """Names in one sentence: a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def form_words(form: str) -> str:
    return FORMS.get(form, form.replace("-", " "))


def sentence(text: str) -> str:
    """A fault or a message as a sentence of its own."""
    text = bound(text.strip())
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?:" else ".")
