"""Units as a person chose them: metres, °C and mm², or feet, °F and AWG. Documents hold the former, always.

Feet and °F are shown rounded; whoever puts a value back that was only shown must keep the stored one (`forms.fields`).
A gauge stands for an area that is never larger than its own: what we call 9 AWG may be replaced by 9 AWG.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from webapp.schemas.typed import awg_mm2
from webapp.texts import N_, _, decimal

METRIC, AMERICAN = "metric", "awg"
SYSTEMS = ((METRIC, N_("Metres, °C, mm²")), (AMERICAN, N_("Feet, °F, AWG")))
FOOT_M = 0.3048
THICKEST, THINNEST = -3, 36  # 4/0 and the finest that typed gauges may be
TYPED_UNITS = {"length": "ft", "temperature": "°F", "area": "AWG"}
SYMBOLS = {"m": "ft", "°C": "°F", "mm²": "AWG"}
LABELS = {
    "Length of the run, metres": N_("Length of the run, feet"),
    "Hottest air along the run, °C": N_("Hottest air along the run, °F"),
    "Hottest air around panel and cables, °C": N_("Hottest air around panel and cables, °F"),
    "Length of a lead to cut, metres": N_("Length of a lead to cut, feet"),
    "Temperature of the copper, °C": N_("Temperature of the copper, °F"),
    "Added to every cut, metres": N_("Added to every cut, feet"),
    "Thinnest conductor allowed, mm²": N_("Thinnest conductor allowed, AWG"),
    "Cable from the panel to such a converter, metres": N_("Cable from the panel to such a converter, feet"),
    "Length of the piece, metres": N_("Length of the piece, feet"),
}
_SAID = re.compile(r"(?<![\w.,])([−-]?\d+(?:[ ,.\u202f\u00a0]\d+)*)([ \u00a0])(m|°C)(?![\w²³/])")
_SPACES = re.compile("[ \u202f\u00a0]")
_BARE = re.compile(r"[+\-−]?\s*[\d.,\s]+")
_chosen: ContextVar[str] = ContextVar("units", default=METRIC)


def chosen() -> str:
    """The system in which this request is answered and read."""
    return _chosen.get()


def choose(system: str) -> None:
    """Answer and read in this system from here on; metric where it is none of ours."""
    _chosen.set(system if system in dict(SYSTEMS) else METRIC)


@contextmanager
def counting_in(system: str) -> Iterator[None]:
    """Whatever is read and written inside is in this system; as chosen where it names none."""
    token = _chosen.set(system or chosen())
    try:
        yield
    finally:
        _chosen.reset(token)


def american() -> bool:
    return _chosen.get() == AMERICAN


def symbol(unit: str) -> str:
    """The unit that a field or a figure shows in place of the one that documents hold."""
    return SYMBOLS.get(unit, unit) if american() else unit


def label(words: str) -> str:
    """The label of a field that names its unit, in the system chosen; still to be translated."""
    return LABELS.get(words, words) if american() else words


def figure(value: float, unit: str, *, is_difference: bool = False) -> tuple[float, str]:
    """A quantity and its unit as chosen; areas stay mm², `gauge_note` goes behind them."""
    if american() and unit == "m":
        return value / FOOT_M, "ft"
    if american() and unit == "°C":
        return value * 9 / 5 + (0 if is_difference else 32), "°F"
    return value, unit


def in_words(text: str) -> str:
    """A hint or a fault with its metres and °C as chosen. Of two figures the second is the limit that the first
    breaks: it is rounded so that whoever types it keeps it.
    """
    found = list(_SAID.finditer(text)) if american() else []
    try:
        said = [figure(_value(match[1]), match[3]) for match in found]
    except ValueError:  # a name that somebody gave, which looks like one
        return text
    numbers = [round(value, 2) for value, _unit in said]
    if len(said) == 2 and said[0][0] != said[1][0]:
        inwards = math.floor if said[0][0] > said[1][0] else math.ceil
        numbers[1] = inwards(round(said[1][0] * 100, 6)) / 100
    said_as = iter(f"{decimal(f'{number:.10g}')}{{}}{unit}" for number, (_, unit) in zip(numbers, said, strict=True))
    return _SAID.sub(lambda match: next(said_as).format(match[2]), text) if found else text


def beside(text: str) -> str:
    """What each length and temperature of a sum is in the units chosen, for the sum itself has to stay as it adds up;
    empty where nothing is to be said.
    """
    said = {match[0]: in_words(match[0]) for match in _SAID.finditer(text)}
    return " · ".join(f"{figure} = {as_chosen}" for figure, as_chosen in said.items() if as_chosen != figure)


def _value(text: str) -> float:
    """A number as sentences show it: English groups by comma, German by space, its decimal sign being the comma."""
    text = _SPACES.sub("", text.replace("−", "-"))
    return float(text.replace(",", "." if decimal(".") == "," else ""))


def gauge_note(mm2: float) -> str:
    """What goes behind an area: the gauge that is no thinner, in brackets; empty where nobody asked for gauges."""
    gauge = gauge_at_least(mm2) if american() else ""
    return f" ({gauge})".replace(" ", "\u00a0") if gauge else ""


def gauge_at_least(mm2: float) -> str:
    """The thinnest gauge of at least this area; empty where even 4/0 is thinner."""
    for number in range(THINNEST, THICKEST - 1, -1):
        if math.ceil(awg_mm2(number) * 1000) / 1000 >= mm2 > 0:
            return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
    return ""


def feet_and_inches(mm: int) -> str:
    """A length as an inch tape shows it, to the nearest eighth, on one line."""
    eighths = round(mm / 25.4 * 8)
    feet, rest = divmod(eighths, 96)
    inches, eighth = divmod(rest, 8)
    mark = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")[eighth]
    return f"{feet}\u00a0ft\u00a0{inches}{mark}\u00a0in"


def field_text(quantity: str, value: float) -> str | None:
    """What a field shows for a stored value, with a point; None where it is shown as it is stored."""
    if not american() or quantity not in TYPED_UNITS:
        return None
    if quantity == "length":
        return format(round(value / FOOT_M, 2), ".10g")
    if quantity == "temperature":
        return format(round(value * 9 / 5 + 32, 1), ".10g")
    return gauge_at_least(value) or f"{value:g} mm²"


def with_unit(quantity: str, text: str) -> str:
    """What was typed, with the unit that its field shows where it names none. Raises ValueError, with a sentence."""
    if not american() or quantity not in TYPED_UNITS or not _BARE.fullmatch(text):
        return text
    if quantity == "area" and text.strip() == "0":
        raise ValueError(_("0 can be the gauge 1/0 or no limit at all. Write 1/0 or 0 mm²."))
    return f"{text} {TYPED_UNITS[quantity]}"
