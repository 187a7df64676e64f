"""Plans with an answer: those that can be looked at beside each other."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import ColumnElement, and_, func, select
from sqlalchemy.orm import Session

from webapp.models import Job, Plan
from webapp.repositories.plans import SUMMARY, to_summary
from webapp.repositories.rows import AnsweredPlan, PlanRecord


def per_job(session: Session) -> list[tuple[str, str, int]]:
    """Id and title of the jobs outside the bin that have plans with an answer, and how many they have."""
    query = select(Job.id, Job.title, func.count()).join(Plan, Plan.job_id == Job.id)
    query = query.where(Job.deleted_at.is_(None), *_has_answer()).group_by(Job.id)
    return [(job_id, title, number) for job_id, title, number in session.execute(query)]


def among(session: Session, plan_ids: Collection[str], most: int) -> list[AnsweredPlan]:
    """So many of these plans, the newest first."""
    return _answered(session, Plan.id.in_(plan_ids), most)


def of_jobs(session: Session, job_ids: Collection[str], without: Collection[str], most: int) -> list[AnsweredPlan]:
    """So many plans of these jobs, the newest first; those without left out."""
    return _answered(session, and_(Plan.job_id.in_(job_ids), Plan.id.not_in(without)), most)


def _answered(session: Session, which: ColumnElement[bool], most: int) -> list[AnsweredPlan]:
    """Plans with an answer of jobs outside the bin; not the explanations, which repeat one."""
    query = (
        select(*SUMMARY, Job.id, Job.title, Job.revision)
        .join(Job, Job.id == Plan.job_id)
        .where(Job.deleted_at.is_(None), *_has_answer(), which)
        .order_by(Plan.created_at.desc(), Plan.id.desc())
        .limit(most)
    )
    return [
        AnsweredPlan(plan=to_summary(row[:-3]), job_id=row[-3], title=row[-2], revision=row[-1])
        for row in session.execute(query)
    ]


def jobs_answered(session: Session, most: int) -> int:
    """How many jobs outside the bin have a plan with an answer, counted up to so many."""
    jobs = select(Plan.job_id).join(Job, Job.id == Plan.job_id).where(Job.deleted_at.is_(None), *_has_answer())
    return len(session.execute(jobs.distinct().limit(most)).all())


def answered_before(session: Session, plan: PlanRecord) -> str | None:
    """The id of the newest plan with an answer that the same job had before."""
    return session.scalar(
        select(Plan.id)
        .where(Plan.job_id == plan.job_id, Plan.created_at < plan.created_at, *_has_answer())
        .where(Plan.id.not_in((plan.id, plan.marked_as)))
        .order_by(Plan.created_at.desc(), Plan.id.desc())
        .limit(1)
    )


def _has_answer() -> tuple[ColumnElement[bool], ...]:
    return Plan.state == "done", Plan.status.in_(("optimal", "feasible")), Plan.explains.is_(None)
