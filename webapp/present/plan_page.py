"""The answer of a plan as one value, and what stands in the way of one."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from optimizer.catalogue import Catalogue
from optimizer.job import Job, Limits
from optimizer.names import isolated
from optimizer.plan import Plan, Reason
from webapp.present.assumptions import Assumption, assumptions
from webapp.present.checks import may_build, verdict
from webapp.present.circuits import CircuitView, FeedView, circuit_views, outlet_feeds
from webapp.present.energy import EnergyView, energy_view
from webapp.present.progress import gap_words
from webapp.present.to_look_at import LookRow, look_rows
from webapp.present.told import told_sentence
from webapp.present.why import LimitRow, WhyRow, limit_rows, why_by_section
from webapp.present.words import counted, listed, money, quantity
from webapp.texts import N_, _


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """What a plan comes to."""

    total: str
    status: str
    gap: str
    verdict: str
    sound: bool  # all checks made and none failed; otherwise no price is shown
    look_at: tuple[LookRow, ...]
    circuits: tuple[CircuitView, ...]
    outlets: tuple[FeedView, ...]
    energy: EnergyView | None
    bank: str
    assumed: tuple[Assumption, ...]
    loosened: str
    summary: str
    why: Mapping[str, tuple[WhyRow, ...]]  # by circuit; "outlets", "bank" and "buying"
    limits: tuple[LimitRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """A page where something that stands in the way can be changed."""

    words: str
    step: str
    load: str = ""  # the id of the load, if it is about one


@dataclass(frozen=True, slots=True, kw_only=True)
class ReasonView:
    """One thing that stands in the way, and where it can be changed."""

    subject: str
    sentences: tuple[str, ...]  # the first says what it is, each other a part that comes less close
    ways_out: tuple[WayOut, ...]


STATUS = {
    "optimal": N_("Cheapest that holds everything, proven"),
    "feasible": N_("Holds everything; a cheaper one may exist"),
}
NO_PLAN = {
    "infeasible": N_("No plan can hold all of this"),
    "unknown": N_("Stopped before a plan was found"),
    "none": N_("No plan"),
}
STEP_WORDS = {
    "battery": N_("Change battery and panel"),
    "places": N_("Change the places"),
    "loads": N_("Change the loads"),
    "limits": N_("Change the limits"),
    "owned": N_("Change what you already have"),
}
FIRST_WORDS = {"places": N_("Add the first place"), "loads": N_("Add the first load")}
SUBJECTS = {
    "budget": N_("Budget"),
    "bank": N_("Battery"),
    "limits": N_("Limits"),
    "catalogue": N_("Parts on offer"),
    "panel": N_("Panel"),
    "bus": N_("Panel"),
    "search": N_("Time for the search"),
}
_LESS_CLOSE = re.compile(r"; (?=next )")
# Where a rule that stands in the way can be eased, the likeliest first.
STEPS_FOR = {
    "autonomy": ("limits", "loads", "battery"),
    "budget": ("limits", "loads"),
    "bank_peak": ("loads", "battery"),
    "bank": ("battery",),
    "fault": ("battery",),
    "interrupt": ("battery",),
    "drop_at_floor": ("limits", "places"),
    "outlet_power": ("loads", "battery"),
    "ways_and_holders": ("battery", "loads"),
    "fuse_not_oversized": ("limits", "loads"),
    "fuse_within_feed": ("loads", "limits"),
    "fuse_within_conductor": ("places", "limits"),
    "conductor_fits_first_stage": ("places", "limits"),
    "feed": ("battery",),
}


def plan_view(job: Job, catalogue: Catalogue, plan: Plan) -> PlanView:
    """The answer of a plan: what it costs, that it holds, and why."""
    sellers = len({order.seller for order in plan.orders})
    return PlanView(
        total=money(plan.total_cents or 0),
        status=_(STATUS[plan.status]) if plan.status in STATUS else plan.status,
        gap=gap_words(plan.total_cents, plan.bound_cents) if plan.status == "feasible" else "",
        verdict=verdict(plan),
        sound=may_build(plan),
        look_at=look_rows(plan),
        circuits=circuit_views(job, catalogue, plan),
        outlets=outlet_feeds(job, catalogue, plan),
        energy=energy_view(job, catalogue, plan),
        bank=_bank(plan),
        assumed=assumptions(job),
        loosened=loosened_words(job.limits),
        why=why_by_section(job, catalogue, plan),
        limits=limit_rows(plan),
        summary=", ".join(
            (
                counted("%(num)s seller", "%(num)s sellers", sellers),
                counted("%(num)s circuit", "%(num)s circuits", len(plan.circuits)),
                _("delivery included"),
            )
        ),
    )


def loosened_words(limits: Limits) -> str:
    """Which of the safer limits this job does not ask for; empty where it asks for all."""
    asked = {
        _("that a short at the far end blows the fuse"): limits.far_fault_multiple > 0,
        _("that fuses stay close to the current"): limits.fuse_ratio_max is not None,
        _("that circuits side by side heat each other"): limits.count_circuits,
        _("the resistance of joints"): limits.joint_mohm > 0,
        _("the parts at joints"): limits.count_joints,
    }
    off = [words for words, on in asked.items() if not on]
    if not off:
        return ""
    return _("Not counted in this plan, because the job's limits leave it out: %(what)s.", what=listed(off))


def _bank(plan: Plan) -> str:
    if plan.bank is None:
        return ""
    used, able = plan.bank.average_w, plan.bank.available_w
    return _(
        "Average draw %(used)s, of %(able)s that the battery can hold for the hours asked.",
        used=quantity(used, "W"),
        able=quantity(able, "W"),
    )


def reason_views(plan: Plan, document: Mapping[str, Any]) -> tuple[ReasonView, ...]:
    """What stands in the way; never empty, so that the page always says something."""
    if not plan.reasons:
        words = _(
            "The search ended without naming what stands in the way. Loosen a limit or drop a load, and try again."
        )
        return (ReasonView(subject="", sentences=(words,), ways_out=_steps("limits", "loads")),)
    views: dict[tuple[str, tuple[str, ...]], ReasonView] = {}
    for view in (_reason(reason, document) for reason in plan.reasons):
        said = views.setdefault((view.subject, view.sentences), view)  # two limits may say the same of one load
        views[view.subject, view.sentences] = replace(
            said, ways_out=tuple(dict.fromkeys(said.ways_out + view.ways_out))
        )
    return tuple(views.values())


def _reason(reason: Reason, document: Mapping[str, Any]) -> ReasonView:
    """A reason in words; a load or a place is named by the person's own name for it."""
    sentences = tuple(told_sentence(each) for each in _LESS_CLOSE.split(reason.text))
    subject = reason.subject.removeprefix("load ").removeprefix("place ")
    for load in document["loads"]:
        if load["id"] == subject:
            name = isolated(load.get("name") or subject)
            own = WayOut(words=_("Change %(name)s", name=name), step="loads", load=load["id"])
            steps = STEPS_FOR.get(reason.rule, ())
            return ReasonView(subject=name, sentences=sentences, ways_out=(own, *_steps(*steps)))
    names = {place["id"]: isolated(place.get("name") or place["id"]) for place in document["places"]}
    steps = ("places", "limits") if subject in names else STEPS_FOR.get(reason.rule, ("limits", "loads", "battery"))
    shown = names.get(subject) or (_(SUBJECTS[subject]) if subject in SUBJECTS else subject)
    return ReasonView(subject=shown, sentences=sentences, ways_out=_steps(*steps))


def _steps(*steps: str) -> tuple[WayOut, ...]:
    return tuple(WayOut(words=_(STEP_WORDS[step]), step=step) for step in steps)
