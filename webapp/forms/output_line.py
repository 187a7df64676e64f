"""The OUTPUT line of a mains adapter as it is printed: "19.5V 3.34A", "12V ⎓ 24W", "5V 3A, 9V 3A, 20V 3.25A"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from optimizer.catalogue import CEILING_V
from webapp.forms.reading import Unreadable
from webapp.texts import _, decimal

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_AMOUNT = r"(a(?![a-z])|amps?|ma|w(?:atts?)?)"
_BETWEEN = r"[^\d]{0,14}?"  # a dash, the sign of direct current, "DC", "max"
_PAIR = re.compile(rf"{_NUMBER}\s*v(?:dc|olts?)?{_BETWEEN}{_NUMBER}\s*{_AMOUNT}", re.I)
_TURNED = re.compile(rf"{_NUMBER}\s*{_AMOUNT}{_BETWEEN}{_NUMBER}\s*v", re.I)
_VOLTS = re.compile(rf"{_NUMBER}\s*v", re.I)
_WATTS = re.compile(rf"{_NUMBER}\s*{_AMOUNT}", re.I)
# Signs of the mains: their volts or a range of them, their frequency, or the word itself.
_MAINS = re.compile(r"hz\b|\b1[0-2]\d\s*(?:v|[-–—]|to\b|\.\.)|\b2[0-4]\d\s*v|^\W*(?:input|eingang|primary)\b", re.I)
_ALTERNATING = re.compile(r"[~∼∿〜]|v\s*a\.?c\b|\bac\b(?!\s*/)", re.I)
# A minus, not the dash of a range ("9-12V") or one behind a word ("OUTPUT-12V").
_BELOW_ZERO = re.compile(r"(?:^|[,;:/])\s*[-−–]\s*\d+(?:[.,]\d+)?\s*v", re.I)
_OUTPUT = re.compile(r"\b(?:output|ausgang|o/p)\b", re.I)
_INPUT = re.compile(r"\b(?:input|eingang|i/p)\b", re.I)
TOLERANCE = 0.05  # common practice for a device behind its own adapter; marked typical
NEGOTIATED_V = {5.0, 9.0}  # what every negotiating USB-C supply above 15 W has on its line
SMALL_W = 30.0  # our assumption, marked typical: phones and tablets charge from each voltage their adapter offers


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputLine:
    """What the adapter can put out."""

    volts: float
    watts: float
    several: bool  # more than one voltage: a negotiating USB-C supply
    least_v: float  # the lowest voltage that does as well

    @property
    def min_v(self) -> float:
        return round(self.least_v * (1 - TOLERANCE), 2)

    @property
    def max_v(self) -> float:
        return round(self.volts * (1 + TOLERANCE), 2)


def read_output_line(text: str) -> OutputLine:
    """Volts and watts of the strongest output on the line; raises Unreadable with what to copy instead."""
    if _BELOW_ZERO.search(text):
        raise Unreadable(_("Volts below 0: this output is reversed. It is not planned; copy an output above 0 V."))
    text = _output_of(text)
    if _MAINS.search(text):
        raise Unreadable(_("That is the INPUT line (mains). Copy the line that starts OUTPUT, such as 19.5V 3.34A."))
    if _ALTERNATING.search(text):
        raise Unreadable(
            _("That is alternating current (~ or AC). A load is fed here with direct current, marked ⎓ or DC.")
        )
    pairs = _PAIR.findall(text) or [(volts, amount, unit) for amount, unit, volts in _TURNED.findall(text)]
    outputs = [(_value(volts), _watts(volts, amount, unit)) for volts, amount, unit in pairs]
    if not outputs:
        raise Unreadable(_what_is_missing(text))
    volts, watts = max(outputs, key=lambda output: (output[1], output[0]))
    if volts > CEILING_V:
        raise Unreadable(
            _(
                "%(volts)s V is above our ceiling of %(ceiling)s V DC, where live parts must be guarded. Not planned.",
                volts=decimal(f"{volts:g}"),
                ceiling=f"{CEILING_V:g}",
            )
        )
    if volts <= 0 or watts <= 0:
        raise Unreadable(_("Volts and amps on the OUTPUT line are both above 0. Check the line, such as 19.5V 3.34A."))
    offered = {v for v, _ in outputs}
    is_small = watts <= SMALL_W and offered >= NEGOTIATED_V
    least_v = min(offered) if is_small else volts
    return OutputLine(volts=volts, watts=round(watts, 1), several=len(offered) > 1, least_v=least_v)


def _output_of(text: str) -> str:
    """Of a whole label copied at once, what stands behind OUTPUT."""
    found = _OUTPUT.search(text)
    return _INPUT.split(text[found.end() :])[0] if found else text


def _value(text: str) -> float:
    return float(text.replace(",", "."))


def _watts(volts: str, amount: str, unit: str) -> float:
    scale = 1 / 1000 if unit.lower() == "ma" else 1
    return _value(amount) if unit.lower().startswith("w") else _value(volts) * _value(amount) * scale


def _what_is_missing(text: str) -> str:
    if _VOLTS.search(text):
        return _("The amps or watts are missing. Copy the whole OUTPUT line, such as 19.5V 3.34A.")
    if _WATTS.search(text):
        return _("The volts are missing. Copy the whole OUTPUT line, such as 19.5V 3.34A.")
    return _("Copy the OUTPUT line of its adapter: volts and amps, such as 19.5V 3.34A.")
