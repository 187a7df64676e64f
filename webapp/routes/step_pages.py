"""List of jobs, battery and limits."""

from __future__ import annotations

from typing import Any

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.forms import batteries, battery, fuse_styles, limits
from webapp.forms.fields import Form
from webapp.forms.steps import BATTERY, LIMITS
from webapp.present.cautions import BANK, bank_cautions
from webapp.present.job_list import job_list_view, job_row
from webapp.present.marks import progress_words
from webapp.present.owned_list import owned_words
from webapp.routes import askers
from webapp.routes.once import Answer, Later, once, tell
from webapp.routes.page_base import bp, form_page, tapped, to_step
from webapp.routes.plan_base import waiting_words
from webapp.routes.saving import save
from webapp.routes.search_pages import begin_plan
from webapp.schemas.ops import JOB_ID
from webapp.services import answers, catalogue, jobs, marks, statements
from webapp.texts import _

JOBS_A_PAGE = 20


@bp.get("/")
def job_list() -> ResponseReturnValue:
    words, page = request.args.get("words", "").strip(), request.args.get("page", 1, type=int)
    skip = JOBS_A_PAGE * (max(page, 1) - 1)
    found = jobs.find_jobs(words, skip=skip, most=JOBS_A_PAGE)
    shown = [each.summary.plan.id for each in found.jobs if each.summary.plan]
    progress = {plan_id: progress_words(each.document, each.keys) for plan_id, each in marks.ticked(shown).items()}
    waits = waiting_words(shown)
    rows = [
        job_row(each.summary, each.document, progress=progress.get(plan_id, ""), waits_for=waits.get(plan_id, ""))
        for each in found.jobs
        for plan_id in (each.summary.plan.id if each.summary.plan else "",)
    ]
    return render_template(
        "pages/jobs.html",
        rows=rows,
        fresh=not words and not any(row.total for row in rows),
        list=job_list_view(words, total=found.total, skip=found.skipped, most=JOBS_A_PAGE),
        comparable=answers.jobs_to_compare(),
        binned=len(jobs.deleted_jobs()),
    )


@bp.get("/bin")
def bin_list() -> ResponseReturnValue:
    return render_template("pages/bin.html", rows=[job_row(summary) for summary in jobs.deleted_jobs()])


@bp.get("/jobs/<job_id>")
def show_job(job_id: str) -> ResponseReturnValue:
    """A job opens where it stands: at its plan, or at the first step that still lacks something."""
    document = jobs.get_job(job_id).document
    missing = next((step for step in ("places", "loads") if not document[step]), "plan")
    return to_step(job_id, missing)


@bp.post("/jobs/<job_id>/copies")
@once
def duplicate_job(job_id: str) -> ResponseReturnValue:
    twin = jobs.duplicate_job(job_id)
    name = url_for("pages.battery", job_id=twin.id, _anchor="f-title")
    flash(_("Duplicated: %(title)s.", title=twin.title), f"name {name}")
    return redirect(url_for("pages.job_list"), code=303)


@bp.post("/jobs/<job_id>/delete")
@once
def delete_job(job_id: str) -> ResponseReturnValue:
    title = jobs.get_job(job_id).title
    jobs.delete_job(job_id)
    undo = url_for("pages.restore_job", job_id=job_id)
    flash(_("Deleted: %(title)s. It stays in the bin.", title=title), f"undo {undo}")
    return redirect(url_for("pages.job_list"), code=303)


@bp.post("/jobs/<job_id>/restore")
@once
def restore_job(job_id: str) -> ResponseReturnValue:
    jobs.restore_job(job_id)
    return redirect(url_for("pages.job_list"), code=303)


@bp.post("/jobs/<job_id>/undo/<int(max=2147483647):revision>")
@once
def put_back(job_id: str, revision: int) -> ResponseReturnValue:
    """Undo of one removal: that of this revision, whatever happened since."""
    went = ""

    def act() -> None:
        nonlocal went
        went = statements.undo_removal(job_id, revision, device=askers.device())

    if tapped(act) and not went:
        flash(_("There is nothing left to undo."), "stop")
    return to_step(job_id, went or "loads")


@bp.get("/jobs/new")
def new_job() -> ResponseReturnValue:
    return battery_page(None, battery.new_form())


@bp.post("/jobs/new")
@once
def create_job() -> Answer:
    outcome = statements.start_job(request.form, job_id=_id_of_device(), device=askers.device())
    if outcome.form.troubled:
        return Later(lambda: battery_page(None, outcome.form), 422)
    tell(entry=outcome.entry, job=outcome.entry)
    return to_step(outcome.entry, "places")


def _id_of_device() -> str | None:
    """The id that the device has for the new job, so that what it keeps of it until then finds the job."""
    made = request.form.get("made", "")
    return made if JOB_ID.fullmatch(made) and not jobs.exists(made) else None


@bp.route("/jobs/<job_id>/battery", methods=["GET", "POST"], endpoint="battery")
@once
def battery_step(job_id: str) -> Answer:
    if request.method == "POST":
        return save(
            job_id,
            BATTERY,
            again=lambda form, _entry: battery_page(jobs.get_job(job_id), form),
            then=lambda _outcome: to_step(job_id, "places"),
        )
    job = jobs.get_job(job_id)
    return battery_page(job, battery.edit_form(job.document, _styles()))


def battery_page(job: Any, form: Form, *, blank: bool = False) -> str:
    """The step as a page; `blank` for a job that only a device knows yet: what follows from its answers is left out."""
    kind = form["chemistry"].text
    shown = bank_cautions(kind if kind != batteries.AS_STATED else "") if kind else (_(BANK),)
    return form_page(
        "pages/battery.html",
        job,
        form,
        step="battery",
        blank=blank,
        bank_cautions=shown,
        too_weak=fuse_styles.too_weak(_styles(), job.document) if job else "",
    )


def _styles() -> list[fuse_styles.FuseStyle]:
    return fuse_styles.fuse_styles(catalogue.current().document)


@bp.route("/jobs/<job_id>/limits", methods=["GET", "POST"], endpoint="limits")
@once
def limits_step(job_id: str) -> Answer:
    if request.method == "POST":
        return save(
            job_id,
            LIMITS,
            again=lambda form, _entry: limits_page(jobs.get_job(job_id), form),
            then=lambda _outcome: _after_limits(job_id),
        )
    job = jobs.get_job(job_id)
    return limits_page(job, limits.edit_form(job.document))


def _after_limits(job_id: str) -> Answer:
    if request.form.get("then") == "plan":
        return begin_plan(job_id)
    if request.form.get("then") == "owned":
        return to_step(job_id, "owned")
    flash(_("Saved."), "done")
    return to_step(job_id, "limits")


def limits_page(job: Any, form: Form) -> str:
    return form_page("pages/limits.html", job, form, step="limits", owned=owned_words(job.document))
