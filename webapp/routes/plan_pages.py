"""Plans: found, or why there is none."""

from __future__ import annotations

from typing import Any

from flask import flash, jsonify, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from optimizer.catalogue import Battery, Catalogue
from optimizer.plan import Plan
from webapp import schemas
from webapp.forms import batteries, searches
from webapp.present.cautions import ALWAYS
from webapp.present.plan_page import NO_PLAN, plan_view, reason_views
from webapp.present.progress import ended_words
from webapp.present.ways_out import ways_out_view
from webapp.routes import askers
from webapp.routes.page_base import bp, catalogue_value
from webapp.routes.search_pages import missing, not_ready, search_page
from webapp.services import jobs, plans
from webapp.services.errors import Busy


@bp.get("/jobs/<job_id>/plan")
def plan(job_id: str) -> ResponseReturnValue:
    """The newest plan of a job, or what is missing for one."""
    job = jobs.get_job(job_id)
    made = plans.plans_of(job_id)
    if made:
        return redirect(url_for("pages.show_plan", plan_id=made[0].id), code=303)
    return not_ready(job, missing(job.document))


@bp.get("/plans/<plan_id>")
def show_plan(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    job = jobs.get_job(record.job_id)
    if record.state != "done" or record.document is None:
        return search_page(job, record)
    reading = schemas.read_plan(record.document)
    assert reading.value is not None  # read before it was stored
    if not reading.value.has_answer:
        return _no_plan_page(job, record, reading.value)
    return _plan_page(job, record, reading.value)


@bp.post("/plans/<plan_id>/explanation")
def explain_plan(plan_id: str) -> ResponseReturnValue:
    """Asks why each part and what each limit costs: the same plan, explained, on a page of its own."""
    try:
        explained = plans.explain_plan(plan_id, asked_by=askers.browser())
    except Busy as trouble:
        flash(str(trouble), "error")
        return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)
    return redirect(url_for("pages.show_plan", plan_id=explained), code=303)


@bp.get("/plans/<plan_id>.json")
def plan_json(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    return jsonify(id=record.id, state=record.state, message=record.message, plan=record.document)


def _plan_page(job: Any, record: Any, value: Plan) -> str:
    catalogue = catalogue_value(record.catalogue_revision)
    stated = schemas.read_job(record.job_document)
    assert stated.value is not None  # read before it was planned
    return render_template(
        "pages/plan.html",
        job=job,
        step="plan",
        plan=record,
        changed_since=record.job_revision != job.revision,
        made=record.created_at.strftime("%-d %b %Y, %H:%M"),
        ended=ended_words(record),
        again=searches.longer_form(record.time_limit_s, plans.MOST_TIME_LIMIT_S),
        view=plan_view(stated.value, catalogue, value, _chemistry(record.job_document, catalogue, value)),
    )


def _no_plan_page(job: Any, record: Any, value: Plan) -> str:
    return render_template(
        "pages/no_plan.html",
        job=job,
        step="plan",
        heading=NO_PLAN.get(value.status, "No plan"),
        reasons=reason_views(value, record.job_document),
        ways_out=ways_out_view(value),
        plan_cautions=(ALWAYS, *value.cautions),
        plan=record,
        again=searches.longer_form(record.time_limit_s, plans.MOST_TIME_LIMIT_S) if value.status == "unknown" else None,
    )


def _chemistry(document: dict[str, Any], catalogue: Catalogue, value: Plan) -> str:
    """Lithium, lead-acid or unknown: decides which cautions stand beside the battery."""
    if value.bank is not None and value.bank.part is not None:
        chemistry = catalogue.get(Battery, value.bank.part).chemistry or ""
        return "lithium" if chemistry == "lithium" else "agm" if chemistry else ""
    return batteries.recognised(document)
