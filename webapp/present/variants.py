"""Variants of a job in words: what each changes, and what is to be known of it before."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from webapp.present.job_list import JobRow
from webapp.present.words import counted, quantity
from webapp.texts import _
from webapp.texts.figures import SPACE

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantTick:
    """One change to tick."""

    key: str
    label: str
    note: str
    made: str  # id of the copy that was made with it before; empty where there is none
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantsView:
    """What the page offers."""

    ticks: tuple[VariantTick, ...]
    made: tuple[JobRow, ...]  # what was made before, whatever of it is still offered
    delete_all: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    label: str
    note: str
    title: str  # what is added to the title of the job


def variants_view(
    document: Document, offers: Sequence[Any], ticked: Collection[str], made: Sequence[JobRow]
) -> VariantsView:
    """Every change that is offered, those to begin with ticked."""
    return VariantsView(
        ticks=tuple(_tick(document, offer, offer.variant.key in ticked) for offer in offers),
        made=tuple(made),
        delete_all=counted("Delete %(num)s variant", "Delete all %(num)s variants", len(made)),
    )


def change_in_title(document: Document, key: str, changed: Document) -> str:
    """What the title of a copy says of its change; spaces are plain, so that it is found by its words."""
    return _words(document, key, changed).title.replace(SPACE, " ")


def _tick(document: Document, offer: Any, ticked: bool) -> VariantTick:
    said = _words(document, offer.variant.key, offer.variant.document)
    made = offer.made.id if offer.made else ""
    return VariantTick(key=offer.variant.key, label=said.label, note=said.note, made=made, ticked=ticked)


def _words(document: Document, key: str, changed: Document) -> _Words:
    return WORDS[key.partition("-")[0] if key.startswith("volts") else key](document, changed)


def _inverter(document: Document, changed: Document) -> _Words:
    hours, asked = _hours(changed), _hours(document)
    note = _(
        "For what came with a mains adapter. Your battery then lasts about %(hours)s, where %(asked)s are asked.",
        hours=hours,
        asked=asked,
    )
    return _Words(label=_("Keep the inverter"), note=note, title=_("inverter kept"))


def _direct(_document: Document, _changed: Document) -> _Words:
    return _Words(
        label=_("Do without the inverter"),
        note=_("Every load is fed from the panel."),
        title=_("without inverter"),
    )


def _new_bank(document: Document, _changed: Document) -> _Words:
    kept = document["bank"]["existing"]
    note = _(
        "The cheapest that lasts as long as asked, instead of your %(volts)s, %(charge)s.",
        volts=quantity(kept["nominal_v"], "V"),
        charge=quantity(kept["capacity_ah"], "Ah"),
    )
    return _Words(label=_("Buy a new battery"), note=note, title=_("new battery"))


def _old_bank(_document: Document, _changed: Document) -> _Words:
    return _Words(
        label=_("Keep the battery you have"),
        note=_("No new one may be bought."),
        title=_("battery kept"),
    )


def _volts(document: Document, changed: Document) -> _Words:
    now, then = (quantity(each["bus"]["nominal_v"], "V") for each in (document, changed))
    note = _(
        "A new battery, and no inverter. Not in the price: a charger, and whatever else runs on %(now)s today.",
        now=now,
    )
    return _Words(label=_("%(then)s instead of %(now)s", then=then, now=now), note=note, title=then)


def _freedoms(_document: Document, _changed: Document) -> _Words:
    return _Words(
        label=_("Fewer or other converters"),
        note=_("One may feed several loads or stand at the panel: often cheaper where runs are long."),
        title=_("converters shared or at the panel"),
    )


def _longer(document: Document, changed: Document) -> _Words:
    return _for_hours(_("A night longer"), document, changed)


def _shorter(document: Document, changed: Document) -> _Words:
    return _for_hours(_("A night less"), document, changed)


def _for_hours(label: str, document: Document, changed: Document) -> _Words:
    hours, asked = _hours(changed), _hours(document)
    note = _("%(hours)s without charging instead of %(asked)s.", hours=hours, asked=asked)
    return _Words(label=label, note=note, title=_("%(hours)s without charging", hours=hours))


def _hours(document: Document) -> str:
    return quantity(document["limits"]["autonomy_h"], "h")


WORDS: dict[str, Callable[[Document, Document], _Words]] = {
    "inverter": _inverter,
    "direct": _direct,
    "new-bank": _new_bank,
    "old-bank": _old_bank,
    "volts": _volts,
    "freedoms": _freedoms,
    "longer": _longer,
    "shorter": _shorter,
}
