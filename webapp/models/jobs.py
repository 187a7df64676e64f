"""Jobs, and every revision of their documents."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from webapp.models.base import STRICT, Base, new_id, now


class Job(Base):
    __tablename__ = "jobs"
    __table_args__ = (
        CheckConstraint("revision >= 1", name="revision"),
        Index("ix_jobs_variant_of", "variant_of"),
        STRICT,
    )

    id: Mapped[str] = mapped_column(primary_key=True, default=new_id)
    demo_slug: Mapped[str | None] = mapped_column(unique=True)
    variant_of: Mapped[str | None]  # the job that this one is beside, to see what a change of it would come to
    title: Mapped[str]
    revision: Mapped[int]  # the newest row of job_revisions
    version_id: Mapped[int] = mapped_column()  # counts every change of this row, so that none is overwritten unseen
    created_at: Mapped[datetime] = mapped_column(default=now)
    updated_at: Mapped[datetime] = mapped_column(default=now)
    deleted_at: Mapped[datetime | None]

    __mapper_args__ = {"version_id_col": version_id}  # noqa: RUF012 - as SQLAlchemy declares it


class JobRevision(Base):
    """A job's document as it was saved once; never changed."""

    __tablename__ = "job_revisions"
    __table_args__ = (STRICT,)

    job_id: Mapped[str] = mapped_column(ForeignKey("jobs.id"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    sha256: Mapped[str]
    document: Mapped[str]
    device: Mapped[str | None]  # what the device that saved it is called, for people
    created_at: Mapped[datetime] = mapped_column(default=now)
