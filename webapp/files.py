"""Documents from files and into files: read whole and judged, written whole or not at all."""

from __future__ import annotations

import json
import os
import secrets
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from webapp.schemas import LIMIT_BYTES, Fault, Reading, read_json

T = TypeVar("T")

STDIN = "-"


class BadInput(Exception):
    """What was given cannot be used; the lines are for the person who gave it."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("\n".join(lines))


def load(*wanted: tuple[str, Callable[[object], Reading[Any]]]) -> list[Any]:
    """The values of several documents; BadInput with the faults of all of them.

    Args:
        wanted: Pairs of a path ("-" for standard input) and what reads the document.
    """
    readings = [(path, _read(path, reader)) for path, reader in wanted]
    refuse([(path, reading.faults) for path, reading in readings])
    return [reading.value for _, reading in readings]


def refuse(found: list[tuple[str, tuple[Fault, ...]]]) -> None:
    """BadInput if there is any fault: one line each, under the name of its file where several were given."""
    faulty = [(path, faults) for path, faults in found if faults]
    lines: list[str] = []
    for path, faults in faulty:
        if len(found) > 1:
            lines.append(f"In {path}:")
        lines.extend(str(fault) for fault in faults)
    if lines:
        raise BadInput(lines)


def _read(path: str, reader: Callable[[object], Reading[T]]) -> Reading[T]:
    try:
        parsed = read_json(_bytes(path))
    except (OSError, ValueError) as error:
        return Reading(value=None, faults=(Fault(pointer="", message=f"{path} cannot be read: {_why(error)}"),))
    return reader(parsed.value) if not parsed.faults else Reading(value=None, faults=parsed.faults)


def _bytes(path: str) -> bytes:
    """What a file holds, up to just over the largest document there can be."""
    if path == STDIN:
        return sys.stdin.buffer.read(LIMIT_BYTES + 1)
    with Path(path).open("rb") as file:
        return file.read(LIMIT_BYTES + 1)


def make_folder(folder: Path) -> None:
    """See that a folder is there. Raises BadInput."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput([f"{folder} cannot be a folder for the data: {_why(error)}"]) from error


def refuse_unwritable(path: str | None) -> None:
    """BadInput where a document could not be written afterwards: better now than after a long search."""
    if path is None:
        return
    folder = Path(path).resolve().parent
    if not folder.is_dir():
        raise BadInput([f"{path} cannot be written: there is no folder {folder}"])
    if Path(path).is_dir():
        raise BadInput([f"{path} cannot be written: it is a folder"])
    if not os.access(folder, os.W_OK):
        raise BadInput([f"{path} cannot be written: the folder is not yours to write to"])


def write(document: dict[str, Any], path: str | None) -> None:
    """The document into a file, or onto standard output without one; never half of it."""
    content = (json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n").encode()
    if path is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(content)
        sys.stdout.buffer.flush()
        return
    try:
        _replace(Path(path).resolve(), content)
    except OSError as error:
        raise BadInput([f"{path} cannot be written: {_why(error)}"]) from error


def _replace(target: Path, content: bytes) -> None:
    if target.exists() and not target.is_file():  # a device or a pipe: there is nothing to replace
        target.write_bytes(content)
        return
    beside = target.with_name(f".{target.name[:100]}.{secrets.token_hex(8)}.part")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)


def _why(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()
