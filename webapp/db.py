"""The database: engine, settings, and the two kinds of transaction.

Writers start with BEGIN IMMEDIATE: two that both read and then wrote would otherwise lose one update without an error.
"""

from __future__ import annotations

import importlib
import logging
import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from types import ModuleType
from typing import Any

from flask import current_app
from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.orm import Session

from webapp.files import BadInput, make_folder

log = logging.getLogger(__name__)

WAL_LIMIT_BYTES = 64 * 1024 * 1024
BUSY_S = 5  # how long one program waits for another's writing
EXTENSION = "thriftloom_database"
Version = tuple[int, int, int]
Afterwards = list[Callable[[], None]]
_under_way: ContextVar[tuple[Database, Session, Afterwards] | None] = ContextVar("under_way", default=None)


def can_lose_commits(version: Version) -> bool:
    """Whether this SQLite has the race that can lose committed writes in WAL mode with several connections.

    Source: SQLite release notes: in 3.7.0 to 3.51.2, mended in 3.51.3 and in the back-ports 3.50.7 and 3.44.6.
    """
    mended_branch = (version[:2] == (3, 50) and version[2] >= 7) or (version[:2] == (3, 44) and version[2] >= 6)
    return (3, 7, 0) <= version <= (3, 51, 2) and not mended_branch


def sqlite_driver() -> ModuleType:
    """The SQLite from our own dependencies, or Python's where that has none for this system."""
    try:
        return importlib.import_module("pysqlite3")
    except ImportError:
        return sqlite3


class Database:
    """One database, with transactions to read and to write in. Raises BadInput for another kind than SQLite."""

    def __init__(self, url: str, *, driver: ModuleType | None = None) -> None:
        self.plan_queued = threading.Event()  # wakes the solver at once; it looks by itself every few seconds too
        self.plan_cancelled = threading.Event()  # likewise
        _refuse_other_than_sqlite(url)
        self.engine = _sqlite_engine(url, driver or sqlite_driver())
        self._immediate = self.engine.execution_options(immediate=True)

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """See one consistent state; whatever is changed is thrown away. Inside `writing`: what it wrote so far."""
        outer = self._outer()
        if outer is not None:
            yield outer
            return
        with Session(self.engine) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """All or nothing: commits at the end, or leaves everything as it was. Never hold one across a solve.

        Inside another one it is a part of it, which can still be left out as a whole: several use cases become one.
        """
        outer = self._outer()
        if outer is not None:
            with outer.begin_nested():
                yield outer
            return
        afterwards: Afterwards = []
        with Session(self._immediate, expire_on_commit=False) as session, session.begin():
            token = _under_way.set((self, session, afterwards))
            try:
                yield session
            finally:
                _under_way.reset(token)
        for call in afterwards:
            call()

    def once_stored(self, call: Callable[[], None]) -> None:
        """Call this as soon as what is being written is there for others to see; at once where nothing is."""
        under_way = _under_way.get()
        if under_way is not None and under_way[0] is self:
            under_way[2].append(call)
        else:
            call()

    def _outer(self) -> Session | None:
        under_way = _under_way.get()
        return under_way[1] if under_way is not None and under_way[0] is self else None

    def check(self) -> None:
        """Raises if the database does not answer."""
        with self.engine.connect() as connection:
            connection.exec_driver_sql("SELECT 1")

    def close(self) -> None:
        """Give all connections back."""
        self.engine.dispose()


def _refuse_other_than_sqlite(url: str) -> None:
    """Elsewhere two writers could lose an update, and what must never change could be changed: see Decisions, 16."""
    try:
        kind = make_url(url).get_backend_name()
    except ArgumentError:
        kind = ""
    if kind != "sqlite":
        raise BadInput(["The database must be SQLite: name it like sqlite:////var/lib/thriftloom/thriftloom.db."])


def current() -> Database:
    """The database of the running app."""
    database: Database = current_app.extensions[EXTENSION]
    return database


def _sqlite_engine(url: str, driver: ModuleType) -> Engine:
    version: Version = driver.sqlite_version_info
    path = make_url(url).database
    if path:
        make_folder(Path(path).parent)
    if not can_lose_commits(version):
        engine = create_engine(url, module=driver)
        _prepare(engine, journal="wal")
        return engine
    log.warning(
        "SQLite %s can lose committed writes in its fast mode. Working slowly but safely instead: one connection, "
        "rollback journal. Install the pysqlite3 package of requirements.lock to be fast again.",
        driver.sqlite_version,
    )
    engine = create_engine(url, module=driver, pool_size=1, max_overflow=0)
    _prepare(engine, journal="delete")
    return engine


def _journal_mode(cursor: Any, journal: str) -> str:
    """Sets the journal mode. While another program writes, SQLite refuses that at once, whatever its busy timeout."""
    until_s = time.monotonic() + BUSY_S
    while True:
        try:
            return str(cursor.execute(f"PRAGMA journal_mode = {journal}").fetchone()[0])
        except Exception as error:  # of whichever driver is in use
            if "locked" not in str(error) or time.monotonic() > until_s:
                raise
        time.sleep(0.02)


def _prepare(engine: Engine, *, journal: str) -> None:
    @event.listens_for(engine, "connect")
    def set_up(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # we say BEGIN ourselves, below
        cursor = connection.cursor()
        cursor.execute(f"PRAGMA busy_timeout = {1000 * BUSY_S}")
        mode = _journal_mode(cursor, journal)
        if mode not in (journal, "memory"):
            raise RuntimeError(f"the database stays in journal mode {mode}; another program holds it open")
        cursor.execute("PRAGMA synchronous = FULL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA trusted_schema = OFF")
        cursor.execute("PRAGMA cell_size_check = ON")
        cursor.execute(f"PRAGMA journal_size_limit = {WAL_LIMIT_BYTES}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        immediate = connection.get_execution_options().get("immediate", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")
