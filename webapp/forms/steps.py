"""The forms that state a job, each under one name: what it shows of a document, and the document it makes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from webapp.forms import battery, fuse_styles, limits, load_fields, loads, owned, places
from webapp.forms.fields import Form

Document = dict[str, Any]
Answers = Mapping[str, str]
Read = tuple[Form, Document | None]  # what was typed, with its trouble; the document, None while there is trouble


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One form. `array` names the list whose entries it states; without one it states the job itself."""

    name: str
    array: str = ""
    show: Callable[[Document, int | None, Document], Form]  # job, entry (None: a new one), catalogue
    read: Callable[[Answers, Document, int | None, Document], Read]

    def at(self, document: Document, index: int | None) -> str:
        """The pointer that comes before those of its fields."""
        if not self.array:
            return ""
        return f"{self.array}/{len(document.get(self.array, [])) if index is None else index}/"


def _show_place(job: Document, index: int | None, _catalogue: Document) -> Form:
    return places.new_row() if index is None else places.row_form(job, index)


def _show_load(job: Document, index: int | None, catalogue: Document) -> Form:
    forms = load_fields.supply_forms(catalogue)
    return loads.blank_form(job, forms) if index is None else loads.edit_form(job, index, forms)


def _read_load(answers: Answers, job: Document, index: int | None, catalogue: Document) -> Read:
    return loads.read_load(answers, job, index, load_fields.supply_forms(catalogue))


def _show_owned(_job: Document, _index: int | None, catalogue: Document) -> Form:
    form = owned.blank_form(catalogue["parts"], owned.CABLE, "")
    form.fields |= owned.blank_form(catalogue["parts"], "", "").fields
    return form


def _read_owned(answers: Answers, job: Document, _index: int | None, catalogue: Document) -> Read:
    asked = answers.get("part", "")
    kind = next((part["kind"] for part in catalogue["parts"] if part["id"] == asked), "")
    return owned.read_add(answers, job, catalogue["parts"], kind, "")


BATTERY = Step(
    name="battery",
    show=lambda job, _index, catalogue: battery.edit_form(job, fuse_styles.fuse_styles(catalogue)),
    read=lambda answers, job, _index, catalogue: battery.read_edit(answers, job, fuse_styles.fuse_styles(catalogue)),
)
PLACE = Step(
    name="place",
    array="places",
    show=_show_place,
    read=lambda answers, job, index, _catalogue: places.read_row(answers, job, index),
)
LOAD = Step(name="load", array="loads", show=_show_load, read=_read_load)
LIMITS = Step(
    name="limits",
    show=lambda job, _index, _catalogue: limits.edit_form(job),
    read=lambda answers, job, _index, _catalogue: limits.read_edit(answers, job),
)
OWNED = Step(name="owned", array="owned", show=_show_owned, read=_read_owned)
BY_NAME = {step.name: step for step in (BATTERY, PLACE, LOAD, LIMITS, OWNED)}
