"""What a child's end means for the plan."""

from __future__ import annotations

from typing import Any

from webapp import cli, schemas
from webapp.jobs.process import Ended

NOT_VERIFIED = "We could not verify this plan, so we do not show it. This is our fault: please tell us about this job."
OVERRAN = "This took far longer than it may and was stopped. Your job is kept as it is; fewer loads may help."
KILLED = "The search stopped unexpectedly: perhaps it ran out of memory. Your job is kept as it is; try again."


class Unusable(Exception):
    """There is no plan to store; the sentence says why."""


def plan_document(ended: Ended) -> dict[str, Any]:
    """The plan that may be stored and shown. Raises Unusable."""
    if ended.overran:
        raise Unusable(OVERRAN)
    if ended.code == cli.BAD_INPUT:
        raise Unusable("\n".join(ended.said) or KILLED)
    if ended.code not in (cli.DONE, cli.NO_PLAN):
        raise Unusable(KILLED)
    plan = schemas.read_plan(ended.document).value
    if plan is None or (plan.has_answer and not plan.checks):
        raise Unusable(NOT_VERIFIED)
    if any(check.state == "fails" for check in plan.checks):
        raise Unusable(NOT_VERIFIED)
    document: dict[str, Any] = ended.document
    return document
