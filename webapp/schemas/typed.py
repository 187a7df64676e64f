"""Numbers as people type them, into the units that documents hold. For forms only: documents are read strictly.

One reading, or a sentence; nothing is guessed. The sign that we write before decimals in the reader's language is
always decimal. The other one, with exactly three digits after it ("1,234" in English, "1.234" in German), could be one
or one thousand and is refused; "3,5" and "0,125" are decimal in both. So no text has two values: it has one, or in
some language none. A space may group thousands ("20 000"). The unit may be left out: the field names it.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from webapp.texts import N_, _, decimal

from .faults import quoted

_MOST_CHARS = 40
_FOOT_M = 0.3048  # exact: international yard and pound agreement of 1959
_INCH_M = 0.0254  # exact, likewise

_SPACE = "[ \u00a0\u2009\u202f]"  # plain, no-break, thin and narrow no-break
_GROUPED = re.compile(rf"\d{{1,3}}(?:{_SPACE}\d{{3}})+(?=[.,]|$)")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?|[.,]\d+")
_AMBIGUOUS = {".": re.compile(r"[1-9]\d{0,2},\d{3}"), ",": re.compile(r"[1-9]\d{0,2}\.\d{3}")}  # by decimal sign
_TYPED = re.compile(rf"([+\-−]?)\s*(\d(?:[\d.,]|{_SPACE}(?=\d))*|[.,]\d+)\s*(.*)")
_FEET_INCHES = re.compile(r"(\d+)\s*(?:'|′|ft|feet|foot)\s*(\d+(?:[.,]\d+)?)\s*(?:\"|″|in|inch|inches)")
_HOURS_MINUTES = re.compile(r"(\d+)\s*(?:h|hours?|std|stunden?|:)\s*([0-5]?\d)\s*(?:m|min|minuten?|minutes?)?")
_GAUGE = re.compile(r"(?:awg\s*)?#?\s*(\d{1,2}|[1-4]\s*/\s*0|0{1,4})\s*(?:awg|ga|gauge)?")


class Untypable(ValueError):
    """A sentence about what to type instead."""


@dataclass(frozen=True, slots=True)
class _Quantity:
    """What a field asks for: how it is called, an example, and what the units people use are worth."""

    name: str
    example: str
    factors: dict[str, float]

    @property
    def words(self) -> dict[str, str]:
        """Name and example in the reader's language."""
        return {"what": _(self.name), "example": _(self.example)}


def _units(*rows: tuple[float, str]) -> dict[str, float]:
    return {"": 1.0, **{unit: factor for factor, units in rows for unit in units.split("|")}}


