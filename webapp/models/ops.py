"""Changes that were sent to us, each with what came of it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.models.base import STRICT, Base, now


class Op(Base):
    """One change as it was answered, so that the same one sent again is answered the same and done once."""

    __tablename__ = "ops"
    __table_args__ = (CheckConstraint("length(op_id) = 36", name="op_id"), STRICT)

    op_id: Mapped[str] = mapped_column(primary_key=True)
    sha256: Mapped[str]  # of what was sent
    device: Mapped[str]
    job_id: Mapped[str | None] = mapped_column(index=True)
    handle: Mapped[str | None] = mapped_column(unique=True)  # what the device calls the entry this made
    result: Mapped[str]  # canonical JSON
    made_at: Mapped[datetime]  # by the clock of the device
    stored_at: Mapped[datetime] = mapped_column(default=now)
