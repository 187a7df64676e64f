"""Plans: found, or why there is none."""

from __future__ import annotations

from flask import flash, jsonify, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from optimizer.plan import Plan
from webapp.forms import searches
from webapp.pictures.flows import flow_view
from webapp.present.cautions import ALWAYS
from webapp.present.plan_page import NO_PLAN, plan_view, reason_views
from webapp.present.progress import ended_words
from webapp.present.told import told
from webapp.present.ways_out import ways_out_view
from webapp.routes import askers
from webapp.routes.once import once
from webapp.routes.page_base import bp
from webapp.routes.plan_base import Opened, answer_of, moved_on, opened, part_page
from webapp.routes.plan_documents import handed_out
from webapp.routes.search_pages import missing, not_ready, search_page
from webapp.services import answers, jobs, plans
from webapp.services.errors import Busy
from webapp.texts import _


@bp.get("/jobs/<job_id>/plan")
def plan(job_id: str) -> ResponseReturnValue:
    """The newest plan of a job, or what is missing for one."""
    job = jobs.get_job(job_id)
    made = plans.plans_of(job_id)
    if made:
        return redirect(url_for("pages.show_plan", plan_id=made[0].id), code=303)
    return not_ready(job, missing(job.document))


@bp.get("/plans/<plan_id>")
def show_plan(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    job = jobs.get_job(record.job_id)
    plan = answer_of(record)
    if plan is None:
        return search_page(job, record)
    if not plan.has_answer:
        return _no_plan_page(job, record, plan)
    return _answer_page(opened(job, record, plan))


@bp.post("/plans/<plan_id>/explanation")
@once
def explain_plan(plan_id: str) -> ResponseReturnValue:
    """Asks why each part and what each limit costs: the same plan, explained, on a page of its own."""
    try:
        explained = plans.explain_plan(plan_id, asked_by=askers.browser())
    except Busy as trouble:
        flash(str(trouble), "stop")
        return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)
    return redirect(url_for("pages.show_plan", plan_id=explained), code=303)


@bp.get("/plans/<plan_id>.json")
def plan_json(plan_id: str) -> ResponseReturnValue:
    record = plans.get_plan(plan_id)
    return jsonify(id=record.id, state=record.state, message=record.message, **handed_out(record))


def _answer_page(shown: Opened) -> str:
    return part_page(
        shown,
        "pages/plan.html",
        "show_plan",
        before=answers.answered_before(shown.record),
        ended=ended_words(shown.record),
        again=searches.longer_form(shown.record.time_limit_s, plans.MOST_TIME_LIMIT_S),
        view=plan_view(shown.stated, shown.catalogue, shown.plan),
        flows=flow_view(shown.stated, shown.catalogue, shown.plan) if shown.may_build else None,
    )


def _no_plan_page(job: jobs.JobRecord, record: plans.PlanRecord, value: Plan) -> str:
    return render_template(
        "pages/no_plan.html",
        job=job,
        step="plan",
        heading=_(NO_PLAN.get(value.status, NO_PLAN["none"])),
        reasons=reason_views(value, record.job_document),
        ways_out=ways_out_view(value),
        plan_cautions=(_(ALWAYS), *(told(each) for each in value.cautions)),
        plan=record,
        moved=moved_on(job, record),
        again=searches.longer_form(record.time_limit_s, plans.MOST_TIME_LIMIT_S) if value.status == "unknown" else None,
    )
