"""What is kept of a mark: every change of it, also those that no page shows any more."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select

from webapp.db import Database
from webapp.models import Mark


def changes_of(database: Database, plan_id: str, key: str) -> Sequence[Mark]:
    """The first one first."""
    with database.reading() as session:
        return session.scalars(select(Mark).where(Mark.plan_id == plan_id, Mark.key == key).order_by(Mark.number)).all()
