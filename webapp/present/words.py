"""Quantities as people read them: three figures, unit attached by a space that does not break.

The decimal sign is that of the language; thousands are set apart by a narrow space in each, so that no sign can be
taken for the other. What is written here, `schemas.typed` reads back.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime

from babel.dates import format_date
from markupsafe import Markup

from webapp import units
from webapp.texts import N_, SOURCE, _, bound, decimal, language, ngettext
from webapp.texts.figures import GROUP, SPACE

MINUS = "\u2212"
DUST = 1e-6  # hundredths: what binary fractions are off by
FORMS = {
    "dc-plug": N_("round DC plug"),
    "usb-c": N_("USB-C"),
    "powered-ethernet": N_("powered Ethernet"),
    "dc-wire": N_("bare conductors"),
}
LOCALES = {SOURCE: "en_GB"}  # whose ways with dates a language follows, where it is spoken in several countries


def figure(value: float, digits: int = 3) -> str:
    """A number to so many significant figures, never in powers of ten; whole parts are never cut."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else "–"
    text = f"{value:,.{_places(value, digits)}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return _signs(text)


def as_shown(value: float, digits: int = 3) -> float:
    """A number as `figure` writes it: what people subtract from one another."""
    return round(value, _places(value, digits)) if value and math.isfinite(value) else value


def _places(value: float, digits: int) -> int:
    return max(0, digits - 1 - math.floor(math.log10(abs(value))))


def exactly(value: float) -> str:
    """A number that somebody stated or a maker prints, with all of its figures."""
    return _signs(f"{value:,.10g}")


def quantity(value: float, unit: str, digits: int = 3) -> str:
    """A number with its unit, in the units that the reader chose."""
    value, unit = units.figure(value, unit)
    if unit == "mm²":
        return f"{figure(value, digits)}{SPACE}{unit}{units.gauge_note(value)}"
    return f"{figure(value, digits)}{SPACE}{unit}" if unit else figure(value, digits)


def up_to(most: float, unit: str) -> str:
    """How far a figure may go, in the units that the reader chose: to the hundredth, never rounded up."""
    most, unit = units.figure(most, unit)
    return f"{exactly(math.floor(most * 100 + DUST) / 100)}{SPACE}{unit}"


def one_or_many(value: float, unit: str) -> str:
    """A unit that is a word, as it stands behind this number: 1 stage, 2 stages. Symbols stay as they are."""
    number = 1 if value == 1 else 2
    words = {
        "batteries": ngettext("battery", "batteries", number),
        "cuts": ngettext("cut", "cuts", number),
        "feeds": ngettext("feed", "feeds", number),
        "fuses": ngettext("fuse", "fuses", number),
        "loads": ngettext("load", "loads", number),
        "pieces": ngettext("piece", "pieces", number),
        "spools": ngettext("spool", "spools", number),
        "stages": ngettext("stage", "stages", number),
        "strings": ngettext("string", "strings", number),
        "units": ngettext("unit", "units", number),
        "ways": ngettext("way", "ways", number),
    }
    return words.get(unit, unit)


def signed(value: float, unit: str) -> str:
    """A difference: + or − always written."""
    sign = "+" if value > 0 else ""
    value, unit = units.figure(value, unit, is_difference=True)
    return f"{sign}{figure(value)}{SPACE}{unit}" if unit else f"{sign}{figure(value)}"


def money(cents: int) -> str:
    """Minor units as an amount with two decimals. No currency: the catalogue names none."""
    whole, rest = divmod(abs(cents), 100)
    return _signs(f"{'-' if cents < 0 else ''}{whole:,}.{rest:02}")


def metres(mm: int) -> str:
    """A length in metres to the centimetre, or the millimetre where it has one; as chosen, in feet and inches."""
    if units.american():
        return units.feet_and_inches(mm)
    return f"{_signs(f'{mm / 1000:,.3f}'.removesuffix('0'))}{SPACE}m"


def date_locale() -> str:
    """Whose ways with dates the reader's language follows."""
    return LOCALES.get(language(), language())


def moment(when: datetime, *, on_paper: bool = False, near: bool = False) -> Markup:
    """A day and a time of it, marked as UTC; scripts show it in the device's own zone.

    Args:
        on_paper: Whether it is printed and read elsewhere: scripts then name the zone too.
        near: Whether the time of day will do for today, and the day for any other.
    """
    utc = when.astimezone(UTC)
    day = format_date(utc, format="medium", locale=date_locale())
    clock = f"{utc:%H:%M} UTC"
    said = f"{day}, {clock}" if not near else clock if utc.date() == datetime.now(UTC).date() else day
    kind = Markup(" data-zone") if on_paper else Markup(" data-near") if near else ""
    return Markup('<time datetime="{}" data-module="moment"{}>{}</time>').format(f"{utc:%Y-%m-%dT%H:%MZ}", kind, said)


def percent(fraction: float) -> str:
    return quantity(fraction * 100, "%")


def counted(one: str, many: str, number: int) -> str:
    """So many of something, on one line: one of two texts that show %(num)s."""
    return ngettext(one, many, number, num=exactly(number)).replace(" ", SPACE, 1)


def listed(names: list[str]) -> str:
    """Names in one sentence: a, b and c."""
    if len(names) < 2:
        return "".join(names)
    return _("%(first)s and %(last)s", first=", ".join(names[:-1]), last=names[-1])


def form_words(form: str) -> str:
    return _(FORMS[form]) if form in FORMS else form.replace("-", " ")


def sentence(text: str) -> str:
    """A fault or a message as a sentence of its own."""
    text = bound(text.strip())
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?:" else ".")


def capital(text: str) -> str:
    """A text that begins a line."""
    return text[:1].upper() + text[1:]


def _signs(text: str) -> str:
    """A number as Python groups it, with our signs: narrow space, minus, the language's decimal sign."""
    return decimal(text.replace(",", GROUP)).replace("-", MINUS)
