"""A device that changes things without signal and sends them later."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from typing import Any

AT = "2026-11-25T18:00:00Z"


def an_op(kind: str, **says: Any) -> dict[str, Any]:
    """One change with an id of its own."""
    return {"op_id": str(uuid.uuid4()), "kind": kind, "at": AT, **says}


def a_handle() -> str:
    return f"new-{uuid.uuid4()}"


def a_place(job_id: str, name: str, run_m: str = "4", **says: Any) -> dict[str, Any]:
    changes = {"name": ["", name], "run_m": ["", run_m]}
    return an_op("form", job=job_id, form="place", entry=None, changes=changes, **says)


def sent(client: Any, ops: Iterable[Any], device: str = "Phone") -> list[dict[str, Any]]:
    """What came of each change."""
    answer = client.post("/sync", json={"device": device, "ops": list(ops)})
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return answer.get_json()["results"]


def sent_one(client: Any, op: Any, device: str = "Phone") -> dict[str, Any]:
    (result,) = sent(client, [op], device)
    return result
