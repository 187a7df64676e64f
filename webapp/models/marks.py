"""Ticks and measured values of a plan."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from webapp.models.base import STRICT, Base, now


class Mark(Base):
    """One change of one mark; never changed itself. The newest of a key is what holds."""

    __tablename__ = "marks"
    __table_args__ = (
        CheckConstraint("length(key) > 0", name="key"),
        Index("ix_marks_plan_id_key", "plan_id", "key"),
        STRICT,
    )

    number: Mapped[int] = mapped_column(primary_key=True)
    plan_id: Mapped[str] = mapped_column(ForeignKey("plans.id"))
    key: Mapped[str]
    value: Mapped[str]
    device: Mapped[str]  # what the device is called, for people
    made_at: Mapped[datetime]  # by the clock of the device
    stored_at: Mapped[datetime] = mapped_column(default=now)
