"""What people do with jobs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from webapp import canonical, db, schemas
from webapp.repositories import jobs
from webapp.repositories.rows import JobInList, JobRecord, JobSummary
from webapp.services.errors import FaultyDocument, NotFound, StaleRevision

__all__ = [
    "FoundJobs",
    "JobInList",
    "JobRecord",
    "JobSummary",
    "add_demo_job",
    "delete_job",
    "deleted_jobs",
    "duplicate_job",
    "find_jobs",
    "get_job",
    "list_jobs",
    "restore_job",
    "save_job",
    "start_job",
]

TITLE_CHARS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundJobs:
    """One page of a list of jobs, and how many the whole list holds."""

    jobs: list[JobInList]
    total: int


def find_jobs(words: str, *, skip: int, most: int) -> FoundJobs:
    """Jobs outside the bin whose title holds every one of the words, the one changed last first."""
    wanted = words.casefold().split()
    with db.current().reading() as session:
        ids = [
            job_id
            for job_id, title in jobs.titles(session)
            if all(word in title.casefold() for word in wanted)  # SQLite folds ASCII only
        ]
        return FoundJobs(jobs=jobs.with_documents(session, ids[skip : skip + most]), total=len(ids))


def list_jobs() -> list[JobSummary]:
    """All jobs outside the bin with their newest plan, the one changed last first."""
    with db.current().reading() as session:
        return jobs.listed(session)


def deleted_jobs() -> list[JobSummary]:
    """The jobs in the bin, the one deleted last first."""
    with db.current().reading() as session:
        return jobs.deleted(session)


def start_job(document: dict[str, Any]) -> JobRecord:
    """A new job. Raises FaultyDocument; places and loads may still be empty."""
    _refuse_faults(document)
    with db.current().writing() as session:
        return jobs.add(session, document)


def add_demo_job(slug: str, document: dict[str, Any]) -> bool:
    """A demo job, once; True if it was added. One that was deleted since stays deleted."""
    _refuse_faults(document)
    with db.current().writing() as session:
        if jobs.has_demo(session, slug):
            return False
        jobs.add(session, document, demo_slug=slug)
        return True


def get_job(job_id: str) -> JobRecord:
    """A job as it stands, also from the bin. Raises NotFound."""
    with db.current().reading() as session:
        return _found(session, job_id)


def save_job(job_id: str, revision: int, document: dict[str, Any]) -> JobRecord:
    """Store the next revision of a job.

    Args:
        revision: The revision that the change was made on.
    Raises:
        NotFound: There is no such job.
        FaultyDocument: The document has faults; nothing is stored.
        StaleRevision: Somebody saved another revision since; nothing is stored.
    """
    _refuse_faults(document)
    with db.current().writing() as session:
        job = _found(session, job_id)
        if canonical.spell(job.document) == canonical.spell(document):
            return job  # also a save repeated because its answer got lost
        if job.revision != revision:
            raise StaleRevision(job.revision)
        return jobs.add_revision(session, job_id, document)


def delete_job(job_id: str) -> None:
    """Put a job into the bin. Raises NotFound."""
    _set_deleted(job_id, deleted=True)


def restore_job(job_id: str) -> None:
    """Take a job out of the bin. Raises NotFound."""
    _set_deleted(job_id, deleted=False)


def duplicate_job(job_id: str) -> JobRecord:
    """A new job that starts as another stands. Raises NotFound."""
    with db.current().writing() as session:
        document = _found(session, job_id).document
        title = f"{document['title'][: TITLE_CHARS - len(' (copy)')]} (copy)"
        return jobs.add(session, {**document, "title": title})


def _set_deleted(job_id: str, *, deleted: bool) -> None:
    with db.current().writing() as session:
        if not jobs.set_deleted(session, job_id, deleted=deleted):
            raise _no_job()


def _found(session: Session, job_id: str) -> JobRecord:
    job = jobs.find(session, job_id)
    if job is None:
        raise _no_job()
    return job


def _no_job() -> NotFound:
    return NotFound("There is no such job here.")


def _refuse_faults(document: dict[str, Any]) -> None:
    faults = schemas.read_draft(document)
    if faults:
        raise FaultyDocument(faults)
