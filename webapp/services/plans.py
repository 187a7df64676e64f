"""Plans: asked for by people, worked out by the solver process."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from webapp import db, schemas
from webapp.repositories import catalogue, jobs, plans
from webapp.repositories.rows import CatalogueRecord, JobRecord, PlanRecord, PlanSummary, PlanTask
from webapp.services.catalogue import found as found_catalogue
from webapp.services.errors import Busy, FaultyDocument, NotFound

__all__ = [
    "PlanRecord",
    "PlanSummary",
    "PlanTask",
    "claim_plan",
    "end_interrupted_plans",
    "fail_plan",
    "finish_plan",
    "get_plan",
    "note_progress",
    "plans_of",
    "start_plan",
]

MOST_QUEUED = 50
TIME_LIMIT_S = 60.0  # long enough for a proof of the demo jobs on a small machine
MOST_TIME_LIMIT_S = 600.0
INTERRUPTED = "The server stopped while this was being worked out; try again."


def start_plan(job_id: str, time_limit_s: float = TIME_LIMIT_S) -> str:
    """Ask for a plan of a job as it stands, from the catalogue of now; the plan's id.

    A second request for what is already under way gets that plan.

    Raises:
        NotFound: There is no such job, or no catalogue.
        FaultyDocument: The job cannot be planned yet.
        Busy: Too many plans are waiting.
    """
    database = db.current()
    with database.reading() as session:
        job = jobs.find(session, job_id)
        newest = found_catalogue(session, catalogue.newest_number(session) or 0)
    if job is None or job.deleted_at is not None:
        raise NotFound("There is no such job here.")
    _refuse_faults(job, newest)
    with database.writing() as session:
        plan_id = _ask(session, job, newest, min(max(time_limit_s, 1.0), MOST_TIME_LIMIT_S))
    database.plan_queued.set()
    return plan_id


def get_plan(plan_id: str) -> PlanRecord:
    """A plan with the job it was made for. Raises NotFound."""
    with db.current().reading() as session:
        plan = plans.find(session, plan_id)
    if plan is None:
        raise NotFound("There is no such plan here.")
    return plan


def plans_of(job_id: str) -> list[PlanSummary]:
    """All plans of a job, the newest first."""
    with db.current().reading() as session:
        return plans.of_job(session, job_id)


def claim_plan() -> PlanTask | None:
    """The next plan to work out, now marked as running."""
    with db.current().writing() as session:
        return plans.claim(session)


def note_progress(plan_id: str, progress: dict[str, Any]) -> None:
    """How far a running plan got."""
    with db.current().writing() as session:
        plans.set_progress(session, plan_id, progress)


def finish_plan(plan_id: str, document: dict[str, Any], solver: str) -> None:
    """Store a plan's answer for good."""
    with db.current().writing() as session:
        plans.finish(session, plan_id, document, solver)


def fail_plan(plan_id: str, message: str) -> None:
    """End a plan without an answer, with a sentence that says why."""
    with db.current().writing() as session:
        plans.fail(session, plan_id, message)


def end_interrupted_plans() -> int:
    """End what an earlier server left behind; how many."""
    with db.current().writing() as session:
        return plans.fail_all_under_way(session, INTERRUPTED)


def _ask(session: Session, job: JobRecord, newest: CatalogueRecord, time_limit_s: float) -> str:
    under_way = plans.under_way(session, job.id, job.revision, newest.revision)
    if under_way is not None:
        return under_way
    if plans.count_queued(session) >= MOST_QUEUED:
        raise Busy("Too many plans are waiting. Try again in a minute; your job is kept as it is.")
    return plans.add(session, job.id, job.revision, newest.revision, time_limit_s)


def _refuse_faults(job: JobRecord, newest: CatalogueRecord) -> None:
    stated = schemas.read_job(job.document)
    if stated.value is None:
        raise FaultyDocument(stated.faults)
    known = schemas.read_catalogue(newest.document).value
    faults = schemas.cross_faults(stated.value, known) if known else ()
    if faults:
        raise FaultyDocument(faults)
