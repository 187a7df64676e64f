"""Variants of a job: copies with one change each, planned beside it so that all of them can be compared."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from webapp import canonical, db, schemas
from webapp.forms.variants import Variant, variants
from webapp.repositories import jobs as job_rows
from webapp.repositories.rows import JobInList, JobRecord
from webapp.services import catalogue, jobs, plans
from webapp.services.errors import InBin, NotFound
from webapp.texts import _

MOST_AT_ONCE = 3  # beside the job as it is: four stand side by side


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A variant that a job could be planned as, and the copy that was made of it before."""

    variant: Variant
    made: JobRecord | None


def offers(job: JobRecord) -> list[Offer]:
    """What could be tried beside a job as it stands."""
    made = made_of(job.id)
    return [Offer(variant=each, made=_same(made, each.document)) for each in _variants(job)]


def made_of(job_id: str) -> list[JobRecord]:
    """The variants of a job that are not in the bin, the newest first."""
    with db.current().reading() as session:
        return [each for each in job_rows.variants_of(session, job_id) if each.deleted_at is None]


def listed_of(job_id: str) -> list[JobInList]:
    """The same as they stand in a list of jobs."""
    with db.current().reading() as session:
        return job_rows.with_documents(session, [each.id for each in made_of(job_id)])


def take(job_id: str, titles: Mapping[str, str], *, asked_by: str | None = None) -> list[str]:
    """Copy a job with each of these changes and plan all of them, and the job itself; their plans, its own first.

    A variant that was made before is taken as it is there, also out of the bin; a plan that is there is not made again.
    Either all of it is done or nothing.

    Args:
        titles: What each copy is called, by the key of its variant.
    Raises:
        NotFound: There is no such job, or it offers no such variant.
        FaultyDocument: The job cannot be planned yet.
        Busy: Too many plans are waiting.
    """
    with db.current().writing() as session:
        job = jobs.get_job(job_id)
        if job.deleted_at is not None:
            raise InBin(job.id)
        offered = {each.key: each for each in _variants(job)}
        if not titles.keys() <= offered.keys():
            raise NotFound(_("The job offers no such variant, or not any more."))
        twins = [_copy(session, job.id, {**offered[key].document, "title": titles[key]}) for key in titles]
        return [plans.plan_of_now(each, asked_by=asked_by) for each in (job.id, *twins)]


def delete_all(job_id: str) -> list[JobRecord]:
    """Put all variants of a job into the bin, as if one by one; those that it put there."""
    with db.current().writing():
        made = made_of(job_id)
        for each in made:
            jobs.delete_job(each.id)
        return made


def restore(job_id: str, ids: Collection[str]) -> None:
    """Take variants of a job out of the bin again."""
    with db.current().writing() as session:
        for each in job_rows.variants_of(session, job_id):
            if each.id in ids:
                jobs.restore_job(each.id)


def _variants(job: JobRecord) -> tuple[Variant, ...]:
    plan_id = None if job.deleted_at is not None else plans.ended_well(job.id)
    plan = schemas.read_plan(plans.get_plan(plan_id).document).value if plan_id else None
    now = catalogue.value_of(catalogue.current().revision)
    return variants(job.document, now, plan)


def _copy(session: Session, job_id: str, document: dict[str, Any]) -> str:
    twin = _same(job_rows.variants_of(session, job_id), document)
    if twin is None:
        return job_rows.add(session, document, variant_of=job_id).id
    if twin.deleted_at is not None:
        jobs.restore_job(twin.id)
    return twin.id


def _same(made: Collection[JobRecord], document: Mapping[str, Any]) -> JobRecord | None:
    """The one that says exactly that, whatever it is called: titles depend on the language."""
    wanted = canonical.spell({**document, "title": ""})
    return next((each for each in made if canonical.spell({**each.document, "title": ""}) == wanted), None)
