"""Pages of a job that is begun without a signal: as for any job, with nothing in it. The device fills them in."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from flask import abort, request
from flask.typing import ResponseReturnValue

from webapp.forms import battery, limits, loads, owned, places
from webapp.routes import load_pages, owned_pages, place_pages, search_pages, step_pages
from webapp.routes.page_base import bp
from webapp.schemas.ops import ANY_JOB
from webapp.services import catalogue
from webapp.services.jobs import JobRecord

FIRST_ANSWERS = {"nominal_v": "12", "chemistry": "unsure", "capacity_ah": "", "spare_ways": "6"}


@bp.get("/blank/<path:step>")
def blank(step: str) -> ResponseReturnValue:
    views: dict[str, Callable[[JobRecord], str]] = {
        "battery": lambda job: step_pages.battery_page(job, battery.new_form(), blank=True),
        "places": lambda job: place_pages.places_page(job, places.new_row(), None),
        "loads": lambda job: load_pages.list_page(job, load_pages.add_form(job)),
        "loads/new": lambda job: load_pages.load_page(job, loads.blank_form(job.document, load_pages.supplies()), None),
        "limits": lambda job: step_pages.limits_page(job, limits.edit_form(job.document)),
        "owned": _owned,
        "plan": lambda job: search_pages.not_ready(job, []),
    }
    if step not in views:
        abort(404)
    return views[step](_any_job())


def _owned(job: JobRecord) -> str:
    parts = catalogue.current().document["parts"]
    return owned_pages.owned_page(job, owned.blank_form(parts, request.args.get("kind", ""), ""), parts)


def _any_job() -> JobRecord:
    document: dict[str, Any] | None = battery.read_new(FIRST_ANSWERS, [])[1]
    assert document is not None  # the answers above are sound
    return JobRecord(
        id=ANY_JOB,
        revision=0,
        title=document["title"],
        document=document,
        updated_at=datetime.now(UTC),
        deleted_at=None,
    )
