"""A job with some of its values stated anew."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from optimizer.job import Job
from optimizer.plan import Change


def changed(job: Job, changes: Iterable[Change]) -> Job:
    """The job after some changes. Pointers are those of job/1, whose names the values share.

    An entry of a list that becomes None is taken out.
    """
    for change in changes:
        job = _put(job, change.pointer.split("/"), change.value)
    return job


def _put(value: Any, way: list[str], new: object) -> Any:
    if not way:
        return new
    head, *rest = way
    if isinstance(value, tuple):
        at = int(head)
        if new is None and not rest:
            return value[:at] + value[at + 1 :]
        return (*value[:at], _put(value[at], rest, new), *value[at + 1 :])
    return replace(value, **{head: _put(getattr(value, head), rest, new)})
