"""Finished plans side by side, and the choice of which."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from flask import jsonify, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.present import cautions
from webapp.present.answering import Answering
from webapp.present.cautions import PlanCautions
from webapp.present.compare import LEAST, MOST, comparison
from webapp.present.compare_choice import MOST_OFFERED, choice
from webapp.present.compare_rows import LETTERS, Side, short_names
from webapp.present.compare_waiting import UNDER_WAY, Stuck, state_line, stuck
from webapp.present.words import listed, moment
from webapp.routes.page_base import bp
from webapp.routes.plan_base import Opened, answer_of, opened, waiting_words
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What there is of the plans that were asked for."""

    sides: list[Opened]
    stuck: list[Stuck]  # searches with no plan at the end
    left_out: list[str]  # in words why others are not compared


@dataclass(frozen=True, slots=True, kw_only=True)
class Back:
    """The page that somebody came from to compare."""

    href: str
    words: str
    of: str | None = None  # the plan, to be handed on from page to page


@bp.get("/compare")
def compare() -> ResponseReturnValue:
    """Two to four plans named in the address; fewer, more or none: which ones to choose from.

    `of` names the plan that the way back leads to.
    While one of them is searched for: how far each is, unless the address says to go on without it.
    """
    asked = _asked()
    if len(asked) > MOST:
        return _choice(
            asked,
            Found(
                sides=[], stuck=[], left_out=[_("Four plans at most fit side by side: take some of the ticks away.")]
            ),
        )
    records = _records(asked)
    if len(asked) >= LEAST and _under_way(records) and not (request.args.get("now") or request.args.get("choose")):
        return render_template("pages/compare_waiting.html", lines=_lines(records), asked=asked, back=_back())
    names = _names(records)
    found = _found(asked, records, names)
    if not found.sides or len(found.sides) + len(found.stuck) < LEAST or request.args.get("choose"):
        return _choice(asked, found)
    shown = [_shown(letter, each, names[each.job.id]) for letter, each in zip(LETTERS, found.sides, strict=False)]
    return render_template(
        "pages/compare.html",
        view=comparison([each.side for each in shown]),
        shown=shown,
        back=_back(),
        stuck=found.stuck,
        left_out=found.left_out,
        outdated=_outdated(found.sides),
        beside=_beside(shown),
        top=_top(shown),
    )


@bp.get("/compare/progress.json")
def compare_progress() -> ResponseReturnValue:
    """What the page shows of searches just now."""
    records = _records(_asked()[:MOST])
    return jsonify(under_way=_under_way(records), lines=_lines(records), time="", stop="")


def _asked() -> tuple[str, ...]:
    return tuple(dict.fromkeys(each for each in request.args.getlist("plan") if each))


def _back() -> Back:
    with suppress(NotFound):
        plan = plans.get_plan(request.args.get("of", ""))
        return Back(href=url_for("pages.show_plan", plan_id=plan.id), words=_("Plan"), of=plan.id)
    return Back(href=url_for("pages.job_list"), words=_("Jobs"))


def _records(asked: tuple[str, ...]) -> list[plans.PlanRecord]:
    """The plans that are here."""
    found = []
    for plan_id in asked:
        with suppress(NotFound):
            found.append(plans.get_plan(plan_id))
    return found


def _under_way(records: list[plans.PlanRecord]) -> bool:
    return any(each.state in UNDER_WAY for each in records)


def _lines(records: list[plans.PlanRecord]) -> list[str]:
    names = _names(records)
    return [state_line(names[each.job_id], each) for each in records]


def _names(records: list[plans.PlanRecord]) -> dict[str, str]:
    """What the jobs of these plans are called beside each other, by id."""
    titles = {each.job_id: _title(jobs.get_job(each.job_id)) for each in records}
    short = short_names(tuple(titles.values()))
    return {job_id: short[title] for job_id, title in titles.items()}


def _title(job: jobs.JobRecord) -> str:
    return job.title or _("Untitled job")


def _choice(asked: tuple[str, ...], found: Found) -> str:
    words = request.args.get("words", "").strip()
    found_plans = answers.offered(words, asked, MOST_OFFERED)
    waits_for = waiting_words([each.plan.id for each in found_plans.plans])
    offered = choice(found_plans, asked, words, waits_for)
    return render_template(
        "pages/compare_choice.html", choice=offered, notes=found.left_out, stuck=found.stuck, back=_back()
    )


def _found(asked: tuple[str, ...], records: list[plans.PlanRecord], names: dict[str, str]) -> Found:
    """The plans that can be compared, each once, and why others cannot."""
    sides: dict[str, Opened] = {}
    found = Found(
        sides=[], stuck=[], left_out=[_("A plan that was asked for is not here.")] * (len(records) < len(asked))
    )
    for record in records:
        job, plan = jobs.get_job(record.job_id), answer_of(record)
        if record.state in UNDER_WAY:
            found.left_out.append(_("%(title)s: that search has no plan yet.", title=_title(job)))
        elif plan is None or not plan.has_answer:
            found.stuck.append(stuck(names[job.id], record, plan))
        elif opened(job, record, plan).may_build:
            # an explanation gives the same plan once more
            sides.setdefault(record.marked_as, opened(job, record, plan))
        else:
            found.left_out.append(
                _("%(title)s: a check failed or was not made, so it is not compared.", title=_title(job))
            )
    found.sides.extend(sides.values())
    return found


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


def _shown(letter: str, each: Opened, name: str) -> Shown:
    record, job, answer = each.record, each.job, each.answer
    return Shown(
        side=Side(
            letter=letter,
            plan_id=record.id,
            title=_title(job),
            name=name,
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
