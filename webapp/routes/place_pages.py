"""Places: list, add, change, remove."""

from __future__ import annotations

from typing import Any

from flask import abort, flash, request

from webapp.forms import places
from webapp.forms.entries import position
from webapp.forms.fields import Form
from webapp.forms.steps import PLACE
from webapp.present.place_list import places_words
from webapp.present.words import quantity
from webapp.routes.once import Answer, not_done, once
from webapp.routes.page_base import bp, form_page, take_out, to_step
from webapp.routes.saving import save
from webapp.services import jobs
from webapp.services.statements import PlaceInUse


@bp.route("/jobs/<job_id>/places", methods=["GET", "POST"], endpoint="places")
@once
def places_step(job_id: str) -> Answer:
    if request.method == "POST":
        return _save(job_id, "")
    return places_page(jobs.get_job(job_id), places.new_row(), None)


@bp.route("/jobs/<job_id>/places/<int:index>", methods=["GET", "POST"])
@once
def edit_place(job_id: str, index: int) -> Answer:
    if request.method == "POST":
        return _save(job_id, request.form.get("entry", ""))
    job = jobs.get_job(job_id)
    if index >= len(job.document["places"]):
        abort(404)
    return places_page(job, places.row_form(job.document, index), index)


def _save(job_id: str, entry_id: str) -> Answer:
    def again(form: Form, entry: str) -> str:
        job = jobs.get_job(job_id)
        return places_page(job, form, position(job.document, "places", entry))

    return save(job_id, PLACE, entry_id, again=again, then=lambda _outcome: to_step(job_id, "places"))


@bp.post("/jobs/<job_id>/places/remove")
@once
def remove_place(job_id: str) -> Answer:
    entry_id = request.form.get("entry", "")
    document = jobs.get_job(job_id).document
    index = position(document, "places", entry_id)
    try:
        take_out(job_id, "places", entry_id, "" if index is None else _named(document["places"][index]))
    except PlaceInUse as trouble:
        not_done()
        flash(str(trouble), "stop")
    return to_step(job_id, "places")


def _named(place: dict[str, Any]) -> str:
    return str(place.get("name") or place["id"])


def places_page(job: Any, form: Form, editing: int | None) -> str:
    listed_places = job.document["places"]
    entry_id = listed_places[editing]["id"] if editing is not None and editing < len(listed_places) else ""
    return form_page(
        "pages/places.html",
        job,
        form,
        step="places",
        editing=editing,
        entry_id=entry_id,
        rows=[(place, places_words(job.document, place)) for place in listed_places],
        slack=quantity(job.document["limits"]["slack_m"], "m"),
    )
