"""Plans: asked for, worked on, ended. Each step is taken once, by whoever gets there first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import CursorResult, func, select, update
from sqlalchemy.orm import Session, aliased

from webapp import canonical
from webapp.models import CatalogueRevision, JobRevision, Plan
from webapp.models.base import now
from webapp.repositories.rows import PlanRecord, PlanSummary, PlanTask

SUMMARY = (Plan.id, Plan.state, Plan.status, Plan.total_cents, Plan.created_at, Plan.job_revision)


def add(session: Session, job_id: str, job_revision: int, catalogue_revision: int, time_limit_s: float) -> str:
    """A plan to work out, at the end of the queue; its id."""
    plan = Plan(
        job_id=job_id, job_revision=job_revision, catalogue_revision=catalogue_revision, time_limit_s=time_limit_s
    )
    session.add(plan)
    session.flush()
    return plan.id


def find(session: Session, plan_id: str) -> PlanRecord | None:
    """A plan with the job it was made for."""
    made_for = (JobRevision.job_id == Plan.job_id) & (JobRevision.number == Plan.job_revision)
    query = select(Plan, JobRevision.document).join(JobRevision, made_for).where(Plan.id == plan_id)
    row = session.execute(query).first()
    return None if row is None else _record(row[0], row[1])


def of_job(session: Session, job_id: str) -> list[PlanSummary]:
    """All plans of a job, the newest first."""
    query = select(*SUMMARY).where(Plan.job_id == job_id).order_by(Plan.created_at.desc(), Plan.id.desc())
    return [to_summary(row) for row in session.execute(query)]


def under_way(session: Session, job_id: str, job_revision: int, catalogue_revision: int) -> str | None:
    """The id of a plan for exactly these documents that has not ended yet."""
    return session.scalar(
        select(Plan.id)
        .where(Plan.job_id == job_id, Plan.job_revision == job_revision)
        .where(Plan.catalogue_revision == catalogue_revision, Plan.state.in_(("queued", "running")))
        .limit(1)
    )


def count_queued(session: Session) -> int:
    """How many wait."""
    return session.scalar(select(func.count()).where(Plan.state == "queued")) or 0


def claim(session: Session) -> PlanTask | None:
    """Mark the next plan as running. First come, first served, but no job twice while another job waits."""
    other = aliased(Plan)
    running = select(func.count()).where(other.job_id == Plan.job_id, other.state == "running").scalar_subquery()
    plan = session.scalar(
        select(Plan)
        .where(Plan.state == "queued")
        .order_by(running, Plan.created_at, Plan.id)
        .limit(1)
        .with_for_update(skip_locked=True, of=Plan)
    )
    if plan is None:
        return None
    plan.state, plan.started_at = "running", now()
    job = session.get_one(JobRevision, (plan.job_id, plan.job_revision))
    catalogue = session.get_one(CatalogueRevision, plan.catalogue_revision)
    return PlanTask(
        plan_id=plan.id,
        job_document=canonical.read(job.document),
        catalogue_document=canonical.read(catalogue.document),
        time_limit_s=plan.time_limit_s,
    )


def set_progress(session: Session, plan_id: str, progress: dict[str, Any]) -> bool:
    """How far a running plan got; False if it does not run."""
    return _change(session, plan_id, ("running",), progress=canonical.spell(progress))


def finish(session: Session, plan_id: str, document: dict[str, Any], solver: str) -> bool:
    """Store the answer of a running plan; False if it does not run."""
    return _change(
        session,
        plan_id,
        ("running",),
        state="done",
        status=document["status"],
        total_cents=document.get("total_cents"),
        document=canonical.spell(document),
        solver=solver,
        finished_at=now(),
    )


def fail(session: Session, plan_id: str, message: str) -> bool:
    """End a plan without an answer; False if it had ended."""
    return _change(session, plan_id, ("queued", "running"), state="failed", message=message, finished_at=now())


def fail_all_under_way(session: Session, message: str) -> int:
    """End every plan that has not ended; how many."""
    ended = session.execute(
        update(Plan)
        .where(Plan.state.in_(("queued", "running")))
        .values(state="failed", message=message, finished_at=now())
    )
    return _count(ended)


def to_summary(row: Sequence[Any]) -> PlanSummary:
    """A row of SUMMARY."""
    plan_id, state, status, total_cents, created_at, job_revision = row
    return PlanSummary(
        id=plan_id,
        state=state,
        status=status,
        total_cents=total_cents,
        created_at=created_at,
        job_revision=job_revision,
    )


def _change(session: Session, plan_id: str, states: tuple[str, ...], **values: Any) -> bool:
    changed = session.execute(update(Plan).where(Plan.id == plan_id, Plan.state.in_(states)).values(**values))
    return _count(changed) == 1


def _count(result: Any) -> int:
    return result.rowcount if isinstance(result, CursorResult) else 0


def _record(plan: Plan, job_text: str) -> PlanRecord:
    state: Any = plan.state
    return PlanRecord(
        id=plan.id,
        job_id=plan.job_id,
        job_revision=plan.job_revision,
        job_document=canonical.read(job_text),
        catalogue_revision=plan.catalogue_revision,
        state=state,
        status=plan.status,
        total_cents=plan.total_cents,
        document=canonical.read(plan.document) if plan.document else None,
        message=plan.message,
        progress=canonical.read(plan.progress) if plan.progress else None,
        solver=plan.solver,
        created_at=plan.created_at,
        finished_at=plan.finished_at,
    )