_QUANTITIES = {
    "length": _Quantity(
        N_("a length"),
        N_("2.4 m, 320 cm or 15 ft"),
        _units(
            (1.0, "m|metre|metres|meter|meters"),
            (0.01, "cm"),
            (0.001, "mm"),
            (_FOOT_M, "ft|foot|feet|fuß|fuss|'|′"),
            (_INCH_M, 'in|inch|inches|zoll|"|″'),
        ),
    ),
    "area": _Quantity(N_("a conductor size"), N_("2.5 mm² or 14 AWG"), _units((1.0, "mm²|mm2|sq mm|sqmm|qmm"))),
    "power": _Quantity(
        N_("a power"), N_("60 W or 0.5 kW"), _units((1.0, "w|watt|watts"), (1000.0, "kw"), (0.001, "mw"))
    ),
    "current": _Quantity(
        N_("a current"), N_("5 A or 500 mA"), _units((1.0, "a|amp|amps|ampere|amperes"), (0.001, "ma"), (1000.0, "ka"))
    ),
    "voltage": _Quantity(N_("a DC voltage"), N_("12.8 V"), _units((1.0, "v|volt|volts|vdc|v dc|v⎓"), (0.001, "mv"))),
    "energy": _Quantity(
        N_("an amount of energy"), N_("350 Wh or 0.35 kWh"), _units((1.0, "wh|watt hours"), (1000.0, "kwh"))
    ),
    "charge": _Quantity(N_("a capacity"), N_("100 Ah"), _units((1.0, "ah|amp hours|amperestunden"), (0.001, "mah"))),
    "resistance": _Quantity(
        N_("a resistance"),
        N_("0.05 Ω or 5 mΩ"),
        _units((1.0, "ω|ohm|ohms"), (0.001, "mω|mohm|mohms|milliohm|milliohms")),
    ),
    "temperature": _Quantity(
        N_("a temperature"), N_("30 °C or 86 °F"), _units((1.0, "°c|c|celsius|degrees c|degrees|grad"))
    ),
    "time": _Quantity(
        N_("a time"),
        N_("1.5 h, 1 h 30 or 90 min"),
        _units((1.0, "h|hr|hour|hours|std|stunde|stunden"), (1 / 60, "min|minute|minutes|minuten")),
    ),
    "seconds": _Quantity(
        N_("a number of seconds"),
        N_("60 or 2 min"),
        _units((1.0, "s|sec|second|seconds|sek|sekunde|sekunden"), (60.0, "min|minute|minutes|minuten")),
    ),
    "percent": _Quantity(N_("a percentage"), N_("85 %"), _units((1.0, "%|percent|per cent|prozent"))),
    "count": _Quantity(N_("a whole number"), "4", _units()),
    "money": _Quantity(N_("an amount"), N_("450 or 449.90"), _units()),
    "number": _Quantity(N_("a number"), N_("3.5"), _units()),
}
_MEGA = ("mw", "ma", "mv", "mah", "mω", "mohm", "mohms")  # milli; with a capital M it would be a million
_FAHRENHEIT = ("°f", "f", "fahrenheit", "degrees f")


def read(quantity: str, text: str) -> float:
    """What was typed, in the unit of documents: V, A, W, Ah, Ω, m, mm², h, °C, %; money in whole units, not cents.

    Args:
        quantity: length, area, power, current, voltage, charge, resistance, temperature, time, seconds, percent, count,
            money, number.
    Raises:
        Untypable: It cannot be read one way only; the message says what to type.
    """
    asked = _QUANTITIES[quantity]
    typed = text.strip()
    if len(typed) > _MOST_CHARS or not typed:
        raise Untypable(asks_for(quantity))
    special: float | None = _SPECIAL.get(quantity, _nothing)(typed.casefold())
    value = _plainly(asked, typed) if special is None else special
    if quantity == "count" and value != int(value):
        raise Untypable(_("%(typed)s is not a whole number. Enter one, such as 4.", typed=quoted(typed)))
    return _money(typed, value) if quantity == "money" else _tidy(value)


def asks_for(quantity: str) -> str:
    """What to type into a field of this quantity, in the reader's language."""
    return _("Enter %(what)s, such as %(example)s.", **_QUANTITIES[quantity].words)


def worth(quantity: str) -> dict[str, float]:
    """What each unit that is understood is worth in the one documents hold, as in `read`; by unit in small letters."""
    return dict(_QUANTITIES[quantity].factors)


def awg_mm2(gauge: int) -> float:
    """Conductor area of a gauge number; 0 is 1/0, -1 is 2/0. [mm²]

    Source: ASTM B258, d = 0.127 mm × 92^((36 − n)/39).
    """
    diameter_mm: float = 0.127 * 92 ** ((36 - gauge) / 39)
    return math.pi * diameter_mm**2 / 4


def _plainly(asked: _Quantity, typed: str) -> float:
    """A number and one unit."""
    match = _TYPED.fullmatch(typed)
    if not match:
        raise Untypable(_("%(typed)s is not %(what)s. Enter it like %(example)s.", typed=quoted(typed), **asked.words))
    sign, digits, unit = match.groups()
    value = _number(digits.strip()) * (-1 if sign in ("-", "−") else 1)
    return value * _factor(asked, typed, unit.strip().rstrip("."))


