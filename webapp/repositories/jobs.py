"""Jobs and the revisions of their documents."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from typing import Any

from sqlalchemy import Row, select
from sqlalchemy.orm import Session, aliased

from webapp import canonical
from webapp.models import Job, JobRevision, Plan
from webapp.models.base import new_id, now
from webapp.repositories.plans import SUMMARY, counts, to_summary
from webapp.repositories.rows import JobInList, JobRecord, JobSummary, RevisionRecord


def listed(session: Session) -> list[JobSummary]:
    """All jobs that are not deleted, the one changed last first."""
    return _summaries(session, _with_newest_plan().where(Job.deleted_at.is_(None)).order_by(Job.updated_at.desc()))


def titles(session: Session) -> list[tuple[str, str]]:
    """Id and title of all jobs that are not deleted, the one changed last first."""
    query = select(Job.id, Job.title).where(Job.deleted_at.is_(None)).order_by(Job.updated_at.desc(), Job.id)
    return [(row.id, row.title) for row in session.execute(query)]


def with_documents(session: Session, ids: Sequence[str]) -> list[JobInList]:
    """These jobs, in this order, as they stand."""
    newest = (JobRevision.job_id == Job.id) & (JobRevision.number == Job.revision)
    query = _with_newest_plan().add_columns(JobRevision.document).where(newest, Job.id.in_(ids))
    found = {
        row[0].id: JobInList(summary=_summary(row[0], row[1:-1]), document=canonical.read(row[-1]))
        for row in session.execute(query)
    }
    return [found[job_id] for job_id in ids if job_id in found]


def deleted(session: Session) -> list[JobSummary]:
    """All deleted jobs, the one deleted last first."""
    return _summaries(session, _with_newest_plan().where(Job.deleted_at.is_not(None)).order_by(Job.deleted_at.desc()))


def find(session: Session, job_id: str) -> JobRecord | None:
    """The job as it stands, deleted or not."""
    newest = (JobRevision.job_id == Job.id) & (JobRevision.number == Job.revision)
    row = session.execute(select(Job, JobRevision.document).join(JobRevision, newest).where(Job.id == job_id)).first()
    return None if row is None else _record(row[0], row[1])


def variants_of(session: Session, job_id: str) -> list[JobRecord]:
    """The jobs that were made beside a job, deleted or not, as they stand; the newest first."""
    newest = (JobRevision.job_id == Job.id) & (JobRevision.number == Job.revision)
    query = select(Job, JobRevision.document).join(JobRevision, newest).where(Job.variant_of == job_id)
    return [_record(*row) for row in session.execute(query.order_by(Job.created_at.desc(), Job.id))]


def has_demo(session: Session, slug: str) -> bool:
    """Whether that demo job was ever put here, deleted since or not."""
    return session.scalar(select(Job.id).where(Job.demo_slug == slug)) is not None


def add(
    session: Session,
    document: dict[str, Any],
    *,
    demo_slug: str | None = None,
    job_id: str | None = None,
    variant_of: str | None = None,
    device: str = "",
) -> JobRecord:
    """A new job at revision 1."""
    job = Job(
        id=job_id or new_id(),
        title=document["title"],
        revision=1,
        demo_slug=demo_slug,
        variant_of=variant_of,
        deleted_at=None,
    )
    session.add(job)
    session.flush()
    text = _add_revision(session, job, document, device)
    return _record(job, text)


def document_at(session: Session, job_id: str, number: int) -> dict[str, Any] | None:
    """The document of one revision."""
    revision = session.get(JobRevision, (job_id, number))
    return None if revision is None else canonical.read(revision.document)


def revisions_back(session: Session, job_id: str, most: int) -> list[RevisionRecord]:
    """The newest revisions, the newest first."""
    query = select(JobRevision).where(JobRevision.job_id == job_id).order_by(JobRevision.number.desc()).limit(most)
    return [
        RevisionRecord(
            number=each.number,
            document=canonical.read(each.document),
            device=each.device or "",
            created_at=each.created_at,
        )
        for each in session.scalars(query)
    ]


def has_named(session: Session, job_id: str, entry_id: str) -> bool:
    """Whether any revision of a job has or had an entry of that id: canonical JSON spells it in one way only."""
    spelled = canonical.spell({"id": entry_id})[1:-1]
    here = JobRevision.document.contains(spelled, autoescape=True)
    return session.scalar(select(JobRevision.number).where(JobRevision.job_id == job_id, here).limit(1)) is not None


def free_id(session: Session, job_id: str, entries: Sequence[dict[str, Any]], letter: str) -> str:
    """The first id of that letter that no entry has or ever had."""
    taken = {entry["id"] for entry in entries}
    names = (f"{letter}{number}" for number in count(1))
    return next(name for name in names if name not in taken and not has_named(session, job_id, name))


def add_revision(session: Session, job_id: str, document: dict[str, Any], *, device: str = "") -> JobRecord:
    """The next revision of a job; the one before stays as it is."""
    job = session.get_one(Job, job_id)
    job.revision += 1
    job.title = document["title"]
    job.updated_at = now()
    text = _add_revision(session, job, document, device)
    return _record(job, text)


def set_deleted(session: Session, job_id: str, *, deleted: bool) -> bool:
    """Put a job into the bin or take it out again; False where there is no such job."""
    job = session.get(Job, job_id)
    if job is None:
        return False
    if (job.deleted_at is not None) != deleted:
        job.deleted_at = now() if deleted else None
    return True


def _add_revision(session: Session, job: Job, document: dict[str, Any], device: str) -> str:
    text = canonical.spell(document)
    session.add(
        JobRevision(
            job_id=job.id,
            number=job.revision,
            sha256=canonical.digest(text),
            document=text,
            device=device or None,
        )
    )
    session.flush()
    return text


def _with_newest_plan() -> Any:
    other = aliased(Plan)
    newest = (
        select(other.id)
        .where(other.job_id == Job.id, counts(other))
        .order_by(other.created_at.desc(), other.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    return select(Job, *SUMMARY).select_from(Job).outerjoin(Plan, Plan.id == newest)


def _summaries(session: Session, query: Any) -> list[JobSummary]:
    rows: Sequence[Row[Any]] = session.execute(query).all()
    return [_summary(row[0], row[1:]) for row in rows]


def _summary(job: Job, plan: Sequence[Any]) -> JobSummary:
    return JobSummary(
        id=job.id,
        title=job.title,
        updated_at=job.updated_at,
        revision=job.revision,
        plan=to_summary(plan) if plan[0] is not None else None,
        deleted_at=job.deleted_at,
        is_example=job.demo_slug is not None,
        variant_of=job.variant_of,
    )


def _record(job: Job, text: str) -> JobRecord:
    return JobRecord(
        id=job.id,
        revision=job.revision,
        title=job.title,
        document=canonical.read(text),
        updated_at=job.updated_at,
        deleted_at=job.deleted_at,
        is_example=job.demo_slug is not None,
        variant_of=job.variant_of,
    )
