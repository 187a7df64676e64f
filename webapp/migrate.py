"""Brings a database to the shape this version needs."""

from __future__ import annotations

from contextlib import AbstractContextManager
from pathlib import Path

from alembic import command
from alembic.config import Config as AlembicConfig
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection
from sqlalchemy.exc import DatabaseError

from webapp.db import Database
from webapp.files import BadInput
from webapp.locks import only_one

LOCK_WAIT_S = 120


class SchemaTooNew(BadInput):
    """The data was written by a newer version."""

    def __init__(self) -> None:
        super().__init__(
            ["This data was written by a newer Thriftloom. Update the program, or name another folder for the data."]
        )


def upgrade(database: Database, data_dir: Path, revision: str = "head") -> bool:
    """Run the steps that are missing; True if there were any. Safe while other processes try the same.

    Raises:
        BadInput: The data cannot be used.
    """
    try:
        database.check()
    except DatabaseError as error:
        raise BadInput([f"{database.engine.url.database} cannot be used as the database: {error.orig}"]) from error
    with only_one(data_dir / "migrate.lock", wait_s=LOCK_WAIT_S), _connection(database) as connection:
        before = stands_at(connection)
        if before is not None and before not in known_revisions():
            raise SchemaTooNew
        command.upgrade(_alembic(connection), revision)
        return stands_at(connection) != before


def downgrade(database: Database, data_dir: Path, revision: str) -> None:
    """Run steps backwards, down to `revision` ("base": all of them)."""
    with only_one(data_dir / "migrate.lock", wait_s=LOCK_WAIT_S), _connection(database) as connection:
        command.downgrade(_alembic(connection), revision)


def stands_at(connection: Connection) -> str | None:
    """The step a database stands at; None before the first."""
    return MigrationContext.configure(connection).get_current_revision()


def known_revisions() -> set[str]:
    """All steps this version has."""
    return {script.revision for script in ScriptDirectory.from_config(_alembic()).walk_revisions()}


def _connection(database: Database) -> AbstractContextManager[Connection]:
    return database.engine.execution_options(immediate=True).begin()


def _alembic(connection: Connection | None = None) -> AlembicConfig:
    config = AlembicConfig()
    config.set_main_option("script_location", "migrations:")
    config.attributes["connection"] = connection
    return config
