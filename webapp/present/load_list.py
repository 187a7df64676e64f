"""The loads of a job by their places, each with what its voltages mean here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from optimizer.names import isolated
from optimizer.units import HOURS_PER_DAY
from webapp.found import holds_words
from webapp.present.verdicts import Verdict, verdict
from webapp.present.words import figure, form_words, quantity
from webapp.texts import _, ngettext

FEW_LOADS = 12  # that are seen at once


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    index: int
    id: str
    name: str
    place: str
    accepts: str
    draws: str
    per_day: str
    verdict: Verdict
    typical: bool
    marks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadGroup:
    """The loads of one place; folded where there are many in all."""

    place: str
    rows: tuple[LoadRow, ...]
    words: str
    open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadsView:
    groups: tuple[LoadGroup, ...]
    number: int
    total: str
    many: bool
    found: str  # words that were searched for

    @property
    def entries(self) -> tuple[str, ...]:
        """Ids of the loads shown."""
        return tuple(row.id for group in self.groups for row in group.rows)


def loads_view(document: Mapping[str, Any], found: str = "", where: str = "") -> LoadsView:
    """The loads as stated, by place, each with what its voltages mean on this bus.

    Args:
        found: Only loads whose name holds all of these words.
        where: Id of the place that is open although there are many loads.
    """
    places = {place["id"]: isolated(place.get("name") or place["id"]) for place in document["places"]}
    assumed = {pointer.strip("/").rpartition("/")[0].split("/needs")[0] for pointer in document.get("assumed", [])}
    rows = [_load_row(document, index, load, places, assumed) for index, load in enumerate(document["loads"])]
    many, is_sought = len(rows) > FEW_LOADS, bool(found.strip())
    day_wh = sum(load["typical_w"] * load["hours_per_day"] for load in document["loads"])
    groups = []
    for place_id, place in places.items():
        here = tuple(
            row
            for row, load in zip(rows, document["loads"], strict=True)
            if load["place"] == place_id and holds_words(row.name, found)
        )
        if here:
            words, is_open = count_loads(len(here)), not many or is_sought or place_id == where
            groups.append(LoadGroup(place=place, rows=here, words=words, open=is_open))
    return LoadsView(
        groups=tuple(groups),
        number=len(rows),
        total=_("%(loads)s, %(energy)s a day", loads=count_loads(len(rows)), energy=quantity(day_wh, "Wh", 4)),
        many=many,
        found=found,
    )


def count_loads(number: int) -> str:
    return ngettext("%(num)s load", "%(num)s loads", number)


def _load_row(
    document: Mapping[str, Any], index: int, load: Mapping[str, Any], places: Mapping[str, str], assumed: set[str]
) -> LoadRow:
    needs = load["needs"]
    return LoadRow(
        index=index,
        id=load["id"],
        name=load.get("name") or load["id"],
        place=places.get(load["place"], load["place"]),
        accepts=f"{figure(needs['min_v'])}–{quantity(needs['max_v'], 'V')}, {form_words(needs['form'])}",
        draws=_("%(power)s at most", power=quantity(load["peak_w"], "W")),
        per_day=_per_day(load),
        verdict=verdict(document["bus"], needs),
        typical=f"loads/{index}" in assumed,
        marks=", ".join(_marks(load)),
    )


def _per_day(load: Mapping[str, Any]) -> str:
    day_wh = load["typical_w"] * min(load["hours_per_day"], HOURS_PER_DAY)
    return _(
        "%(power)s × %(hours)s = %(energy)s a day",
        power=quantity(load["typical_w"], "W"),
        hours=quantity(load["hours_per_day"], "h"),
        energy=quantity(day_wh, "Wh"),
    )


def _marks(load: Mapping[str, Any]) -> list[str]:
    return [_("switched")] * bool(load.get("switch")) + [_("own circuit")] * bool(load.get("own_circuit"))
