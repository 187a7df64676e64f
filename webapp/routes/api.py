"""JSON for programs: jobs, plans, the catalogue. Faults come as `{"faults": [{"pointer", "message"}]}`."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, abort, jsonify, request, url_for
from flask.typing import ResponseReturnValue

from webapp import db, schemas
from webapp.repositories.rows import JobRecord, PlanRecord, PlanSummary
from webapp.routes import askers
from webapp.routes.plan_documents import handed_out
from webapp.schemas import Fault
from webapp.services import catalogue, jobs, plans
from webapp.services.errors import FaultyDocument, StaleRevision

bp = Blueprint("api", __name__)


@bp.get("/healthz")
def health() -> ResponseReturnValue:
    """Whether pages can be served: the database answers."""
    db.current().check()
    return jsonify(state="ready")


@bp.get("/api/jobs")
def list_jobs() -> ResponseReturnValue:
    return jsonify(
        jobs=[
            {
                "id": job.id,
                "title": job.title,
                "revision": job.revision,
                "updated_at": job.updated_at.isoformat(),
                "plan": _plan_summary(job.plan) if job.plan else None,
            }
            for job in jobs.list_jobs()
        ]
    )


@bp.post("/api/jobs")
def start_job() -> ResponseReturnValue:
    job = jobs.start_job(_document())
    response = _job(job)
    response.status_code = 201
    response.headers["Location"] = url_for(".show_job", job_id=job.id)
    return response


@bp.get("/api/jobs/<job_id>")
def show_job(job_id: str) -> ResponseReturnValue:
    return _job(jobs.get_job(job_id))


@bp.put("/api/jobs/<job_id>")
def save_job(job_id: str) -> ResponseReturnValue:
    try:
        return _job(jobs.save_job(job_id, _revision_changed(), _document()))
    except StaleRevision as trouble:
        abort(412, f"{trouble} The revision is {trouble.current} now.")


@bp.get("/api/jobs/<job_id>/plans")
def list_plans(job_id: str) -> ResponseReturnValue:
    return jsonify(plans=[_plan_summary(plan) for plan in plans.plans_of(jobs.get_job(job_id).id)])


@bp.post("/api/jobs/<job_id>/plans")
def start_plan(job_id: str) -> ResponseReturnValue:
    """Starts a search; `{"time_limit_s": 60}` or no body at all."""
    plan_id = plans.start_plan(job_id, **_search_options(), asked_by=askers.program())
    response = jsonify(id=plan_id)
    response.status_code = 202
    response.headers["Location"] = url_for(".show_plan", plan_id=plan_id)
    return response


@bp.get("/api/plans/<plan_id>")
def show_plan(plan_id: str) -> ResponseReturnValue:
    return _plan(plans.get_plan(plan_id))


@bp.post("/api/plans/<plan_id>/cancel")
def cancel_plan(plan_id: str) -> ResponseReturnValue:
    """Ends a search, keeping its best plan so far: 202 while it still ends, 200 once it has."""
    _refuse_other_than_json()
    plan = plans.cancel_plan(plan_id)
    response = _plan(plan)
    response.status_code = 202 if plan.state == "running" else 200
    return response


@bp.get("/api/catalogue")
def show_catalogue() -> ResponseReturnValue:
    return _catalogue(catalogue.current())


@bp.get("/api/catalogue/<int(max=2147483647):revision>")
def show_catalogue_at(revision: int) -> ResponseReturnValue:
    return _catalogue(catalogue.at(revision))


def _job(job: JobRecord) -> Response:
    response = jsonify(
        id=job.id,
        revision=job.revision,
        title=job.title,
        updated_at=job.updated_at.isoformat(),
        deleted_at=job.deleted_at.isoformat() if job.deleted_at else None,
        document=job.document,
    )
    response.set_etag(str(job.revision))
    return response


def _plan(plan: PlanRecord) -> Response:
    return jsonify(
        id=plan.id,
        job=plan.job_id,
        job_revision=plan.job_revision,
        catalogue_revision=plan.catalogue_revision,
        state=plan.state,
        message=plan.message,
        progress=plan.progress,
        ahead=plan.ahead,
        cancel_asked=plan.cancel_asked_at is not None,
        time_limit_s=plan.time_limit_s,
        solver=plan.solver,
        created_at=plan.created_at.isoformat(),
        **handed_out(plan),
    )


def _plan_summary(plan: PlanSummary) -> dict[str, Any]:
    return {
        "id": plan.id,
        "state": plan.state,
        "status": plan.status,
        "total_cents": plan.total_cents,
        "job_revision": plan.job_revision,
        "created_at": plan.created_at.isoformat(),
    }


def _catalogue(record: catalogue.CatalogueRecord) -> Response:
    return jsonify(revision=record.revision, sha256=record.sha256, document=record.document)


def _document() -> dict[str, Any]:
    """The JSON object that was sent. What is in it is for the services to judge."""
    if request.mimetype != "application/json":
        abort(415, "Send JSON, with Content-Type: application/json.")
    reading = schemas.read_json(request.get_data())
    if reading.faults:
        raise FaultyDocument(reading.faults)
    if not isinstance(reading.value, dict):
        raise FaultyDocument([Fault(pointer="", message="this must be a JSON object")])
    return reading.value


def _revision_changed() -> int:
    """The revision that If-Match names: without it, somebody else's change could be overwritten unseen."""
    tags = request.if_match.as_set(include_weak=True)
    if len(tags) != 1:
        abort(428, 'Name the revision you changed: If-Match: "3".')
    tag = tags.pop()
    if not (tag.isascii() and tag.isdigit() and len(tag) < 10):
        abort(400, 'If-Match must name one revision, such as "3".')
    return int(tag)


def _search_options() -> dict[str, Any]:
    _refuse_other_than_json()
    if not request.get_data():
        return {}
    options = _document()
    limit = options.pop("time_limit_s", plans.TIME_LIMIT_S)
    faults = [Fault(pointer=name, message="there is no such option") for name in options]
    faults += plans.time_limit_faults(limit)
    if faults:
        raise FaultyDocument(faults)
    return {"time_limit_s": float(limit)}


def _refuse_other_than_json() -> None:
    """A form of another web site can send no JSON, and never nothing at all."""
    if request.mimetype not in ("", "application/json"):
        abort(415, "Send JSON or nothing at all.")