def _number(digits: str) -> float:
    grouped = _GROUPED.match(digits)
    if grouped:
        digits = re.sub(_SPACE, "", grouped.group()) + digits[grouped.end() :]
    if _is_ambiguous(digits):
        point, none = decimal(digits.replace(",", ".")), digits.replace(",", "").replace(".", "")
        ways = {"typed": quoted(digits), "decimal": point, "thousands": none}
        raise Untypable(_("%(typed)s can be read as %(decimal)s or as %(thousands)s. Write one of the two.", **ways))
    if not _NUMBER.fullmatch(digits):
        raise Untypable(
            _("%(typed)s is not one number. Write it without separators, such as 1234.5.", typed=quoted(digits))
        )
    return float(digits.replace(",", "."))


def _is_ambiguous(digits: str) -> bool:
    return bool(_AMBIGUOUS[decimal(".")].fullmatch(digits))


def _factor(asked: _Quantity, typed: str, unit: str) -> float:
    folded = unit.casefold()
    if asked is _QUANTITIES["voltage"] and ("ac" in folded or "~" in folded):
        raise Untypable(_("That is an AC voltage, the INPUT line. Enter the DC voltage from the OUTPUT line."))
    if folded not in asked.factors or (unit.startswith("M") and folded in _MEGA):
        raise Untypable(_("%(typed)s is not %(what)s. Enter it like %(example)s.", typed=quoted(typed), **asked.words))
    return asked.factors[folded]


def _tidy(value: float) -> float:
    """Without the dust of binary fractions; whole numbers as such."""
    rounded = round(value, 9)
    return int(rounded) if rounded == int(rounded) else rounded


def _money(typed: str, value: float) -> float:
    if value < 0:
        raise Untypable(_("%(typed)s is below zero. Enter an amount, such as 450.", typed=quoted(typed)))
    if value != round(value, 2):
        raise Untypable(_("%(typed)s has more than two decimals. Enter it like 450 or 449.90.", typed=quoted(typed)))
    return _tidy(value)


def _nothing(_: str) -> float | None:
    return None


def _feet_and_inches(typed: str) -> float | None:
    match = _FEET_INCHES.fullmatch(typed)
    return None if match is None else int(match[1]) * _FOOT_M + _number(match[2]) * _INCH_M


def _hours_and_minutes(typed: str) -> float | None:
    match = _HOURS_MINUTES.fullmatch(typed)
    return None if match is None else int(match[1]) + int(match[2]) / 60


def _fahrenheit(typed: str) -> float | None:
    match = _TYPED.fullmatch(typed)
    if match is None or match[3] not in _FAHRENHEIT:
        return None
    degrees = _number(match[2]) * (-1 if match[1] in ("-", "−") else 1)
    return round((degrees - 32) * 5 / 9, 6)


def _gauge_area(typed: str) -> float | None:
    """Area of a gauge, rounded up: a conductor is never counted thinner than what was asked for."""
    match = _GAUGE.fullmatch(typed)
    if match is None or typed.replace(" ", "").isdigit():
        return None
    number = match[1].replace(" ", "")
    gauge = 1 - int(number[0]) if "/" in number else 1 - len(number) if set(number) == {"0"} else int(number)
    if gauge > 36:
        raise Untypable(_("That gauge is finer than any cable here. Enter a size like 14 AWG or 2.5 mm²."))
    return math.ceil(awg_mm2(gauge) * 1000) / 1000


def _plain_amount(typed: str) -> float | None:
    """An amount has no three decimals, and we do not take the sign before them for a separator either."""
    if _is_ambiguous(typed):
        raise Untypable(
            _("%(typed)s can be read in two ways. Write it plainly, such as 1234 or 1234.50.", typed=quoted(typed))
        )
    return None


_SPECIAL = {
    "money": _plain_amount,
    "length": _feet_and_inches,
    "time": _hours_and_minutes,
    "temperature": _fahrenheit,
    "area": _gauge_area,
}
