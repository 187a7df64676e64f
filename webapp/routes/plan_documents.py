"""What programs get of a plan: what the pages show, and no more while it waits for a qualified person."""

from __future__ import annotations

from typing import Any

from flask import url_for

from webapp.present.answering import KEY, reasons_to_answer
from webapp.routes.plan_base import answer_of, opened
from webapp.services import jobs, marks, plans

TO_WORK_BY = ("orders", "deliveries", "cuts")


def handed_out(record: plans.PlanRecord) -> dict[str, Any]:
    """`plan`, the plan/1 document, with who answers for it. While nobody does who has to, `plan` is null and `waits`
    says why, where to name somebody, and the design: the document without what is bought and cut.
    """
    plan = answer_of(record)
    if plan is None or not plan.has_answer:
        return {"plan": record.document, "waits": None}
    shown = opened(jobs.get_job(record.job_id), record, plan)
    reasons = reasons_to_answer(shown.stated, shown.catalogue, plan)
    if not reasons:
        return {"plan": record.document, "waits": None}
    document = record.document or {}
    name = marks.value_of(record.id, KEY)
    if name:
        return {"plan": {**document, "answered_by": name}, "waits": None}
    design = {field: value for field, value in document.items() if field not in ("format", *TO_WORK_BY)}
    page = url_for("pages.show_plan", plan_id=record.id, _anchor="person")
    return {"plan": None, "waits": {"reasons": reasons, "name_somebody_at": page, "design": design}}
