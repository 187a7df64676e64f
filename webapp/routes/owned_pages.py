"""Stock on hand: list, add, remove."""

from __future__ import annotations

from typing import Any

from flask import flash, request
from flask.typing import ResponseReturnValue

from webapp.forms import owned
from webapp.forms.fields import Form
from webapp.forms.steps import OWNED
from webapp.present.owned_list import owned_rows
from webapp.routes.once import Answer, once
from webapp.routes.page_base import bp, form_page, take_out, to_step
from webapp.routes.saving import save
from webapp.services import catalogue, jobs
from webapp.texts import _


@bp.route("/jobs/<job_id>/owned", methods=["GET", "POST"], endpoint="owned")
@once
def owned_list(job_id: str) -> Answer:
    kind = request.args.get("kind", "")
    if request.method == "POST":
        return save(job_id, OWNED, again=lambda form, _entry: _again(job_id, form), then=lambda _: _added(job_id, kind))
    job = jobs.get_job(job_id)
    parts = catalogue.current().document["parts"]
    return owned_page(job, owned.blank_form(parts, kind, request.args.get("words", "")), parts)


def _added(job_id: str, kind: str) -> ResponseReturnValue:
    flash(_("Added to what you have."), "done")
    return to_step(job_id, "owned", kind=kind)


def _again(job_id: str, form: Form) -> str:
    """The form as typed, with the parts that its page had on offer."""
    parts = catalogue.current().document["parts"]
    blank = owned.blank_form(parts, request.args.get("kind", ""), request.args.get("words", ""))
    for name, field in blank.fields.items():
        field.text = request.form.get(name, "").strip()
        field.error = form[name].error if name in form.fields else ""
    blank.general = form.general
    return owned_page(jobs.get_job(job_id), blank, parts)


@bp.post("/jobs/<job_id>/owned/remove")
@once
def remove_owned(job_id: str) -> ResponseReturnValue:
    asked = request.form.get("entry", "")
    rows = owned_rows(jobs.get_job(job_id).document, catalogue.current().document["parts"])
    take_out(job_id, "owned", asked, next((row.what for row in rows if row.entry == asked), ""))
    return to_step(job_id, "owned")


def owned_page(job: Any, form: Form, parts: owned.Parts) -> str:
    kind, words = request.args.get("kind", ""), request.args.get("words", "")
    return form_page(
        "pages/owned.html",
        job,
        form,
        step="limits",
        rows=owned_rows(job.document, parts),
        kinds=owned.kinds_on_offer(parts),
        kind=kind if kind in dict(owned.kinds_on_offer(parts)) else "",
        kind_words=owned.kind_words(kind),
        words=words,
        matches=len(form["part"].spec.choices),
        is_cable=kind == owned.CABLE,
    )
