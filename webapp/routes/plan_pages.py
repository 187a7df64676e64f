"""Plans: start, watch, read."""

from __future__ import annotations

from typing import Any

from flask import jsonify, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from optimizer.catalogue import Battery, Catalogue
from optimizer.plan import Plan
from webapp import schemas
from webapp.forms import batteries
from webapp.present.cautions import ALWAYS
from webapp.present.job_pages import STEPS
from webapp.present.plan_page import NO_PLAN, STEP_WORDS, plan_view, progress_words, reason_views
from webapp.present.words import sentence
from webapp.routes.page_base import bp, catalogue_value
from webapp.services import jobs, plans
from webapp.services.errors import Busy, FaultyDocument


@bp.get("/jobs/<job_id>/plan")
def plan(job_id: str) -> ResponseReturnValue:
    """The newest plan of a job, or what is missing for one."""
    job = jobs.get_job(job_id)
    made = plans.plans_of(job_id)
    if made:
        return redirect(url_for("pages.show_plan", plan_id=made[0].id), code=303)
    return _not_ready(job, _missing(job.document))


@bp.route("/jobs/<job_id>/plans", methods=["POST"])
def start_plan(job_id: str) -> ResponseReturnValue:
    try:
        plan_id = plans.start_plan(job_id)
    except FaultyDocument as trouble:
        job = jobs.get_job(job_id)
        faults = [(sentence(fault.message), _step(fault.pointer)) for fault in trouble.faults]
        return _not_ready(job, _missing(job.document) or faults), 422
    except Busy as trouble:
        return _not_ready(jobs.get_job(job_id), [(str(trouble), "limits")]), 503
    return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)


@bp.get("/plans/<plan_id>")
def show_plan(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    job = jobs.get_job(record.job_id)
    if record.state != "done" or record.document is None:
        return _planning_page(job, record)
    reading = schemas.read_plan(record.document)
    assert reading.value is not None  # read before it was stored
    if not reading.value.has_answer:
        return _no_plan_page(job, record, reading.value)
    return _plan_page(job, record, reading.value)


@bp.get("/plans/<plan_id>.json")
def plan_json(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    return jsonify(
        id=record.id,
        state=record.state,
        message=record.message,
        words=list(progress_words(record.progress)),
        plan=record.document,
    )


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
        view=plan_view(stated.value, catalogue, value, _chemistry(record.job_document, catalogue, value)),
    )


def _no_plan_page(job: Any, record: Any, value: Plan) -> str:
    return render_template(
        "pages/no_plan.html",
        job=job,
        step="plan",
        heading=NO_PLAN.get(value.status, "No plan"),
        reasons=reason_views(value, record.job_document),
        plan_cautions=(ALWAYS, *value.cautions),
    )


def _planning_page(job: Any, record: Any) -> str:
    running = record.state in ("queued", "running")
    return render_template(
        "pages/planning.html",
        job=job,
        step="plan",
        plan=record,
        running=running,
        progress=progress_words(record.progress),
    )


def _chemistry(document: dict[str, Any], catalogue: Catalogue, value: Plan) -> str:
    """Lithium, lead-acid or unknown: decides which cautions stand beside the battery."""
    if value.bank is not None and value.bank.part is not None:
        chemistry = catalogue.get(Battery, value.bank.part).chemistry or ""
        return "lithium" if chemistry == "lithium" else "agm" if chemistry else ""
    return batteries.recognised(document)


def _not_ready(job: Any, missing: list[tuple[str, str]]) -> str:
    return render_template("pages/no_plan_yet.html", job=job, step="plan", missing=missing, step_words=STEP_WORDS)


def _missing(document: dict[str, Any]) -> list[tuple[str, str]]:
    missing = []
    if not document["places"]:
        missing.append(("There is no place yet: say where the loads sit, and how far from the panel.", "places"))
    if not document["loads"]:
        missing.append(("There is no load yet: say what the battery should feed.", "loads"))
    return missing


def _step(pointer: str) -> str:
    first = pointer.strip("/").split("/")[0]
    return first if first in dict(STEPS) or first == "owned" else "battery"
