"""Plans with an answer: those that can be looked at beside each other."""

from __future__ import annotations

from webapp import db
from webapp.repositories import answers
from webapp.repositories.rows import AnsweredPlan, PlanRecord

__all__ = ["AnsweredPlan", "answered_before", "answered_plans", "jobs_to_compare"]


def answered_plans() -> list[AnsweredPlan]:
    """The plans with an answer of all jobs outside the bin, the newest first."""
    with db.current().reading() as session:
        return answers.answered(session)


def jobs_to_compare() -> bool:
    """Whether two jobs or more have a plan with an answer."""
    with db.current().reading() as session:
        return answers.jobs_answered(session, 2) == 2


def answered_before(plan: PlanRecord) -> str | None:
    """The id of the plan with an answer that the same job had before this one."""
    with db.current().reading() as session:
        return answers.answered_before(session, plan)
