"""Forms that state a job: stored field by field, with a choice where two devices said different things."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import flash, redirect, render_template, request

from webapp.forms.fields import Form
from webapp.forms.steps import Step
from webapp.present.clashes import clash_views
from webapp.routes import askers
from webapp.routes.once import Answer, Later, tell
from webapp.services import catalogue, jobs, statements
from webapp.services.statements import EntryGone, Outcome
from webapp.texts import N_, _

REMOVED = N_("It was removed on another device after you opened this page. Save again to add it anew.")
NOT_CHOSEN = N_("Nothing was chosen, so what is stored stays.")
CARRIED = ("then",)  # what a button says beside the fields


def save(
    job_id: str,
    step: Step,
    entry_id: str = "",
    *,
    again: Callable[[Form, str], str],
    then: Callable[[Outcome], Answer],
) -> Answer:
    """Store what a form says and go on; or show it again, or what to choose.

    Args:
        entry_id: The place or load that it states; empty: a new one.
        again: The page with the form and the entry it states.
        then: Where it leads once all of it is stored.
    """
    asked = request.form.getlist("asked")
    if any(name not in request.form for name in asked):
        flash(_(NOT_CHOSEN), "stop")
        return redirect(request.path, code=303)
    try:
        outcome = _stored(job_id, step, entry_id)
    except EntryGone:
        return Later(lambda: again(_as_new(job_id, step), ""), 409)
    if outcome.form.troubled:
        outcome.form.revision = outcome.revision
        return Later(lambda: again(outcome.form, entry_id), 422)
    if outcome.clashes:
        return Later(lambda: _choice_page(job_id, step, entry_id, outcome), 409)
    if outcome.entry:
        tell(entry=outcome.entry)
    return then(outcome)


def _stored(job_id: str, step: Step, entry_id: str) -> Outcome:
    answers, device = request.form, askers.device()
    if step.array and not entry_id:
        return statements.add_entry(job_id, step, answers, device=device)
    return statements.edit_from(job_id, step, entry_id, _revision(), answers, device=device)


def _as_new(job_id: str, step: Step) -> Form:
    form = step.show(jobs.get_job(job_id).document, None, catalogue.current().document)
    for name, field in form.fields.items():
        field.text = request.form.get(name, "").strip()
    form.general.append(_(REMOVED))
    return form


def _choice_page(job_id: str, step: Step, entry_id: str, outcome: Outcome) -> str:
    clashing = {clash.spec.name for clash in outcome.clashes}
    kept = {name: field.text for name, field in outcome.form.fields.items() if name not in clashing}
    carried: dict[str, Any] = {name: request.form[name] for name in CARRIED if name in request.form}
    return render_template(
        "pages/choice.html",
        job=jobs.get_job(job_id),
        step=f"{step.name}s" if step.name in ("place", "load") else step.name,
        clashes=clash_views(outcome.clashes),
        kept={**kept, **carried, "entry": entry_id, "revision": outcome.revision},
        action=request.path,
    )


def _revision() -> int:
    text = request.form.get("revision", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
