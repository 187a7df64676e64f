"""The blueprint of the pages and what all of them need."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import Blueprint, flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from webapp.forms.entries import position
from webapp.forms.fields import Form
from webapp.present import cautions, words
from webapp.present.job_state import job_state
from webapp.routes import askers
from webapp.routes.once import known_as, new_op_id, not_done, tell
from webapp.schemas.ops import ANY_JOB
from webapp.services import jobs, statements
from webapp.services.errors import FaultyDocument
from webapp.services.statements import EntryGone
from webapp.texts import _, bound

bp = Blueprint("pages", __name__)

Document = dict[str, Any]


bp.add_app_template_filter(words.sentence, "as_sentence")
bp.add_app_template_filter(bound, "bound")


@bp.app_context_processor
def shared() -> dict[str, Any]:
    return {
        "ANY_JOB": ANY_JOB,
        "cautions": cautions.Spoken(),
        "job_state": job_state,
        "step_url": step_url,
        "load_url": load_url,
        "new_op_id": new_op_id,
    }


def form_page(template: str, job: jobs.JobRecord | None, form: Form, **values: Any) -> str:
    """A page with one form; where it is shown for the first time, as of the job's revision."""
    if form.revision is None:
        form.revision = job.revision if job else 0
    return render_template(template, job=job, form=form, **values)


def step_url(job_id: str, step: str) -> str:
    return url_for(f"pages.{step}", job_id=job_id)


def load_url(job: jobs.JobRecord, load_id: str) -> str:
    """The page of a load where it stands now; the list of loads where it is gone."""
    index = position(job.document, "loads", load_id)
    return step_url(job.id, "loads") if index is None else url_for("pages.edit_load", job_id=job.id, index=index)


def to_step(job_id: str, step: str, **extra: Any) -> ResponseReturnValue:
    return redirect(url_for(f"pages.{step}", job_id=job_id, **extra), code=303)


def own_path(path: str) -> str:
    """A path that a form wants to go back to, if it is one of ours; else empty."""
    is_ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if is_ours else ""


def tapped(act: Callable[[], Any]) -> bool:
    """Whether a change made by one tap was stored. Says on the next page why it was not."""
    try:
        act()
    except FaultyDocument as trouble:
        not_done()
        flash(" ".join(words.sentence(fault.message) for fault in trouble.faults[:3]), "stop")
        return False
    except EntryGone as trouble:
        not_done()
        flash(str(trouble), "stop")
        return False
    return True


def change(job_id: str, alter: Callable[[Document], Document]) -> bool:
    """Whether a change of a job as it stands, made by one tap, was stored."""
    return tapped(lambda: jobs.change_job(job_id, alter, device=askers.device()))


def take_out(job_id: str, array: str, entry_id: str, called: str) -> None:
    """Remove an entry of a list, with a way back on the next page. Raises PlaceInUse."""
    removed = 0

    def act() -> None:
        nonlocal removed
        removed = statements.remove_entry(job_id, array, entry_id, device=askers.device())

    if tapped(act):
        tell(undo=removed)
        undo = url_for("pages.put_back", job_id=job_id, revision=removed)
        flash(_("Removed: %(called)s.", called=called), f"undo {undo} {known_as()}")
