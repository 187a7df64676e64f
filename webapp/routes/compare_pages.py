"""Finished plans side by side, and the choice of which."""

from __future__ import annotations

from dataclasses import dataclass

from flask import render_template, request
from flask.typing import ResponseReturnValue

from webapp.present import cautions
from webapp.present.answering import Answering
from webapp.present.cautions import PlanCautions
from webapp.present.compare import LEAST, MOST, comparison
from webapp.present.compare_choice import MOST_OFFERED, choice
from webapp.present.compare_rows import LETTERS, Side
from webapp.present.words import listed, moment
from webapp.routes.page_base import bp
from webapp.routes.plan_base import Opened, answer_of, opened
from webapp.services import answers, jobs, plans
from webapp.services.errors import NotFound
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One plan of the page: its side of the comparison, and what is said of it beside the rows."""

    side: Side
    answer: Answering
    care: PlanCautions
    stamp: dict[str, object]


@bp.get("/compare")
def compare() -> ResponseReturnValue:
    """Two to four plans named in the address; fewer, more or none: which ones to choose from."""
    asked = tuple(dict.fromkeys(each for each in request.args.getlist("plan") if each))
    if len(asked) > MOST:
        return _choice(asked, [_("Four plans at most fit side by side: take some of the ticks away.")])
    found, left_out = _found(asked)
    if len(found) < LEAST or request.args.get("choose"):
        return _choice(asked, left_out)
    shown = [_shown(letter, each) for letter, each in zip(LETTERS, found, strict=False)]
    return render_template(
        "pages/compare.html",
        view=comparison([each.side for each in shown]),
        shown=shown,
        left_out=left_out,
        outdated=_outdated(found),
        beside=_beside(shown),
        top=_top(shown),
    )


def _choice(asked: tuple[str, ...], notes: list[str]) -> str:
    words = request.args.get("words", "").strip()
    offered = answers.offered(words, asked, MOST_OFFERED)
    return render_template("pages/compare_choice.html", choice=choice(offered, asked, words), notes=notes)


def _found(asked: tuple[str, ...]) -> tuple[list[Opened], list[str]]:
    """The plans that can be compared, each once, and in words why others cannot."""
    found: dict[str, Opened] = {}
    left_out: list[str] = []
    for plan_id in asked:
        try:
            record = plans.get_plan(plan_id)
        except NotFound:
            left_out.append(_("A plan that was asked for is not here."))
            continue
        job, plan = jobs.get_job(record.job_id), answer_of(record)
        title = job.title or _("Untitled job")
        if plan is None or not plan.has_answer:
            left_out.append(_("%(title)s: that search has no plan, so there is none to compare.", title=title))
            continue
        side = opened(job, record, plan)
        if side.may_build:
            found.setdefault(record.marked_as, side)  # an explanation gives the same plan once more
        else:
            left_out.append(_("%(title)s: a check failed or was not made, so it is not compared.", title=title))
    return list(found.values()), list(dict.fromkeys(left_out))


def _outdated(found: list[Opened]) -> dict[str, str]:
    """The jobs that no plan of the page is of as they are now, and that it says so."""
    of_now = {each.job.id for each in found if each.record.job_revision == each.job.revision}
    letters: dict[str, list[str]] = {}
    for letter, each in zip(LETTERS, found, strict=False):
        if each.job.id not in of_now and each.job.deleted_at is None:
            letters.setdefault(each.job.id, []).append(letter)
    return {
        job_id: _("%(plans)s: the job has been changed since.", plans=listed(own)) for job_id, own in letters.items()
    }


def _top(shown: list[Shown]) -> tuple[str, ...]:
    """The cautions of all the plans, each once; that of the inverter where a load stays on it."""
    on_outlet = any(feed.source == "ac" for each in shown for feed in each.side.plan.feeds)
    inverter = (_(cautions.INVERTER),) if on_outlet else ()
    return tuple(dict.fromkeys((*(text for each in shown for text in each.care.top), *inverter)))


def _beside(shown: list[Shown]) -> dict[str, list[str]]:
    """What work beside a plan asks for a qualified person, each said once, and the letters it is about."""
    letters: dict[str, list[str]] = {}
    for each in shown:
        for text in each.answer.beside:
            letters.setdefault(text, []).append(each.side.letter)
    return letters


def _shown(letter: str, each: Opened) -> Shown:
    record, job, answer = each.record, each.job, each.answer
    return Shown(
        side=Side(
            letter=letter,
            plan_id=record.id,
            title=job.title or _("Untitled job"),
            made=moment(record.created_at),
            job=each.stated,
            catalogue=each.catalogue,
            catalogue_revision=record.catalogue_revision,
            plan=each.plan,
            waits=answer.waits,
            changed=record.job_revision != job.revision,
            binned=job.deleted_at is not None,
        ),
        answer=answer,
        care=each.cautions,
        stamp={
            "title": job.title,
            "plan": record.id,
            "revision": record.job_revision,
            "catalogue": record.catalogue_revision,
            "made": moment(record.created_at, on_paper=True),
        },
    )
