"""Loads: quick add, list, change, duplicate, remove."""

from __future__ import annotations

from typing import Any

from flask import abort, flash, render_template, request
from flask.typing import ResponseReturnValue

from webapp.forms import load_fields, loads, presets
from webapp.forms.fields import Form, posted, shown
from webapp.forms.output_line import read_output_line
from webapp.forms.reading import Unreadable
from webapp.present.job_pages import loads_view
from webapp.routes.page_base import Document, bp, change, keep, position, take_out, to_step
from webapp.services import catalogue, jobs


@bp.get("/jobs/<job_id>/loads", endpoint="loads")
def loads_step(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    form = shown(load_fields.add_specs(job.document), {})
    choices = dict(form["where"].spec.choices)
    asked = request.args.get("where", "")
    form["where"].text = asked if asked in choices else next(iter(choices), "")
    return _list_page(job, form)


@bp.post("/jobs/<job_id>/loads")
def add_load(job_id: str) -> ResponseReturnValue:
    """A usual load by one tap, or one out of its adapter's OUTPUT line."""
    job = jobs.get_job(job_id)
    preset = presets.BY_KEY.get(request.form.get("preset", ""))
    specs = load_fields.add_specs(job.document)
    form, values = posted([spec for spec in specs if spec.name == "where"] if preset else specs, request.form)
    if preset:
        form.fields = {**shown(specs, {}).fields, **form.fields}
    if not form.troubled and preset:
        change(job_id, lambda document: loads.add_preset(document, preset, values["where"]))
    elif not form.troubled:
        _add_output(job_id, form, values)
    if form.troubled:
        return _list_page(job, form), 422
    flash(f"Added: {preset.name if preset else values['what'] or values['output']}.", "done")
    return to_step(job_id, "loads", where=values["where"])


def _add_output(job_id: str, form: Form, values: dict[str, Any]) -> None:
    try:
        line = read_output_line(values["output"])
    except Unreadable as trouble:
        form["output"].error = str(trouble)
        return
    change(job_id, lambda document: loads.add_output(document, line, values["what"] or "", values["where"]))


@bp.route("/jobs/<job_id>/loads/new", methods=["GET", "POST"])
def new_load(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    if request.method == "GET":
        form = loads.blank_form(job.document, _forms())
        form.revision = job.revision
        return _load_page(job, form, None)
    return _save(job, None)


@bp.route("/jobs/<job_id>/loads/<int:index>", methods=["GET", "POST"])
def edit_load(job_id: str, index: int) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    if request.method == "POST":
        return _save(job, position(job.document, "loads", request.form.get("entry", "")))
    if index >= len(job.document["loads"]):
        abort(404)
    form = loads.edit_form(job.document, index, _forms())
    form.revision = job.revision
    return _load_page(job, form, index)


def _save(job: Any, index: int | None) -> ResponseReturnValue:
    form, document = loads.read_load(request.form, job.document, index, _forms())
    where = len(job.document["loads"]) if index is None else index
    status = 422 if document is None else keep(job.id, form, document, at=f"loads/{where}/")
    if status:
        return _load_page(job, form, index), status
    return to_step(job.id, "loads", where=form["place"].text, _anchor=f"load-{where}")


@bp.post("/jobs/<job_id>/loads/remove")
def remove_load(job_id: str) -> ResponseReturnValue:
    document = jobs.get_job(job_id).document
    index = position(document, "loads", request.form.get("entry", ""))
    if index is not None:
        load = document["loads"][index]
        take_out(job_id, "loads", load["id"], load.get("name") or load["id"])
    return to_step(job_id, "loads")


@bp.post("/jobs/<job_id>/loads/duplicate")
def duplicate_load(job_id: str) -> ResponseReturnValue:
    def doubled(document: Document) -> Document:
        index = position(document, "loads", request.form.get("entry", ""))
        return document if index is None else loads.duplicated(document, index)

    change(job_id, doubled)
    return to_step(job_id, "loads", _anchor="loads")


def _forms() -> list[str]:
    return load_fields.supply_forms(catalogue.current().document)


def _list_page(job: Any, form: Form) -> str:
    return render_template(
        "pages/loads.html", job=job, form=form, step="loads", presets=presets.PRESETS, view=loads_view(job.document)
    )


def _load_page(job: Any, form: Form, editing: int | None) -> str:
    entry_id = "" if editing is None else job.document["loads"][editing]["id"]
    return render_template("pages/load.html", job=job, form=form, step="loads", editing=editing, entry_id=entry_id)
