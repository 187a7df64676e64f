"""One process at a time, on every system: an exclusive transaction on a small SQLite file of its own.

The operating system releases it however the holder ends, kill -9 included.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path


class Taken(Exception):
    """Another process holds the lock."""


@contextmanager
def only_one(path: Path, *, wait_s: float) -> Iterator[None]:
    """Hold the lock at `path`; raises Taken if somebody else still holds it after `wait_s`."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with closing(sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)) as side:
        try:
            side.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            raise Taken(str(path)) from error
        yield
