"""Plans with an answer: those that can be looked at beside each other."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from webapp import db
from webapp.found import holds_words
from webapp.repositories import answers
from webapp.repositories.rows import AnsweredPlan, PlanRecord

__all__ = ["AnsweredPlan", "Offered", "answered_before", "jobs_to_compare", "offered"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Offered:
    """Some plans to choose from, and how many there are."""

    plans: list[AnsweredPlan]
    found: int  # of jobs whose title holds the words
    total: int


def offered(words: str, chosen: Collection[str], most: int) -> Offered:
    """The plans that are chosen already, then the newest of jobs outside the bin whose title holds every word.

    Args:
        chosen: Their ids.
        most: How many plans at most; the others are only counted.
    """
    with db.current().reading() as session:
        jobs = answers.per_job(session)
        fitting = {job_id: number for job_id, title, number in jobs if holds_words(title, words)}
        kept = answers.among(session, chosen, most)
        others = answers.of_jobs(session, fitting.keys(), chosen, most - len(kept))
    return Offered(
        plans=[*kept, *others], found=sum(fitting.values()), total=sum(number for _id, _title, number in jobs)
    )


def jobs_to_compare() -> bool:
    """Whether two jobs or more have a plan with an answer."""
    with db.current().reading() as session:
        return answers.jobs_answered(session, 2) == 2


def answered_before(plan: PlanRecord) -> str | None:
    """The id of the plan with an answer that the same job had before this one."""
    with db.current().reading() as session:
        return answers.answered_before(session, plan)
