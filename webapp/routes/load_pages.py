"""Loads: quick add, list, change, duplicate, remove."""

from __future__ import annotations

from typing import Any

from flask import abort, flash, render_template, request
from flask.typing import ResponseReturnValue

from webapp.forms import batteries, load_fields, loads, presets
from webapp.forms.entries import position
from webapp.forms.fields import Form, posted, shown
from webapp.forms.output_line import OutputLine, read_output_line
from webapp.forms.reading import Unreadable
from webapp.forms.steps import LOAD
from webapp.present.load_list import loads_view
from webapp.present.verdicts import verdict, verdicts
from webapp.routes import askers
from webapp.routes.once import Answer, Later, once, tell
from webapp.routes.page_base import bp, form_page, take_out, tapped, to_step
from webapp.routes.saving import save
from webapp.services import catalogue, jobs, statements
from webapp.texts import _


@bp.get("/jobs/<job_id>/loads", endpoint="loads")
def loads_step(job_id: str) -> ResponseReturnValue:
    job = jobs.get_job(job_id)
    return list_page(job, add_form(job))


def add_form(job: Any) -> Form:
    """The short form, at the place one was at before."""
    form = shown(load_fields.add_specs(job.document), {})
    choices = dict(form["where"].spec.choices)
    asked = request.args.get("where", "")
    form["where"].text = asked if asked in choices else next(iter(choices), "")
    return form


@bp.post("/jobs/<job_id>/loads")
@once
def add_load(job_id: str) -> Answer:
    """A usual load by one tap, or one out of its adapter's OUTPUT line."""
    job = jobs.get_job(job_id)
    preset = presets.BY_KEY.get(request.form.get("preset", ""))
    specs = load_fields.add_specs(job.document)
    form, values = posted([spec for spec in specs if spec.name == "where"] if preset else specs, request.form)
    if preset:
        form.fields = {**shown(specs, {}).fields, **form.fields}
    if form["where"].error and form["where"].text:
        _say_what_is_gone(form, job.document)
    line = None if preset or form.troubled else _line(form, values["output"])
    if form.troubled:
        return Later(lambda: list_page(job, form), 422)
    called = _(preset.name) if preset else values["what"] or values["output"]
    made: list[str] = []
    if tapped(lambda: made.append(_add(job_id, preset, line, values))):
        return _to_added(job_id, made[0], called)
    return to_step(job_id, "loads", where=values["where"])


def _say_what_is_gone(form: Form, document: dict[str, Any]) -> None:
    """The place that was chosen: at its field, or where there is nothing left to choose above the way to a new one."""
    said = load_fields.place_gone(document)
    form["where"].error = said if document["places"] else ""
    form.general += [] if document["places"] else [said]


def _line(form: Form, text: str) -> OutputLine | None:
    try:
        return read_output_line(text)
    except Unreadable as trouble:
        form["output"].error = str(trouble)
        return None


def _add(job_id: str, preset: presets.Preset | None, line: OutputLine | None, values: dict[str, Any]) -> str:
    if preset:
        return statements.add_preset(job_id, preset, values["where"], device=askers.device())
    assert line is not None  # read, or the form was shown again
    return statements.add_output(job_id, line, values["what"] or "", values["where"], device=askers.device())


@bp.route("/jobs/<job_id>/loads/new", methods=["GET", "POST"])
@once
def new_load(job_id: str) -> Answer:
    if request.method == "POST":
        return _save(job_id, "")
    job = jobs.get_job(job_id)
    return load_page(job, loads.blank_form(job.document, supplies()), None)


@bp.route("/jobs/<job_id>/loads/<int:index>", methods=["GET", "POST"])
@once
def edit_load(job_id: str, index: int) -> Answer:
    if request.method == "POST":
        return _save(job_id, request.form.get("entry", ""))
    job = jobs.get_job(job_id)
    if index >= len(job.document["loads"]):
        abort(404)
    return load_page(job, loads.edit_form(job.document, index, supplies()), index)


def _save(job_id: str, entry_id: str) -> Answer:
    def again(form: Form, entry: str) -> str:
        job = jobs.get_job(job_id)
        return load_page(job, form, position(job.document, "loads", entry))

    def then(outcome: statements.Outcome) -> ResponseReturnValue:
        return _to_load(job_id, outcome.entry) if entry_id else _to_added(job_id, outcome.entry)

    return save(job_id, LOAD, entry_id, again=again, then=then)


@bp.post("/jobs/<job_id>/loads/remove")
@once
def remove_load(job_id: str) -> ResponseReturnValue:
    entry_id = request.form.get("entry", "")
    document = jobs.get_job(job_id).document
    index = position(document, "loads", entry_id)
    called = "" if index is None else document["loads"][index].get("name") or entry_id
    take_out(job_id, "loads", entry_id, called)
    return to_step(job_id, "loads")


@bp.post("/jobs/<job_id>/loads/duplicate")
@once
def duplicate_load(job_id: str) -> ResponseReturnValue:
    entry_id = request.form.get("entry", "")
    made: list[str] = []
    if tapped(lambda: made.append(statements.duplicate_load(job_id, entry_id, device=askers.device()))):
        return _to_added(job_id, made[0])
    return to_step(job_id, "loads", _anchor="loads")


def _to_added(job_id: str, entry_id: str, called: str = "") -> ResponseReturnValue:
    """The list of loads at the one just added, where it says so."""
    tell(entry=entry_id)
    document = jobs.get_job(job_id).document
    index = position(document, "loads", entry_id)
    if index is None:
        return to_step(job_id, "loads", _anchor="loads")
    load = document["loads"][index]
    flash(_("Added: %(called)s.", called=called or load.get("name") or entry_id), f"at {entry_id}")
    return to_step(job_id, "loads", where=load["place"], _anchor="added")


def _to_load(job_id: str, entry_id: str) -> ResponseReturnValue:
    """The list of loads, open at the place of one of them."""
    document = jobs.get_job(job_id).document
    index = position(document, "loads", entry_id)
    if index is None:
        return to_step(job_id, "loads", _anchor="loads")
    return to_step(job_id, "loads", where=document["loads"][index]["place"], _anchor=f"load-{index}")


def supplies() -> list[str]:
    return load_fields.supply_forms(catalogue.current().document)


def list_page(job: Any, form: Form) -> str:
    return render_template(
        "pages/loads.html",
        job=job,
        form=form,
        step="loads",
        presets=presets.PRESETS,
        view=loads_view(job.document, request.args.get("find", "").strip(), form["where"].text),
    )


def load_page(job: Any, form: Form, editing: int | None) -> str:
    entry_id = "" if editing is None else job.document["loads"][editing]["id"]
    return form_page(
        "pages/load.html",
        job,
        form,
        step="loads",
        editing=editing,
        entry_id=entry_id,
        verdict=verdict(job.document["bus"], job.document["loads"][editing]["needs"]) if entry_id else None,
        verdicts=verdicts(),
        spans=batteries.spans(),
    )
