"""What a child's end means for the plan."""

from __future__ import annotations

import re
import signal
from typing import Any

from webapp import cli, schemas
from webapp.solver.process import Ended
from webapp.texts import N_

NOT_VERIFIED = N_(
    "We could not verify this plan, so we do not show it. This is our fault: please tell us about this job."
)
OVERRAN = N_("This took far longer than it may and was stopped. Fewer loads may help.")
KILLED = N_("The search was ended from outside: somebody stopped its process, or the system ran out of memory.")
NO_MEMORY = N_(
    "The search needed more memory than it may use, so it was stopped. Fewer loads or fewer offers may help."
)
NOT_STARTED = N_(
    "The search could not be started: the disk may be full, or too much is at work. Try again in a minute."
)
BROKE = N_("The search broke off. This is our fault: please tell us about this job.")
CANCELLED = N_("The search was cancelled before it had found a plan; that does not mean there is none.")
CANCELLED_LATE = N_(
    "The search was cancelled but did not end when asked, so it was stopped and what it had found is lost."
)
_SIGKILL = 9  # signal has no such name on Windows
_ABOUT_MEMORY = re.compile(r"bad_alloc|MemoryError|[Mm]emory allocation|out of memory")


class Unusable(Exception):
    """There is no plan to store; the sentence says why."""


class Cancelled(Unusable):
    """There is none because somebody ended the search first."""


def plan_document(ended: Ended) -> dict[str, Any]:
    """The plan that may be stored and shown.

    Raises:
        Cancelled: The search was cancelled before it had a plan.
        Unusable: There is no plan for another reason.
    """
    if ended.cancelled and (ended.overran or ended.code == -signal.SIGTERM):  # it came before it could listen
        raise Cancelled(CANCELLED_LATE if ended.had_plan else CANCELLED)
    if ended.overran:
        raise Unusable(OVERRAN)
    if ended.code not in cli.WRITTEN:
        raise Unusable(_why(ended))
    plan = schemas.read_plan(ended.document).value
    if plan is None or (plan.has_answer and not plan.checks):
        raise Unusable(NOT_VERIFIED)
    if any(check.state == "fails" for check in plan.checks):
        raise Unusable(NOT_VERIFIED)
    if ended.cancelled and plan.status == "unknown":
        raise Cancelled(" ".join(reason.text for reason in plan.reasons) or CANCELLED)
    document: dict[str, Any] = ended.document
    return document


def _why(ended: Ended) -> str:
    said = "\n".join(ended.said)
    if ended.code == cli.BAD_INPUT:
        return said or BROKE
    if ended.code == cli.NO_MEMORY or _ABOUT_MEMORY.search(said):
        return NO_MEMORY
    return KILLED if ended.code == -_SIGKILL else BROKE
