"""JSON text into objects, strictly: what a parser would let pass silently is a fault here."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

from .faults import Fault, Reading, capped, join, quoted, step

LIMIT_BYTES = 5_000_000
_DEEPEST = 40  # no document of ours nests deeper than 8


class _Twice:
    """Remembers the objects in which a key came twice."""

    def __init__(self) -> None:
        self.found: list[tuple[dict[str, Any], str]] = []

    def __call__(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made: dict[str, Any] = {}
        for key, value in pairs:
            if key in made:
                self.found.append((made, key))
            made[key] = value
        return made


def read_json(text: str | bytes, *, limit_bytes: int = LIMIT_BYTES) -> Reading[Any]:
    """The object that a JSON text stands for, or why it is none. Never raises."""
    if isinstance(text, str):
        text = text.encode("utf-8", "surrogatepass")
    if len(text) > limit_bytes:
        return _fault(f"the document is too large: more than {limit_bytes:,} bytes")
    twice = _Twice()
    try:
        content = text.decode("utf-8-sig")
        if not content.strip():
            return _fault("the document is empty")
        value = json.loads(content, object_pairs_hook=twice)
    except UnicodeDecodeError:
        return _fault("this is not UTF-8 text")
    except json.JSONDecodeError as error:
        return _fault(f"this is not JSON; line {error.lineno}, column {error.colno}: {error.msg}")
    except RecursionError:
        return _fault("the document is nested too deeply")
    except ValueError:
        return _fault("the document holds a number with far too many digits")
    faults = capped(_faults_in(value, {id(made): key for made, key in twice.found}))
    return Reading(value=None, faults=faults) if faults else Reading(value=value)


def _fault(message: str) -> Reading[Any]:
    return Reading(value=None, faults=(Fault(pointer="", message=message),))


def _faults_in(document: Any, twice: dict[int, str]) -> Iterator[Fault]:
    """Keys that came twice, numbers that are none, and nesting beyond all sense; in document order."""
    waiting: list[tuple[str, int, Any]] = [("", 0, document)]
    while waiting:
        pointer, depth, value = waiting.pop()
        if isinstance(value, float) and not math.isfinite(value):
            yield Fault(pointer=pointer, message="this must be a finite number, not NaN or infinity")
        if not isinstance(value, (dict, list)):
            continue
        if depth == _DEEPEST:
            yield Fault(pointer=pointer, message="the document is nested too deeply")
            continue
        if id(value) in twice:
            key = twice[id(value)]
            message = f"the field {quoted(key)} comes more than once: keep one of them"
            yield Fault(pointer=join(pointer, step(key)), message=message)
        inner = value.items() if isinstance(value, dict) else enumerate(value)
        waiting.extend(reversed([(join(pointer, step(key)), depth + 1, entry) for key, entry in inner]))
