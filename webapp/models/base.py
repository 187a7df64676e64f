"""What all tables share."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Dialect, MetaData, Text
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator

STRICT: dict[str, Any] = {"sqlite_strict": True}  # SQLite then refuses text in a number column
_UNAMBIGUOUS = "0123456789abcdefghjkmnpqrstvwxyz"  # no i, l, o, u: ids get read out loud


class UtcTime(TypeDecorator[datetime]):
    """An instant. SQLite has no such type and forgets the zone: it is ISO text in UTC, which also sorts."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:  # noqa: ARG002
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone is not an instant")
        return value.astimezone(UTC).isoformat(timespec="microseconds")

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        return None if value is None else datetime.fromisoformat(value)


class Base(DeclarativeBase):
    """All tables; names for what has none of its own."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {str: Text(), datetime: UtcTime()}  # noqa: RUF012 - as SQLAlchemy declares it


def now() -> datetime:
    """This instant, in UTC."""
    return datetime.now(UTC)


def new_id() -> str:
    """An id nobody can guess or count on: 26 signs, 130 bits."""
    return "".join(secrets.choice(_UNAMBIGUOUS) for _ in range(26))
