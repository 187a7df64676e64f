"""Plans: asked for by people, worked out by the solver process."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from optimizer.catalogue import Catalogue
from optimizer.escalations import escalations
from webapp import db, schemas
from webapp.repositories import catalogue, jobs, plans
from webapp.repositories.rows import Design, JobRecord, PlanRecord, PlanSummary, PlanTask
from webapp.schemas import Fault
from webapp.services.catalogue import value_of
from webapp.services.errors import Busy, FaultyDocument, InBin, NotFound
from webapp.texts import N_, _

__all__ = [
    "PlanRecord",
    "PlanSummary",
    "PlanTask",
    "cancel_plan",
    "claim_plan",
    "end_cancelled_plan",
    "end_interrupted_plans",
    "ended_well",
    "explain_plan",
    "fail_plan",
    "finish_plan",
    "get_plan",
    "job_of",
    "note_progress",
    "plan_again",
    "plan_of_now",
    "plans_of",
    "plans_to_cancel",
    "reasons_to_wait",
    "start_plan",
    "time_limit_faults",
]

MOST_QUEUED = 50
MOST_QUEUED_EACH = 10
EXPLAIN_LIMIT_S = 120.0  # for a dozen loads and a catalogue of a thousand offers
TIME_LIMIT_S = 60.0  # long enough for a proof of the demo jobs on a small machine
LEAST_TIME_LIMIT_S, MOST_TIME_LIMIT_S = 1.0, 600.0
INTERRUPTED = N_("The server stopped while this was being worked out; try again.")
NEVER_BEGUN = N_("This was cancelled before the search began.")


def start_plan(job_id: str, time_limit_s: float = TIME_LIMIT_S, *, asked_by: str | None = None) -> str:
    """Ask for a plan of a job as it stands, from the catalogue of now; the plan's id.

    A second request for what is already under way gets that plan.

    Args:
        asked_by: Which browser or machine asks: these take turns.
    Raises:
        NotFound: There is no such job, or no catalogue.
        FaultyDocument: The job cannot be planned yet, or not with that time limit.
        Busy: Too many plans are waiting.
    """
    with db.current().reading() as session:
        job = _kept(jobs.find(session, job_id))
        newest = catalogue.newest_number(session) or 0
    faults = (*time_limit_faults(time_limit_s), *_job_faults(job, value_of(newest)))
    if faults:
        raise FaultyDocument(faults)
    return _ask(job.id, job.revision, newest, time_limit_s, asked_by)


def plan_of_now(job_id: str, *, asked_by: str | None = None) -> str:
    """The plan of a job as it stands, from the catalogue of now: the one there is, else one that is asked for; its id.

    Raises:
        NotFound, FaultyDocument, Busy: As for `start_plan`.
    """
    return ended_well(job_id) or start_plan(job_id, asked_by=asked_by)


def ended_well(job_id: str) -> str | None:
    """The id of the plan of a job as it stands, from the catalogue of now; None where no search has settled it."""
    with db.current().reading() as session:
        job = _kept(jobs.find(session, job_id))
        return plans.ended_well(session, job_id, job.revision, catalogue.newest_number(session) or 0)


def plan_again(plan_id: str, time_limit_s: float | None = None, *, asked_by: str | None = None) -> str:
    """Ask for the same plan once more: the same job and catalogue, even where both have changed; the new plan's id.

    Args:
        time_limit_s: None: as long as the first time.
    Raises:
        NotFound, FaultyDocument, Busy: As for `start_plan`.
    """
    with db.current().reading() as session:
        plan = _found(plans.find(session, plan_id))
        job = _kept(jobs.find(session, plan.job_id))
    if plan.explains is not None:
        return explain_plan(plan.explains, asked_by=asked_by)
    limit_s = plan.time_limit_s if time_limit_s is None else time_limit_s
    faults = time_limit_faults(limit_s)
    if faults:
        raise FaultyDocument(faults)
    return _ask(job.id, plan.job_revision, plan.catalogue_revision, limit_s, asked_by)


def explain_plan(plan_id: str, *, asked_by: str | None = None) -> str:
    """Ask why each part of a plan was chosen and what each limit costs; the id of the plan that will say so.

    Plans never change once they ended, so this is a plan of its own with the same answer. A second request gets the
    one that is there or under way.

    Raises:
        NotFound: There is no such plan, or it has no answer to explain.
        Busy: Too many plans are waiting.
    """
    database = db.current()
    with database.writing() as session:
        plan = _found(plans.find(session, plan_id))
        if plan.status not in ("optimal", "feasible"):
            raise NotFound(_("There is no plan here to explain."))
        explained = plan.explains or plan.id
        found = plans.explanation(session, explained)
        if found is None:
            _refuse_more(session, asked_by)
            revisions = (plan.job_id, plan.job_revision, plan.catalogue_revision)
            found = plans.add(session, *revisions, EXPLAIN_LIMIT_S, asked_by, explained)
    database.once_stored(database.plan_queued.set)
    return found


def reasons_to_wait(plan_ids: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """Why a qualified person has to answer for some plans: the kinds of reasons, by plan; one query, however many.

    Plans that need nobody are left out. The checks of a plan, nine tenths of it, are not read for it.
    """
    with db.current().reading() as session:
        designs = plans.designs(session, plan_ids)
    kinds = {each.plan_id: _kinds_that_block(each) for each in designs}
    return {plan_id: found for plan_id, found in kinds.items() if found}


def _kinds_that_block(design: Design) -> tuple[str, ...]:
    job, plan = schemas.read_job(design.job).value, schemas.read_plan(design.document | {"checks": []}).value
    assert job is not None  # both were read before they were stored
    assert plan is not None
    found = escalations(job, value_of(design.catalogue_revision), plan)
    return tuple(dict.fromkeys(each.kind for each in found if each.blocks))


def time_limit_faults(seconds: object) -> tuple[Fault, ...]:
    """What is wrong with a time limit: one fault or none."""
    is_number = isinstance(seconds, int | float) and not isinstance(seconds, bool)
    if is_number and LEAST_TIME_LIMIT_S <= seconds <= MOST_TIME_LIMIT_S:  # type: ignore[operator]
        return ()
    message = _(
        "this must be a number of seconds from %(least)s to %(most)s",
        least=f"{LEAST_TIME_LIMIT_S:g}",
        most=f"{MOST_TIME_LIMIT_S:g}",
    )
    return (Fault(pointer="time_limit_s", message=message),)


def cancel_plan(plan_id: str) -> PlanRecord:
    """Ask for the end of a search; the plan as it stands then. What has ended stays as it ended.

    A plan that waits ends at once. One that runs ends as soon as the search has put its best plan so far together.

    Raises:
        NotFound: There is no such plan.
    """
    database = db.current()
    with database.writing() as session:
        plans.ask_to_cancel(session, plan_id, NEVER_BEGUN)
    database.once_stored(database.plan_cancelled.set)
    return get_plan(plan_id)


def get_plan(plan_id: str) -> PlanRecord:
    """A plan with the job it was made for. Raises NotFound."""
    with db.current().reading() as session:
        return _found(plans.find(session, plan_id))


def job_of(plan_id: str) -> str:
    """The id of the job that a plan was made for. Raises NotFound."""
    with db.current().reading() as session:
        job_id = plans.job_of(session, plan_id)
    if job_id is None:
        raise NotFound(_("There is no such plan here."))
    return job_id


def plans_of(job_id: str) -> list[PlanSummary]:
    """All plans of a job, the newest first."""
    with db.current().reading() as session:
        return plans.of_job(session, job_id)


def claim_plan(most_each: int = MOST_QUEUED) -> PlanTask | None:
    """The plan whose turn it is, now marked as running; no more than so many at once for one asker."""
    with db.current().writing() as session:
        return plans.claim(session, most_each)


def plans_to_cancel() -> list[str]:
    """Running plans that somebody wants to end."""
    with db.current().reading() as session:
        return plans.to_cancel(session)


def end_cancelled_plan(plan_id: str, message: str) -> None:
    """End a running plan that was cancelled before there was an answer."""
    with db.current().writing() as session:
        plans.cancel(session, plan_id, message)


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
    """End what an earlier server was working on; how many. What waited goes on waiting."""
    with db.current().writing() as session:
        return plans.fail_all_running(session, INTERRUPTED)


def _ask(job_id: str, job_revision: int, catalogue_revision: int, time_limit_s: float, asked_by: str | None) -> str:
    database = db.current()
    with database.writing() as session:
        plan_id = plans.under_way(session, job_id, job_revision, catalogue_revision)
        if plan_id is None:
            _refuse_more(session, asked_by)
            plan_id = plans.add(session, job_id, job_revision, catalogue_revision, time_limit_s, asked_by)
    database.once_stored(database.plan_queued.set)
    return plan_id


def _refuse_more(session: Session, asked_by: str | None) -> None:
    if plans.count_queued_by(session, asked_by) >= MOST_QUEUED_EACH:
        raise Busy(
            _(
                "%(num)s of your plans are waiting already. Try again in a minute; your job is kept.",
                num=MOST_QUEUED_EACH,
            )
        )
    if plans.count_queued(session) >= MOST_QUEUED:
        raise Busy(_("Too many plans are waiting. Try again in a minute; your job is kept as it is."))


def _kept(job: JobRecord | None) -> JobRecord:
    if job is None:
        raise NotFound(_("There is no such job here."))
    if job.deleted_at is not None:
        raise InBin(job.id)
    return job


def _found(plan: PlanRecord | None) -> PlanRecord:
    if plan is None:
        raise NotFound(_("There is no such plan here."))
    return plan


def _job_faults(job: JobRecord, newest: Catalogue) -> tuple[Fault, ...]:
    stated = schemas.read_job(job.document)
    return stated.faults if stated.value is None else schemas.cross_faults(stated.value, newest)
