"""What people do with jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy.orm import Session

from webapp import canonical, db, schemas
from webapp.forms import naming
from webapp.forms.reading import as_copy
from webapp.found import holds_words
from webapp.repositories import jobs, plans
from webapp.repositories.rows import JobInList, JobRecord, JobSummary, RevisionRecord
from webapp.services.errors import FaultyDocument, NotFound, StaleRevision
from webapp.texts import N_, _

__all__ = [
    "FoundJobs",
    "JobInList",
    "JobRecord",
    "JobSummary",
    "RevisionRecord",
    "add_demo_job",
    "change_job",
    "delete_job",
    "deleted_jobs",
    "duplicate_job",
    "exists",
    "find_jobs",
    "fresh_name",
    "get_job",
    "list_jobs",
    "restore_job",
    "revision_of_job",
    "revisions_back",
    "save_job",
    "start_job",
]

DELETED = N_("The job was deleted before the search began.")


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundJobs:
    """One page of a list of jobs, and how many the whole list holds."""

    jobs: list[JobInList]
    skipped: int
    total: int


def find_jobs(words: str, *, skip: int, most: int) -> FoundJobs:
    """Jobs outside the bin whose title holds every one of the words, the one changed last first.

    Beyond the end is the last page: whatever was there may have been deleted.
    """
    with db.current().reading() as session:
        ids = [job_id for job_id, title in jobs.titles(session) if holds_words(title, words)]
        skipped = max(0, min(skip, (len(ids) - 1) // most * most))
        page = jobs.with_documents(session, ids[skipped : skipped + most])
        return FoundJobs(jobs=page, skipped=skipped, total=len(ids))


def list_jobs() -> list[JobSummary]:
    """All jobs outside the bin with their newest plan, the one changed last first."""
    with db.current().reading() as session:
        return jobs.listed(session)


def deleted_jobs() -> list[JobSummary]:
    """The jobs in the bin, the one deleted last first."""
    with db.current().reading() as session:
        return jobs.deleted(session)


def fresh_name(setting: str, day: str = "") -> str:
    """A name for a job that nobody has named, by where it is built and the day; no other job outside the bin has it.

    Args:
        day: The day as the device that begins it says; that of UTC where it says none, or none that can be.
    """
    with db.current().reading() as session:
        taken = {title for _id, title in jobs.titles(session)}
    return naming.fresh_name(setting, naming.begun(day, datetime.now(UTC).date()), taken)


def start_job(document: dict[str, Any], *, job_id: str | None = None, device: str = "") -> JobRecord:
    """A new job. Places and loads may still be empty.

    Args:
        job_id: An id made elsewhere, which no job has yet.
        device: What the device that states it is called.
    Raises:
        FaultyDocument: The document has faults; nothing is stored.
    """
    _refuse_faults(document)
    with db.current().writing() as session:
        return jobs.add(session, document, job_id=job_id, device=device)


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


def exists(job_id: str) -> bool:
    """Whether there is such a job, in the bin or not."""
    with db.current().reading() as session:
        return jobs.find(session, job_id) is not None


def save_job(job_id: str, revision: int, document: dict[str, Any], *, device: str = "") -> JobRecord:
    """Store the next revision of a job.

    Args:
        revision: The revision that the change was made on.
        device: What the device that saves it is called.
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
        return jobs.add_revision(session, job_id, document, device=device)


def change_job(
    job_id: str, alter: Callable[[dict[str, Any]], dict[str, Any]], *, device: str = "", brings_back: bool = False
) -> JobRecord:
    """Change a job as it stands now, whatever others saved before.

    A new place or load never gets the id of one that was here before: a late change of that one would reach it.

    Args:
        brings_back: Whether an entry that was removed comes back under its own id.
    Raises:
        NotFound, FaultyDocument: As for `save_job`.
    """
    with db.current().writing() as session:
        job = _found(session, job_id)
        document = alter(job.document)
        if not brings_back:
            document = _with_fresh_ids(session, job, document)
        return save_job(job_id, job.revision, document, device=device)


def revision_of_job(job_id: str, number: int) -> dict[str, Any] | None:
    """A job's document as it was saved once; None where there is no such revision."""
    with db.current().reading() as session:
        return jobs.document_at(session, job_id, number)


def revisions_back(job_id: str, most: int) -> list[RevisionRecord]:
    """The newest revisions of a job, the newest first."""
    with db.current().reading() as session:
        return jobs.revisions_back(session, job_id, most)


def delete_job(job_id: str) -> None:
    """Put a job into the bin and end its searches: what they have found by then is kept. Raises NotFound."""
    database = db.current()
    with database.writing() as session:
        _set_deleted(job_id, deleted=True)
        plans.cancel_all(session, job_id, DELETED)
    database.once_stored(database.plan_cancelled.set)


def restore_job(job_id: str) -> None:
    """Take a job out of the bin. Raises NotFound."""
    _set_deleted(job_id, deleted=False)


def duplicate_job(job_id: str) -> JobRecord:
    """A new job that starts as another stands. Raises NotFound."""
    with db.current().writing() as session:
        document = _found(session, job_id).document
        return jobs.add(session, {**document, "title": as_copy(document["title"])})


def _with_fresh_ids(session: Session, job: JobRecord, document: dict[str, Any]) -> dict[str, Any]:
    for array, letter in (("places", "P"), ("loads", "L")):
        known = {entry["id"] for entry in job.document[array]}
        for index, entry in enumerate(document[array]):
            if entry["id"] not in known and jobs.has_named(session, job.id, entry["id"]):
                document = _renamed(document, array, index, jobs.free_id(session, job.id, document[array], letter))
    return document


def _renamed(document: dict[str, Any], array: str, index: int, entry_id: str) -> dict[str, Any]:
    entries = [*document[array]]
    entries[index] = {**entries[index], "id": entry_id}
    return {**document, array: entries}


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
    return NotFound(_("There is no such job here."))


def _refuse_faults(document: dict[str, Any]) -> None:
    faults = schemas.read_draft(document)
    if faults:
        raise FaultyDocument(faults)
