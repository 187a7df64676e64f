"""What a device asks for when it keeps pages: is the server there, and which pages belong to a job."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, jsonify, url_for
from flask.typing import ResponseReturnValue

from webapp.present.plan_parts import parts_of
from webapp.routes.page_base import bp
from webapp.routes.plan_base import answer_of
from webapp.services import jobs, plans

STEP_PAGES = ("battery", "places", "loads", "new_load", "limits", "owned", "assumed", "what_if")
ENTRY_PAGES = (("edit_place", "places"), ("edit_load", "loads"))
WITHIN = {"cut": ("cut_line",)}  # pages that a part of a plan leads to


@bp.get("/ping")
def ping() -> ResponseReturnValue:
    """Nothing, from the server itself."""
    return Response(status=204, headers={"Cache-Control": "no-store"})


@bp.get("/jobs/<job_id>/pages.json")
def job_pages(job_id: str) -> ResponseReturnValue:
    """Every page to keep on the device so that the job can be stated, and its newest plan built, without signal."""
    response = jsonify([*_of_steps(job_id), *_of_newest_plan(job_id)])
    response.headers["Cache-Control"] = "no-store"
    return response


def _of_steps(job_id: str) -> Iterator[str]:
    document = jobs.get_job(job_id).document
    for page in STEP_PAGES:
        yield url_for(f"pages.{page}", job_id=job_id)
    for page, array in ENTRY_PAGES:
        for index in range(len(document[array])):
            yield url_for(f"pages.{page}", job_id=job_id, index=index)


def _of_newest_plan(job_id: str) -> Iterator[str]:
    done = next((plan for plan in plans.plans_of(job_id) if plan.state == "done"), None)
    if done is None:
        return
    for part, _words in parts_of(answer_of(plans.get_plan(done.id))):
        for page in (part, *WITHIN.get(part, ())):
            yield url_for(f"pages.{page}", plan_id=done.id)
