"""One process at a time, on every system: an exclusive transaction on a small SQLite file of its own.

The operating system releases it however the holder ends, kill -9 included.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager
from pathlib import Path

from webapp.files import BadInput, make_folder


class Taken(BadInput):
    """Another process holds the lock."""

    def __init__(self, path: Path) -> None:
        super().__init__([f"Another Thriftloom is at work on the data in {path.parent}. Wait for it, or end it."])


@contextmanager
def only_one(path: Path, *, wait_s: float) -> Iterator[None]:
    """Hold the lock at `path`.

    Raises:
        Taken: Somebody else still holds it after `wait_s`.
        BadInput: There can be no such file.
    """
    make_folder(path.parent)
    with ExitStack() as held:
        try:
            side = sqlite3.connect(path, timeout=wait_s, isolation_level=None, check_same_thread=False)
            held.enter_context(closing(side)).execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode == sqlite3.SQLITE_BUSY:
                raise Taken(path) from error
            raise BadInput([f"{path} cannot be written: {error}"]) from error
        yield
