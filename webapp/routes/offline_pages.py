"""What a device asks for when it keeps pages: is the server there, and which pages belong to a job."""

from __future__ import annotations

from collections.abc import Iterator

from flask import Response, jsonify, url_for
from flask.typing import ResponseReturnValue

from webapp.present.checks import may_build
from webapp.present.plan_parts import PARTS
from webapp.routes.page_base import bp
from webapp.routes.plan_base import answer_of
from webapp.services import jobs, plans

STEP_PAGES = ("battery", "places", "loads", "new_load", "limits", "owned", "assumed")
ENTRY_PAGES = (("edit_place", "places"), ("edit_load", "loads"))
PLAN_PAGES = (*(endpoint for endpoint, _words in PARTS), "cut_line")


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
    plan = answer_of(plans.get_plan(done.id))
    is_for_builders = plan is not None and plan.has_answer and may_build(plan)  # otherwise its first page says why not
    for page in PLAN_PAGES if is_for_builders else PLAN_PAGES[:1]:
        yield url_for(f"pages.{page}", plan_id=done.id)
