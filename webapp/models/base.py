"""What all tables share."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import BigInteger, DateTime, Dialect, Integer, MetaData, Text
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator, TypeEngine

Cents = BigInteger().with_variant(Integer(), "sqlite")
STRICT: dict[str, Any] = {"sqlite_strict": True}  # SQLite then refuses text in a number column, as others do
_UNAMBIGUOUS = "0123456789abcdefghjkmnpqrstvwxyz"  # no i, l, o, u: ids get read out loud


class UtcTime(TypeDecorator[datetime]):
    """An instant. SQLite has no such type and forgets the zone: there it is ISO text in UTC, which also sorts."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(Text() if dialect.name == "sqlite" else DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone is not an instant")
        utc = value.astimezone(UTC)
        return utc.isoformat(timespec="microseconds") if dialect.name == "sqlite" else utc

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return datetime.fromisoformat(value) if dialect.name == "sqlite" else value.astimezone(UTC)


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
