"""Changes that devices made without us, applied in their order, each once and by itself (docs/sync.md)."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy.exc import OperationalError

from webapp.schemas.faults import Fault, printable
from webapp.schemas.ops import Op, read_op
from webapp.services import ops
from webapp.services.errors import Busy
from webapp.services.sync_work import refused, work_of
from webapp.texts import N_, _

log = logging.getLogger(__name__)

Result = dict[str, Any]

NO_ID = N_("This change has no id that we could know it by.")
OTHER_CONTENT = N_("A change of this id was sent before and said something else. It was not done again.")
OUR_FAULT = N_("This is our fault, not yours. Nothing was stored of it. Fault number %(number)s.")
UNPROCESSABLE = 422


def apply(contents: Iterable[object], *, device: str, asked_by: str | None = None) -> list[Result]:
    """What came of each change, in order. What has no result was not done and waits on the device.

    Args:
        contents: The changes as they came, sound or not.
        device: What the device is called.
        asked_by: Which browser asks: searches take turns between these.
    """
    results = []
    for content in contents:
        try:
            result = _applied(content, device, asked_by)
        except OperationalError:
            log.exception("the database did not take a change; it and those behind it are left to the device")
            break
        if result is not None:
            results.append(result)
    return results


def _applied(content: object, device: str, asked_by: str | None) -> Result | None:
    """What came of one change; None where it has to wait."""
    op_id = content.get("op_id") if isinstance(content, Mapping) else None
    if not isinstance(op_id, str) or not ops.is_op_id(op_id):
        return {"op_id": printable(op_id) if isinstance(op_id, str) else "", **refused(general=[_(NO_ID)])}
    reading = read_op(content)
    if reading.value is None:
        return {"op_id": op_id, **_faulty(reading.faults)}
    return {"op_id": op_id, **result} if (result := _once(reading.value, content, device, asked_by)) else None


def _once(op: Op, content: object, device: str, asked_by: str | None) -> Result | None:
    sent = ops.Sent(
        op_id=op.op_id, content=content, device=device, made_at=op.at, job_id=op.job or None, handle=op.handle
    )
    try:
        result, _is_known = ops.once(sent, work_of(op, device=device, asked_by=asked_by))
    except ops.OtherContent:
        return _sent_before(op.op_id)
    except Busy:
        return None
    except OperationalError:
        raise
    except Exception:
        number = secrets.token_hex(4)
        log.exception("fault %s in a change of kind %s", number, type(op).__name__)
        return refused(general=[_(OUR_FAULT, number=number)])
    return result


def _sent_before(op_id: str) -> Result:
    """The same id with other content: the form of a page whose script sent it too, or a mistake of the device."""
    known = ops.result_of(op_id) or {}
    if "location" in known:
        return {name: said for name, said in known.items() if name != "location"}
    return {**refused(general=[_(OTHER_CONTENT)]), "status": UNPROCESSABLE}


def _faulty(faults: Iterable[Fault]) -> Result:
    return refused(general=[f"{fault.pointer}: {fault.message}" for fault in faults])
