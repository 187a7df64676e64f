"""Lists and verdicts on the pages where a job is stated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from optimizer.units import HOURS_PER_DAY
from webapp import canonical
from webapp.present.job_state import next_fact, size_words
from webapp.present.plan_page import NO_PLAN, STATUS
from webapp.present.verdicts import Verdict, verdict
from webapp.present.words import counted, figure, form_words, moment, money, quantity
from webapp.texts import N_, _, bound, ngettext

FEW_LOADS = 12  # that are seen at once
FEW_JOBS = 8  # that are found by looking
WITHOUT_PLAN = {
    "queued": N_("Waiting to be planned"),
    "running": N_("Being planned now"),
    "failed": N_("Planning stopped: try again"),
    "cancelled": N_("Search cancelled before there was a plan"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    id: str
    title: str
    total: str
    fact: str
    size: tuple[str, ...]
    changed: Markup
    buy: str | None  # id of the plan whose parts can be bought
    is_example: bool


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
class OwnedRow:
    what: str
    amount: str
    entry: str  # all it says: stock has no id
    unknown: bool  # to the catalogue of now


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


def job_row(summary: Any, document: Mapping[str, Any] | None = None, progress: str = "") -> JobRow:
    """A job of a list; with what it says, also the next useful fact about it.

    Args:
        progress: How far the work by its plan has come; empty before it begins.
    """
    plan = summary.plan
    total, fact = "", next_fact(document) if document else _("No plan yet")
    if plan is not None:
        total, fact = _plan_fact(plan, summary.revision, progress)
    return JobRow(
        id=summary.id,
        title=summary.title or _("Untitled job"),
        total=total,
        fact=fact,
        size=size_words(document) if document else (),
        changed=moment(summary.updated_at, near=True),
        buy=plan.id if total else None,
        is_example=summary.is_example,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class JobListView:
    """What stands around a page of the list of jobs."""

    words: str  # searched for
    heading: str
    searchable: bool
    before: int | None  # number of the page with newer jobs
    after: int | None


def job_list_view(words: str, *, total: int, skip: int, most: int) -> JobListView:
    """The list's heading, and whether there is more of it on either side."""
    page = skip // most + 1
    if words:
        heading = ngettext("%(num)s job with “%(words)s”", "%(num)s jobs with “%(words)s”", total, words=words)
    else:
        heading = ngettext("%(num)s job", "%(num)s jobs", total)
    return JobListView(
        words=words,
        heading=heading,
        searchable=bool(words) or total > FEW_JOBS,
        before=page - 1 if page > 1 else None,
        after=page + 1 if skip + most < total else None,
    )


def _plan_fact(plan: Any, revision: int, progress: str) -> tuple[str, str]:
    if plan.state != "done":
        return "", _(WITHOUT_PLAN[plan.state])
    if plan.status not in STATUS:
        return "", _(NO_PLAN.get(plan.status or "", NO_PLAN["none"]))
    fact = progress or _(STATUS[plan.status])
    if plan.job_revision != revision:
        fact = _("%(fact)s; changed since", fact=fact)
    return money(plan.total_cents), fact


def loads_view(document: Mapping[str, Any], found: str = "", where: str = "") -> LoadsView:
    """The loads as stated, by place, each with what its voltages mean on this bus.

    Args:
        found: Only loads whose name holds all of these words.
        where: Id of the place that is open although there are many loads.
    """
    places = {place["id"]: place.get("name") or place["id"] for place in document["places"]}
    assumed = {pointer.strip("/").rpartition("/")[0].split("/needs")[0] for pointer in document.get("assumed", [])}
    rows = [_load_row(document, index, load, places, assumed) for index, load in enumerate(document["loads"])]
    many, wanted = len(rows) > FEW_LOADS, found.casefold().split()
    day_wh = sum(load["typical_w"] * load["hours_per_day"] for load in document["loads"])
    groups = []
    for place_id, place in places.items():
        here = tuple(
            row
            for row, load in zip(rows, document["loads"], strict=True)
            if load["place"] == place_id and all(word in row.name.casefold() for word in wanted)
        )
        if here:
            words, is_open = count_loads(len(here)), not many or bool(wanted) or place_id == where
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


def places_words(document: Mapping[str, Any], place: Mapping[str, Any]) -> str:
    """A place in one line: its run and its loads."""
    number = sum(load["place"] == place["id"] for load in document["loads"])
    here = counted("%(num)s load", "%(num)s loads", number) if number else _("no load yet")
    return _("%(length)s from the panel, %(loads)s", length=quantity(place["run_m"], "m", 4), loads=here)


def owned_rows(document: Mapping[str, Any], parts: Sequence[Mapping[str, Any]]) -> tuple[OwnedRow, ...]:
    """Stock on hand by the names of the catalogue."""
    names = {part["id"]: part.get("name") or part["id"] for part in parts}
    return tuple(
        OwnedRow(
            what=bound(names.get(entry["part"], entry["part"])),
            amount=_owned_amount(entry),
            entry=canonical.spell(entry),
            unknown=entry["part"] not in names,
        )
        for entry in document.get("owned", [])
    )


def _owned_amount(entry: Mapping[str, Any]) -> str:
    length_m = entry.get("length_m")
    return f"{entry['count']} ×" if length_m is None else quantity(length_m, "m", 5)


def owned_words(document: Mapping[str, Any]) -> str:
    """How much is on hand, for the page of limits."""
    number = len(document.get("owned", []))
    if not number:
        return _("Nothing on hand yet")
    return counted("%(num)s entry on hand", "%(num)s entries on hand", number)
