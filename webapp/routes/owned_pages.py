"""Stock on hand: list, add, remove."""

from __future__ import annotations

from typing import Any

from flask import flash, render_template, request
from flask.typing import ResponseReturnValue

from webapp.forms import owned
from webapp.forms.fields import Form
from webapp.present.job_pages import owned_rows
from webapp.routes.page_base import bp, keep, take_out, to_step
from webapp.services import catalogue, jobs


@bp.route("/jobs/<job_id>/owned", methods=["GET", "POST"], endpoint="owned")
def owned_list(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    parts = catalogue.current().document["parts"]
    kind, words = request.args.get("kind", ""), request.args.get("words", "")
    if request.method == "GET":
        form = owned.blank_form(parts, kind, words)
        form.revision = job.revision
        return _page(job, form, parts)
    form, document = owned.read_add(request.form, job.document, parts, kind, words)
    status = (
        422 if document is None else keep(job_id, form, document, at=f"owned/{len(job.document.get('owned', []))}/")
    )
    if status:
        return _page(job, form, parts), status
    flash("Added to what you have.", "done")
    return to_step(job_id, "owned", kind=kind)


@bp.post("/jobs/<job_id>/owned/remove")
def remove_owned(job_id: str) -> ResponseReturnValue:
    document = jobs.get_job(job_id).document
    asked = request.form.get("entry", "")
    rows = owned_rows(document, catalogue.current().document["parts"])
    called = next((row.what for row in rows if row.entry == asked), "")
    if called:
        take_out(job_id, "owned", asked, called)
    return to_step(job_id, "owned")


def _page(job: Any, form: Form, parts: owned.Parts) -> str:
    kind, words = request.args.get("kind", ""), request.args.get("words", "")
    return render_template(
        "pages/owned.html",
        job=job,
        form=form,
        step="limits",
        rows=owned_rows(job.document, parts),
        kinds=owned.kinds_on_offer(parts),
        kind=kind if kind in dict(owned.kinds_on_offer(parts)) else "",
        kind_words=owned.kind_words(kind),
        words=words,
        matches=len(form["part"].spec.choices),
        is_cable=kind == owned.CABLE,
    )
