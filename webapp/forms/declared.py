"""What an input takes, as its form declares it: read from the definition of the job, in the unit that is shown.

A browser judges by it what waits without a signal; the server judges everything, and says more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from webapp import units
from webapp.forms.reading import most_chars, written
from webapp.schemas.declared import declared
from webapp.schemas.fields import Quantity
from webapp.schemas.typed import asks_for
from webapp.texts import N_, _
from webapp.texts.figures import SPACE

if TYPE_CHECKING:
    from webapp.forms.fields import Spec

SPACES = N_("Nothing is entered here yet.")
SOMETHING = r".*\S.*"
A_DIGIT = r".*\p{Nd}.*"  # every number has one, in whatever unit, and no text without one is a number


@dataclass(frozen=True, slots=True, kw_only=True)
class Takes:
    """What goes into one text box. Empty: there is no such limit."""

    pattern: str = ""
    instead: str = ""  # what to type, where it does not have the pattern
    least: str = ""  # as a plain number with a point, in the unit shown
    most: str = ""
    span: str = ""  # the two in words
    most_chars: int = 0


def takes(spec: Spec, *, needed: bool) -> Takes:
    """What a field takes, in the reader's language and units."""
    field = declared(spec.pointer) if spec.pointer else None
    if spec.kind == "text":
        longest = most_chars(spec) if field else 0  # an OUTPUT line must not be cut short
        return Takes(most_chars=longest, pattern=SOMETHING if needed else "", instead=_(SPACES) if needed else "")
    if spec.kind != "number":
        return Takes()
    pattern = A_DIGIT if needed else rf"\s*|{A_DIGIT}"
    found = Takes(pattern=pattern, instead=asks_for("percent" if spec.percent else spec.quantity))
    if not isinstance(field, Quantity) or (spec.quantity == "area" and units.american()):  # gauges count the other way
        return found
    least, most = (written(spec, value) for value in (field.bounds.least, field.bounds.most))
    unit = units.symbol(spec.unit)
    span = _("From %(least)s to %(most)s.", least=least, most=f"{most}{SPACE}{unit}".strip())
    return replace(found, least=_plainly(least), most=_plainly(most), span=span)


def _plainly(text: str) -> str:
    return text.replace(",", ".")
