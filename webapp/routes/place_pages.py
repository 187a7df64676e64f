"""Places: list, add, change, remove."""

from __future__ import annotations

from typing import Any

from flask import abort, flash, render_template, request
from flask.typing import ResponseReturnValue

from webapp.forms import places
from webapp.forms.fields import Form
from webapp.present.job_pages import places_words
from webapp.present.words import count, listed, quantity
from webapp.routes.page_base import bp, keep, position, take_out, to_step
from webapp.services import jobs


@bp.route("/jobs/<job_id>/places", methods=["GET", "POST"], endpoint="places")
def places_step(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    if request.method == "GET":
        form = places.new_row()
        form.revision = job.revision
        return _page(job, form, None)
    form, document = places.read_row(request.form, job.document, None)
    status = 422 if document is None else keep(job_id, form, document, at=f"places/{len(job.document['places'])}/")
    return (_page(job, form, None), status) if status else to_step(job_id, "places")


@bp.route("/jobs/<job_id>/places/<int:index>", methods=["GET", "POST"])
def edit_place(job_id: str, index: int) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    if request.method == "GET":
        if index >= len(job.document["places"]):
            abort(404)
        form = places.row_form(job.document, index)
        form.revision = job.revision
        return _page(job, form, index)
    found = position(job.document, "places", request.form.get("entry", ""))
    form, document = places.read_row(request.form, job.document, found)
    where = len(job.document["places"]) if found is None else found
    status = 422 if document is None else keep(job_id, form, document, at=f"places/{where}/")
    return (_page(job, form, where), status) if status else to_step(job_id, "places")


@bp.post("/jobs/<job_id>/places/remove")
def remove_place(job_id: str) -> ResponseReturnValue:
    document = jobs.get_job(job_id).document
    index = position(document, "places", request.form.get("entry", ""))
    if index is None:
        return to_step(job_id, "places")
    place = document["places"][index]
    here = places.loads_at(document, place["id"])
    if here:
        flash(
            f"{_named(place)} still has {count(len(here), 'load')}: {listed(here[:5])}. Move or remove them first.",
            "stop",
        )
    else:
        take_out(job_id, "places", place["id"], _named(place))
    return to_step(job_id, "places")


def _named(place: dict[str, Any]) -> str:
    return str(place.get("name") or place["id"])


def _page(job: Any, form: Form, editing: int | None) -> str:
    listed_places = job.document["places"]
    entry_id = listed_places[editing]["id"] if editing is not None and editing < len(listed_places) else ""
    return render_template(
        "pages/places.html",
        job=job,
        form=form,
        step="places",
        editing=editing,
        entry_id=entry_id,
        rows=[(place, places_words(job.document, place)) for place in listed_places],
        slack=quantity(job.document["limits"]["slack_m"], "m"),
    )
