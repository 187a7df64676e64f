"""What every page of a plan needs: the plan opened with its job and catalogue, and the frame around it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import wraps
from typing import Any

from flask import redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from optimizer.catalogue import Battery, Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from webapp import schemas, security
from webapp.forms import batteries
from webapp.present import answering
from webapp.present import read_first as critical
from webapp.present.cautions import PlanCautions, plan_cautions
from webapp.present.checks import may_build
from webapp.present.plan_parts import parts_of
from webapp.present.qr import QrView, qr_view
from webapp.present.words import moment
from webapp.services import catalogue, jobs, marks, plans


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A plan with an answer, and what it was made from."""

    job: jobs.JobRecord  # as it is now
    record: plans.PlanRecord
    stated: Job  # as it was planned
    catalogue: Catalogue
    plan: Plan

    @property
    def may_build(self) -> bool:
        """Whether a price, a cut list or a label may be shown."""
        return may_build(self.plan)

    @property
    def cautions(self) -> PlanCautions:
        return plan_cautions(self.stated, self.catalogue, self.plan, self._chemistry)

    @property
    def answer(self) -> answering.Answering:
        """Why a qualified person has to answer for it, and who does."""
        name = marks.value_of(self.record.id, answering.KEY)
        return answering.answering(self.stated, self.catalogue, self.plan, name)

    @property
    def _chemistry(self) -> str:
        """Lithium, lead-acid or unknown: decides which cautions stand beside the battery."""
        bank = self.plan.bank
        if bank is not None and bank.part is not None:
            chemistry = self.catalogue.get(Battery, bank.part).chemistry or ""
            return "lithium" if chemistry == "lithium" else "agm" if chemistry else ""
        return batteries.recognised(self.record.job_document)


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedOn:
    """What became of a job since a search of it began."""

    is_changed: bool
    is_asked_anew: bool  # as it is now it is searched for, or planned


def moved_on(job: jobs.JobRecord, record: plans.PlanRecord) -> MovedOn:
    """What a page of a search, or of what came of it, says of the job since."""
    newest = plans.plans_of(job.id)[:1]
    return MovedOn(
        is_changed=record.job_revision != job.revision,
        is_asked_anew=any(each.job_revision == job.revision for each in newest),
    )


def opened(job: jobs.JobRecord, record: plans.PlanRecord, plan: Plan) -> Opened:
    """A finished plan with an answer, from the documents it was made from."""
    stated = schemas.read_job(record.job_document)
    assert stated.value is not None  # read before it was planned
    parts = catalogue.value_of(record.catalogue_revision)
    return Opened(job=job, record=record, stated=stated.value, catalogue=parts, plan=plan)


def answer_of(record: plans.PlanRecord) -> Plan | None:
    """The answer of a search that has ended with one or with reasons; None before."""
    if record.state != "done" or record.document is None:
        return None
    reading = schemas.read_plan(record.document)
    assert reading.value is not None  # read before it was stored
    return reading.value


def part_page(shown: Opened, template: str, part: str, *, read_first: bool = False, **values: Any) -> str:
    """One page of a plan in its frame: the steps of the job, the pages of the plan, the stamp.

    Args:
        read_first: Whether the critical cautions have to be read before, once for a job.
    """
    care = shown.cautions
    unread = not marks.is_set(shown.job.id, critical.KEY)
    return render_template(
        template,
        job=shown.job,
        step="plan",
        part=part,
        parts=parts_of(shown.plan),
        plan=shown.record,
        care=care,
        answer=shown.answer,
        first=critical.read_first(shown.stated, care) if read_first and unread else (),
        unread=unread,
        seen=marks.last_change(shown.record.id),
        moved=moved_on(shown.job, shown.record),
        made=moment(shown.record.created_at, on_paper=True),
        **values,
    )


def waiting_words(plan_ids: Sequence[str]) -> dict[str, str]:
    """What those of some plans that wait for a qualified person wait for, by plan, for lists."""
    named = marks.values_of(plan_ids, answering.KEY)
    return {
        plan_id: answering.waits_for(kinds)
        for plan_id, kinds in plans.reasons_to_wait(plan_ids).items()
        if plan_id not in named
    }


def job_code(shown: Opened) -> QrView:
    """The code that opens the job, under the name by which people open this server."""
    return qr_view(security.public_url() + url_for("pages.show_job", job_id=shown.job.id))


def of_answer(view: Callable[[Opened], str]) -> Callable[[str], ResponseReturnValue]:
    """A page of every answer, even of one that failed a check; without an answer the first page says why."""
    return _page(view, lambda plan: plan.has_answer)


def of_sound_plan(view: Callable[[Opened], str]) -> Callable[[str], ResponseReturnValue]:
    """A page for somebody who builds: where nothing may be built from the plan, its first page says so instead."""
    return _page(view, lambda plan: plan.has_answer and may_build(plan))


def _page(view: Callable[[Opened], str], has_it: Callable[[Plan], bool]) -> Callable[[str], ResponseReturnValue]:
    @wraps(view)
    def page(plan_id: str) -> ResponseReturnValue:
        record = plans.get_plan(plan_id)
        plan = answer_of(record)
        if plan is None or not has_it(plan):
            return redirect(url_for("pages.show_plan", plan_id=plan_id), code=303)
        return view(opened(jobs.get_job(record.job_id), record, plan))

    return page
