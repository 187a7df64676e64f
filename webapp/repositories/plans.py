"""Plans: asked for, worked on, ended. Each step is taken once, by whoever gets there first."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any

from sqlalchemy import ColumnElement, CursorResult, func, or_, select, update
from sqlalchemy.orm import Session

from webapp import canonical
from webapp.models import CatalogueRevision, JobRevision, Plan
from webapp.models.base import now
from webapp.repositories.rows import Design, PlanRecord, PlanSummary, PlanTask
from webapp.repositories.turns import Asked, has_room, in_turn

SUMMARY = (Plan.id, Plan.state, Plan.status, Plan.total_cents, Plan.created_at, Plan.job_revision)


def add(
    session: Session,
    job_id: str,
    job_revision: int,
    catalogue_revision: int,
    time_limit_s: float,
    asked_by: str | None = None,
    explains: str | None = None,
) -> str:
    """A plan to work out, or one to explain, at the end of the queue; its id."""
    plan = Plan(
        job_id=job_id,
        job_revision=job_revision,
        catalogue_revision=catalogue_revision,
        time_limit_s=time_limit_s,
        asked_by=asked_by,
        explains=explains,
    )
    session.add(plan)
    session.flush()
    return plan.id


def find(session: Session, plan_id: str) -> PlanRecord | None:
    """A plan with the job it was made for."""
    made_for = (JobRevision.job_id == Plan.job_id) & (JobRevision.number == Plan.job_revision)
    query = select(Plan, JobRevision.document).join(JobRevision, made_for).where(Plan.id == plan_id)
    row = session.execute(query).first()
    if row is None:
        return None
    return _record(row[0], row[1], ahead=_ahead(session, plan_id) if row[0].state == "queued" else None)


def documents(session: Session, plan_ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """What these plans say, by id; those without an answer are left out."""
    query = select(Plan.id, Plan.document).where(Plan.id.in_(list(plan_ids)), Plan.document.is_not(None))
    return {plan_id: canonical.read(text) for plan_id, text in session.execute(query) if text}


def designs(session: Session, plan_ids: Collection[str]) -> list[Design]:
    """Those of these plans that have an answer, with what they were made from."""
    made_for = (JobRevision.job_id == Plan.job_id) & (JobRevision.number == Plan.job_revision)
    query = select(Plan.id, Plan.document, JobRevision.document, Plan.catalogue_revision).join(JobRevision, made_for)
    found = session.execute(query.where(Plan.id.in_(plan_ids), Plan.status.in_(("optimal", "feasible"))))
    return [
        Design(plan_id=plan_id, document=canonical.read(plan), job=canonical.read(job), catalogue_revision=catalogue)
        for plan_id, plan, job, catalogue in found
        if plan
    ]


def job_of(session: Session, plan_id: str) -> str | None:
    """The id of the job that a plan was made for."""
    return session.scalar(select(Plan.job_id).where(Plan.id == plan_id))


def of_job(session: Session, job_id: str) -> list[PlanSummary]:
    """All plans of a job, the newest first."""
    query = select(*SUMMARY).where(Plan.job_id == job_id, counts(Plan)).order_by(Plan.created_at.desc(), Plan.id.desc())
    return [to_summary(row) for row in session.execute(query)]


def counts(plan: Any) -> ColumnElement[bool]:
    """Plans of a job, those being explained left out: the plan itself is there as before."""
    return or_(plan.explains.is_(None), plan.state == "done")


def under_way(session: Session, job_id: str, job_revision: int, catalogue_revision: int) -> str | None:
    """The id of a plan for exactly these documents that has not ended yet, nor been asked to."""
    return session.scalar(
        select(Plan.id)
        .where(Plan.job_id == job_id, Plan.job_revision == job_revision)
        .where(Plan.catalogue_revision == catalogue_revision, Plan.state.in_(("queued", "running")))
        .where(Plan.cancel_asked_at.is_(None), Plan.explains.is_(None))
        .limit(1)
    )


def ended_well(session: Session, job_id: str, job_revision: int, catalogue_revision: int) -> str | None:
    """The id of the newest plan for exactly these documents that has an answer, or says that there is none."""
    return session.scalar(
        select(Plan.id)
        .where(Plan.job_id == job_id, Plan.job_revision == job_revision)
        .where(Plan.catalogue_revision == catalogue_revision, Plan.state == "done", Plan.explains.is_(None))
        .where(Plan.status.in_(("optimal", "feasible", "infeasible")))
        .order_by(Plan.created_at.desc(), Plan.id.desc())
        .limit(1)
    )


def explanation(session: Session, plan_id: str) -> str | None:
    """The id of a plan's explanation that is there or under way; not one that somebody broke off."""
    return session.scalar(
        select(Plan.id)
        .where(Plan.explains == plan_id, Plan.state.in_(("queued", "running", "done")))
        .where(Plan.cancel_asked_at.is_(None))
        .order_by(Plan.created_at.desc())
        .limit(1)
    )


