"""Plans: which job and catalogue revision, how far it got, and the answer."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import REAL, CheckConstraint, ForeignKey, ForeignKeyConstraint, Index
from sqlalchemy.orm import Mapped, mapped_column

from webapp.models.base import STRICT, Base, new_id, now


class Plan(Base):
    """Queued, then running, then done, failed or cancelled; from then on nothing changes any more."""

    __tablename__ = "plans"
    __table_args__ = (
        ForeignKeyConstraint(["job_id", "job_revision"], ["job_revisions.job_id", "job_revisions.number"]),
        CheckConstraint("state IN ('queued', 'running', 'done', 'failed', 'cancelled')", name="state"),
        CheckConstraint("status IN ('optimal', 'feasible', 'infeasible', 'unknown')", name="status"),
        CheckConstraint("(state = 'done') = (document IS NOT NULL)", name="document_when_done"),
        CheckConstraint("(state IN ('failed', 'cancelled')) = (message IS NOT NULL)", name="message_without_answer"),
        Index("ix_plans_job_id_created_at", "job_id", "created_at"),
        Index("ix_plans_state_created_at", "state", "created_at"),
        Index("ix_plans_asked_by_started_at", "asked_by", "started_at"),
        STRICT,
    )

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    job_id: Mapped[str]
    job_revision: Mapped[int]
    catalogue_revision: Mapped[int] = mapped_column(ForeignKey("catalogue_revisions.number"))
    time_limit_s: Mapped[float] = mapped_column(REAL)
    state: Mapped[str] = mapped_column(default="queued")
    status: Mapped[str | None]
    total_cents: Mapped[int | None]
    document: Mapped[str | None]
    message: Mapped[str | None]
    progress: Mapped[str | None]
    solver: Mapped[str | None]  # versions that worked it out
    asked_by: Mapped[str | None]  # which browser or machine: turns are taken between these, nothing else
    explains: Mapped[str | None]  # the plan whose answer this one gives once more, with reasons
    created_at: Mapped[datetime] = mapped_column(default=now)
    cancel_asked_at: Mapped[datetime | None]
    started_at: Mapped[datetime | None]
    finished_at: Mapped[datetime | None]
