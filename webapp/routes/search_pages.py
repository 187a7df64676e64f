"""Searches: begin, watch, cancel, begin again."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from flask import jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.forms import searches
from webapp.forms.fields import Form, place_faults
from webapp.present.job_state import STEPS
from webapp.present.plan_page import FIRST_WORDS, STEP_WORDS
from webapp.present.progress import search_view, stopped_words
from webapp.present.words import sentence
from webapp.routes import askers
from webapp.routes.once import Answer, Later, once
from webapp.routes.page_base import bp
from webapp.routes.plan_base import moved_on
from webapp.services import jobs, plans
from webapp.services.errors import Busy, FaultyDocument
from webapp.texts import N_, _

ENDED_WITHOUT = {"failed": N_("Planning stopped"), "cancelled": N_("Search cancelled")}


@bp.post("/jobs/<job_id>/plans")
@once
def start_plan(job_id: str) -> Answer:
    return begin_plan(job_id)


def begin_plan(job_id: str) -> Answer:
    """Ask for a plan and lead to its page, or say what the job still needs."""
    try:
        plan_id = plans.start_plan(job_id, asked_by=askers.browser())
    except FaultyDocument as trouble:
        job = jobs.get_job(job_id)
        faults = [(sentence(fault.message), _step(fault.pointer)) for fault in trouble.faults]
        return Later(lambda: not_ready(job, missing(job.document) or faults), 422)
    except Busy as trouble:
        busy = [(str(trouble), "limits")]
        return Later(lambda: not_ready(jobs.get_job(job_id), busy), Busy.status)
    return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)


@bp.post("/plans/<plan_id>/again")
@once
def plan_again(plan_id: str) -> Answer:
    """The same plan once more, for as long as the form says."""
    record = plans.get_plan(plan_id)
    form, limit_s = searches.read(request.form)
    if form.troubled:
        return Later(lambda: _again_page(record, form), 422)
    try:
        started = plans.plan_again(plan_id, limit_s, asked_by=askers.browser())
    except FaultyDocument as trouble:
        place_faults(form, trouble.faults)
        return Later(lambda: _again_page(record, form), 422)
    except Busy as trouble:
        form.general.append(str(trouble))
        return Later(lambda: _again_page(record, form), Busy.status)
    return redirect(url_for("pages.show_plan", plan_id=started), code=303)


@bp.post("/plans/<plan_id>/cancel")
def cancel_plan(plan_id: str) -> ResponseReturnValue:
    """End a search, keeping the best plan so far. Once more does no harm."""
    plans.cancel_plan(plan_id)
    return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)


@bp.get("/plans/<plan_id>/progress.json")
def plan_progress(plan_id: str) -> ResponseReturnValue:
    """What the page of a search shows of it just now."""
    record = plans.get_plan(plan_id)
    if record.state not in ("queued", "running"):
        return jsonify(state=record.state, under_way=False)
    view = search_view(record, datetime.now(UTC))
    return jsonify(state=record.state, under_way=True, lines=view.lines, time=view.time, stop=view.stop)


def search_page(job: Any, record: plans.PlanRecord) -> str:
    """A search that has not ended, or has ended without an answer."""
    under_way = record.state in ("queued", "running")
    return render_template(
        "pages/planning.html",
        job=job,
        step="plan",
        plan=record,
        search=search_view(record, datetime.now(UTC)) if under_way else None,
        stopped=stopped_words(record),
        heading=_(ENDED_WITHOUT.get(record.state, "")),
        moved=moved_on(job, record),
        again=searches.edit_form(record.time_limit_s),
    )


def not_ready(job: Any, missing_parts: list[tuple[str, str]]) -> str:
    """Why a job cannot be planned yet, each with the page where that is mended."""
    first = {step: words for step, words in FIRST_WORDS.items() if not job.document[step]}
    words = {step: _(text) for step, text in (STEP_WORDS | first).items()}
    return render_template("pages/no_plan_yet.html", job=job, step="plan", missing=missing_parts, step_words=words)


def missing(document: dict[str, Any]) -> list[tuple[str, str]]:
    """What a job still needs before it can be planned, with the page where to say it."""
    parts = []
    if not document["places"]:
        words = _("There is no place yet: say where the loads sit, and how far from the panel.")
        parts.append((words, "places"))
    if not document["loads"]:
        parts.append((_("There is no load yet: say what the battery should feed."), "loads"))
    return parts


def _again_page(record: plans.PlanRecord, form: Form) -> str:
    job = jobs.get_job(record.job_id)
    return render_template("pages/search_again.html", job=job, step="plan", plan=record, again=form)


def _step(pointer: str) -> str:
    first = pointer.strip("/").split("/")[0]
    return first if first in dict(STEPS) or first == "owned" else "battery"
