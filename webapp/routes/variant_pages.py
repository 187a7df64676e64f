"""What if: copies of a job with one change each, planned beside it and then compared."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.forms.reading import with_change
from webapp.present.compare_rows import short_names
from webapp.present.job_list import job_row
from webapp.present.variants import change_in_title, variants_view
from webapp.routes import askers
from webapp.routes.once import Answer, Later, not_done, once
from webapp.routes.page_base import bp, to_step
from webapp.routes.plan_base import waiting_words
from webapp.routes.search_pages import missing, not_ready
from webapp.services import jobs, plans, variants
from webapp.services.errors import Busy, FaultyDocument
from webapp.texts import _, ngettext


@bp.get("/jobs/<job_id>/what-if")
def what_if(job_id: str) -> str:
    job = jobs.get_job(job_id)
    lacking = missing(job.document)
    return not_ready(job, lacking) if lacking else _page(job_id)


@bp.post("/jobs/<job_id>/what-if")
@once
def take_variants(job_id: str) -> Answer:
    """Copies the job with each ticked change, asks for their plans and leads to where they are compared."""
    keys = tuple(dict.fromkeys(request.form.getlist("variant")))
    if not keys:
        return Later(lambda: _page(job_id, keys, _("Tick at least one.")), 422)
    if len(keys) > variants.MOST_AT_ONCE:
        words = _("Three at most fit beside the job as it is: take some of the ticks away.")
        return Later(lambda: _page(job_id, keys, words), 422)
    job = jobs.get_job(job_id)
    offered = {each.variant.key: each.variant.document for each in variants.offers(job)}
    if request.form.get("revision") != str(job.revision) or not offered.keys() >= set(keys):
        words = _("The job has been changed since this page was made: look again at what is ticked.")
        return Later(lambda: _page(job_id, keys, words), 409)
    titles = {key: _title(job, key, offered[key]) for key in keys}
    try:
        made = variants.take(job_id, titles, asked_by=askers.browser())
    except FaultyDocument as trouble:
        words = str(trouble)
        return Later(lambda: _page(job_id, keys, words), 422)
    except Busy as trouble:
        words = str(trouble)
        return Later(lambda: _page(job_id, keys, words), Busy.status)
    return redirect(url_for("pages.compare", plan=made, of=made[0]), code=303)


@bp.post("/jobs/<job_id>/what-if/delete")
@once
def delete_variants(job_id: str) -> ResponseReturnValue:
    gone = variants.delete_all(job_id)
    if not gone:
        not_done()
        return to_step(job_id, "what_if")
    undo = url_for("pages.restore_variants", job_id=job_id, variant=[each.id for each in gone])
    words = ngettext(
        "Deleted: %(num)s variant. It stays in the bin.", "Deleted: %(num)s variants. They stay in the bin.", len(gone)
    )
    flash(words, f"undo {undo}")
    return to_step(job_id, "what_if")


@bp.post("/jobs/<job_id>/what-if/restore")
@once
def restore_variants(job_id: str) -> ResponseReturnValue:
    variants.restore(job_id, request.args.getlist("variant"))
    return to_step(job_id, "what_if")


def _page(job_id: str, ticked: Collection[str] | None = None, trouble: str = "") -> str:
    job = jobs.get_job(job_id)
    offers = variants.offers(job)
    first = [each.variant.key for each in offers[: variants.MOST_AT_ONCE]]
    listed = variants.listed_of(job_id)
    waits = waiting_words([each.summary.plan.id for each in listed if each.summary.plan])
    made = [
        job_row(each.summary, each.document, waits_for=waits.get(each.summary.plan.id, "") if each.summary.plan else "")
        for each in listed
    ]
    names = short_names((job.title, *(row.title for row in made)))
    made = [replace(row, title=names[row.title]) for row in made]
    return render_template(
        "pages/what_if.html",
        job=job,
        step="plan",
        view=variants_view(job.document, offers, first if ticked is None else ticked, made),
        trouble=trouble,
        has_plan=bool(plans.plans_of(job_id)),
    )


def _title(job: jobs.JobRecord, key: str, changed: dict[str, object]) -> str:
    return with_change(job.document["title"], change_in_title(job.document, key, changed))
