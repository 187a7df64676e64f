"""Changes that were sent to us, and what came of each."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from webapp import canonical
from webapp.models import Op
from webapp.repositories.rows import OpRecord


def find(session: Session, op_id: str) -> OpRecord | None:
    """What came of a change that was sent before."""
    op = session.get(Op, op_id)
    return None if op is None else _record(op)


def by_handle(session: Session, handle: str) -> OpRecord | None:
    """What came of the change that made the entry a device knows by this name."""
    op = session.scalar(select(Op).where(Op.handle == handle))
    return None if op is None else _record(op)


def of_job(session: Session, job_id: str, most: int) -> list[OpRecord]:
    """The last changes of a job, the newest first."""
    query = select(Op).where(Op.job_id == job_id).order_by(Op.stored_at.desc()).limit(most)
    return [_record(op) for op in session.scalars(query)]


def add(
    session: Session,
    op_id: str,
    sha256: str,
    result: dict[str, Any],
    *,
    device: str,
    made_at: datetime,
    job_id: str | None = None,
    handle: str | None = None,
) -> None:
    """Keep what came of a change. Raises IntegrityError where somebody else has kept it meanwhile."""
    text = canonical.spell(result)
    op = Op(op_id=op_id, sha256=sha256, result=text, device=device, made_at=made_at, job_id=job_id, handle=handle)
    session.add(op)
    session.flush()


def forget(session: Session, before: datetime) -> None:
    """Keep nothing of the changes that were stored earlier than this."""
    session.execute(delete(Op).where(Op.stored_at < before))


def _record(op: Op) -> OpRecord:
    return OpRecord(op_id=op.op_id, sha256=op.sha256, job_id=op.job_id, result=canonical.read(op.result))
