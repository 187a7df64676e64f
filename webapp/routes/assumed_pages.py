"""What nobody has confirmed: one tap confirms a value, another leads to its field."""

from __future__ import annotations

from typing import Any

from flask import flash, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.forms import battery_fields, load_fields, places, pointers
from webapp.present.assumed_page import AssumedRow, assumed_groups, pointer_of, row_at
from webapp.routes.once import once
from webapp.routes.page_base import Document, bp, change, to_step
from webapp.services import jobs
from webapp.texts import _

FIELDS = {
    spec.pointer: spec.name
    for spec in (*battery_fields.FIRST, *battery_fields.MORE, *load_fields.SPECS, *places.SPECS)
    if spec.pointer
}


@bp.get("/jobs/<job_id>/assumed", endpoint="assumed")
def assumed_list(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    return render_template(
        "pages/assumed.html", job=job, step="", groups=assumed_groups(job.document), field_url=_field_url
    )


@bp.post("/jobs/<job_id>/assumed")
@once
def confirm(job_id: str) -> ResponseReturnValue:
    """Keep a value and drop its mark, if it still is what was seen."""
    key, _equals, seen = request.form.get("confirm", "").partition("=")
    row = row_at(jobs.get_job(job_id).document, key)
    if row is None or row.seen != seen:
        flash(_("That value has changed meanwhile. Look at it once more."), "stop")
        return to_step(job_id, "assumed")
    if change(job_id, lambda document: _without_mark(document, key, seen)):
        undo = url_for("pages.assume_again", job_id=job_id, key=key)
        flash(_("Confirmed: %(what)s, %(value)s.", what=row.what, value=row.value), f"undo {undo}")
    return to_step(job_id, "assumed")


@bp.post("/jobs/<job_id>/assumed/again")
@once
def assume_again(job_id: str) -> ResponseReturnValue:
    """Undo of a confirmation."""
    change(job_id, lambda document: _with_mark(document, request.args.get("key", "")))
    return to_step(job_id, "assumed")


def _without_mark(document: Document, key: str, seen: str) -> Document:
    row, pointer = row_at(document, key), pointer_of(document, key)
    if row is None or row.seen != seen:
        return document
    left = [each for each in document.get("assumed", []) if pointers.steps(each) != pointers.steps(pointer)]
    return document | ({"assumed": left} if "assumed" in document else {})


def _with_mark(document: Document, key: str) -> Document:
    pointer = pointer_of(document, key)
    marks = document.get("assumed", [])
    if row_at(document, key) is None or pointer in marks:
        return document
    return document | {"assumed": [*marks, pointer]}


def _field_url(job_id: str, row: AssumedRow) -> str:
    """The field where the value is changed."""
    anchor: Any = f"f-{FIELDS[row.last]}" if row.last in FIELDS else None
    if row.index is None:
        return url_for(f"pages.{row.step}", job_id=job_id, _anchor=anchor)
    page = "edit_load" if row.step == "loads" else "edit_place"
    return url_for(f"pages.{page}", job_id=job_id, index=row.index, _anchor=anchor)
