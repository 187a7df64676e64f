"""Where devices send what they changed without us. JSON only, which no foreign form can send."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, jsonify, request
from flask.typing import ResponseReturnValue

from webapp import schemas
from webapp.routes import askers
from webapp.schemas import Fault
from webapp.schemas.faults import printable
from webapp.services import sync
from webapp.services.errors import FaultyDocument

bp = Blueprint("sync", __name__)
MOST_OPS = 50
MOST_BYTES = 1_000_000
DEVICE_CHARS = 60


@bp.post("/sync")
def apply_ops() -> ResponseReturnValue:
    """Applies up to 50 changes in order; what came of each. A change without a result waits on the device."""
    request.max_content_length = MOST_BYTES
    device, contents = _batch()
    response = jsonify(results=sync.apply(contents, device=device, asked_by=askers.browser()))
    response.headers["Cache-Control"] = "no-store"
    return response


def _batch() -> tuple[str, list[Any]]:
    if request.mimetype != "application/json":
        abort(415, "Send JSON, with Content-Type: application/json.")
    reading = schemas.read_json(request.get_data(), limit_bytes=MOST_BYTES)
    if reading.faults:
        raise FaultyDocument(reading.faults)
    batch = reading.value if isinstance(reading.value, dict) else {}
    device, contents = batch.get("device", ""), batch.get("ops")
    faults = []
    if not isinstance(device, str):
        faults.append(Fault(pointer="device", message="say what the device is called"))
    if not isinstance(contents, list) or len(contents) > MOST_OPS:
        faults.append(Fault(pointer="ops", message=f"send a list of at most {MOST_OPS} changes"))
    if faults:
        raise FaultyDocument(faults)
    return printable(str(device))[:DEVICE_CHARS] or askers.device(), contents or []
