"""Each change once: what was sent is kept with its answer, in the same transaction as what it did."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy.exc import IntegrityError

from webapp import canonical, db
from webapp.repositories import ops
from webapp.schemas.ops import UUID4

__all__ = [
    "OtherContent",
    "Sent",
    "entry_called",
    "forget_old",
    "is_op_id",
    "once",
    "result_of",
    "results_in",
    "variant",
]

Result = dict[str, Any]

LOOKED_BACK = 50
KEPT = timedelta(days=400)  # a device that comes back later than a year and a month may have its change done twice


class OtherContent(Exception):
    """A change of that id was sent before and said something else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """One change as a device sent it."""

    op_id: str
    content: object  # all it says, as JSON
    device: str = ""
    made_at: datetime | None = None
    job_id: str | None = None
    handle: str | None = None

    @property
    def sha256(self) -> str:
        return canonical.digest(canonical.spell(self.content))


def is_op_id(text: object) -> bool:
    """Whether this is a random UUID in its usual spelling."""
    return isinstance(text, str) and UUID4.fullmatch(text) is not None


def variant(op_id: str, content: object) -> str:
    """An id that is the same for the same content only: a page sent again with other answers is another change."""
    digest = canonical.digest(canonical.spell([op_id, content]))
    return str(uuid.UUID(digest[:32], version=4))


def once(sent: Sent, work: Callable[[], tuple[Result, bool]]) -> tuple[Result, bool]:
    """The answer to a change, and whether it is the one it got before: then nothing is done.

    Args:
        work: Does the change. Says what came of it, and whether that is final; what is not may be sent again.
    Raises:
        OtherContent: That id was sent before and said something else.
    """
    try:
        return _once(sent, work)
    except IntegrityError:
        return _once(sent, work)  # somebody sent the same at the same moment, and it is there by now


def entry_called(handle: str) -> str | None:
    """The id of the entry that a device calls so; None where it never came to be."""
    with db.current().reading() as session:
        op = ops.by_handle(session, handle)
    return None if op is None else op.result.get("entry")


def result_of(op_id: str, *, job_id: str | None = None) -> Result | None:
    """What came of a change that was sent before; of this job only, where one is named."""
    with db.current().reading() as session:
        op = ops.find(session, op_id)
    return None if op is None or job_id not in (None, op.job_id) else op.result


def results_in(job_id: str) -> list[Result]:
    """What came of the last changes of a job that were sent."""
    with db.current().reading() as session:
        return [op.result for op in ops.of_job(session, job_id, LOOKED_BACK)]


def forget_old(today: datetime | None = None) -> None:
    """Keep the answers of the last 400 days; what earlier changes did stays."""
    with db.current().writing() as session:
        ops.forget(session, (today or datetime.now(UTC)) - KEPT)


def _once(sent: Sent, work: Callable[[], tuple[Result, bool]]) -> tuple[Result, bool]:
    with db.current().writing() as session:
        known = ops.find(session, sent.op_id)
        if known is not None:
            if known.sha256 != sent.sha256:
                raise OtherContent
            return known.result, True
        result, is_final = work()
        if is_final:
            makes_entry = result.get("state") == "done" and "entry" in result
            ops.add(
                session,
                sent.op_id,
                sent.sha256,
                result,
                device=sent.device,
                made_at=sent.made_at or datetime.now(UTC),
                job_id=sent.job_id,
                handle=sent.handle if makes_entry else None,
            )
        return result, False