def count_queued(session: Session) -> int:
    """How many wait."""
    return session.scalar(select(func.count()).where(Plan.state == "queued")) or 0


def count_queued_by(session: Session, asked_by: str | None) -> int:
    """How many of one asker wait."""
    whose = Plan.asked_by.is_(None) if asked_by is None else Plan.asked_by == asked_by
    return session.scalar(select(func.count()).where(Plan.state == "queued", whose)) or 0


def claim(session: Session, most_each: int) -> PlanTask | None:
    """Mark the plan whose turn it is as running; at most so many of one asker at a time."""
    at_work = _asked(session, "running")
    for one in _turns(session, at_work):
        if has_room(one, at_work, most_each) and _change(
            session, one.plan_id, ("queued",), state="running", started_at=now()
        ):
            return _task(session, one.plan_id)
    return None


def _task(session: Session, plan_id: str) -> PlanTask:
    plan = session.get_one(Plan, plan_id)
    job = session.get_one(JobRevision, (plan.job_id, plan.job_revision))
    catalogue = session.get_one(CatalogueRevision, plan.catalogue_revision)
    return PlanTask(
        plan_id=plan.id,
        job_document=canonical.read(job.document),
        catalogue_document=canonical.read(catalogue.document),
        time_limit_s=plan.time_limit_s,
        finished=_answer(session, plan.explains) if plan.explains else None,
    )


def _answer(session: Session, plan_id: str) -> dict[str, Any] | None:
    document = session.get_one(Plan, plan_id).document
    return canonical.read(document) if document else None


def _turns(session: Session, at_work: Sequence[Asked]) -> list[Asked]:
    waiting = _asked(session, "queued")
    askers = {one.asker for one in waiting}
    served = session.scalars(
        select(func.coalesce(Plan.asked_by, ""))
        .where(func.coalesce(Plan.asked_by, "").in_(askers), Plan.started_at.is_not(None))
        .group_by(func.coalesce(Plan.asked_by, ""))
        .order_by(func.max(Plan.started_at))
    )
    return in_turn(waiting, at_work, served)


def _asked(session: Session, state: str) -> list[Asked]:
    query = select(Plan.id, Plan.asked_by, Plan.job_id).where(Plan.state == state).order_by(Plan.created_at, Plan.id)
    return [Asked(plan_id=each.id, asker=each.asked_by or "", job_id=each.job_id) for each in session.execute(query)]


def _ahead(session: Session, plan_id: str) -> int | None:
    """How many of those that wait come before this one."""
    turns = _turns(session, _asked(session, "running"))
    return next((n for n, one in enumerate(turns) if one.plan_id == plan_id), None)


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


def ask_to_cancel(session: Session, plan_id: str, message: str) -> None:
    """End a plan that still waits; note the wish on one that runs; leave one that ended as it is."""
    ended = _change(session, plan_id, ("queued",), state="cancelled", message=message, finished_at=now())
    if not ended and not is_to_cancel(session, plan_id):
        _change(session, plan_id, ("running",), cancel_asked_at=now())


def cancel_all(session: Session, job_id: str, message: str) -> None:
    """End all searches of a job: those that wait at once, saying why; for one that runs it is a wish."""
    under_way = select(Plan.id).where(Plan.job_id == job_id, Plan.state.in_(("queued", "running")))
    for plan_id in session.scalars(under_way).all():
        ask_to_cancel(session, plan_id, message)


def to_cancel(session: Session) -> list[str]:
    """Running plans that somebody wants to end."""
    return list(session.scalars(select(Plan.id).where(Plan.state == "running", Plan.cancel_asked_at.is_not(None))))


def is_to_cancel(session: Session, plan_id: str) -> bool:
    """Whether somebody wants this plan to end."""
    return session.scalar(select(Plan.cancel_asked_at).where(Plan.id == plan_id)) is not None


def cancel(session: Session, plan_id: str, message: str) -> bool:
    """End a running plan that was cancelled before it had an answer; False if it does not run."""
    return _change(session, plan_id, ("running",), state="cancelled", message=message, finished_at=now())


def fail_all_running(session: Session, message: str) -> int:
    """End every plan that runs; how many."""
    ended = session.execute(
        update(Plan).where(Plan.state == "running").values(state="failed", message=message, finished_at=now())
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


def _record(plan: Plan, job_text: str, *, ahead: int | None) -> PlanRecord:
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
        time_limit_s=plan.time_limit_s,
        explains=plan.explains,
        ahead=ahead,
        created_at=plan.created_at,
        started_at=plan.started_at,
        cancel_asked_at=plan.cancel_asked_at,
        finished_at=plan.finished_at,
    )
