"""The only door: a job and a catalogue in, a checked plan out."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from optimizer.binding import what_limits_cost
from optimizer.catalogue import Catalogue
from optimizer.cautions import cautions_for
from optimizer.checks import check_plan, failures
from optimizer.errors import InvalidInput
from optimizer.explain import reasons_for
from optimizer.holds import with_holds
from optimizer.job import Job
from optimizer.plan import Plan, Reason
from optimizer.progress import Progress
from optimizer.scope import refuse_out_of_scope
from optimizer.shortfalls import money
from optimizer.solve.instance import Instance, build
from optimizer.solving import NO_LIMIT_S, Clock, cheapest_plan
from optimizer.ways_out import ways_out
from optimizer.why import why_this

__all__ = ["plan", "what_limits_cost", "why_this"]


def plan(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit_s: float | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
) -> Plan:
    """The cheapest plan of a job by the planning rules, checked by code that does not know the solver.

    Args:
        time_limit_s: Stop after so long with the best plan so far; None: until proven. > 0. [s]
        on_progress: Called with every better plan.
        stop: Once it is set, the search ends soon with the best plan so far.
    Raises:
        InvalidInput: The time limit is not above zero.
        Refused: Out of scope: more than 60 V DC, or no bank at all.
    """
    if time_limit_s is not None and not time_limit_s > 0:
        raise InvalidInput("time_limit_s", "Give more than 0 seconds.")
    clock = Clock(time_limit_s or NO_LIMIT_S, stop)
    refuse_out_of_scope(job, catalogue)
    instance = build(job, catalogue)
    asked = _Asked(job, catalogue, instance, clock, build_s=clock.elapsed_s)
    found = cheapest_plan(instance, time_limit_s=clock.left_s, on_progress=_since(clock, on_progress), stop=stop)
    if found.status == "infeasible":
        return asked.refused(found, reasons_for(instance, clock))
    if found.status == "unknown":
        return replace(found, reasons=(_out_of_time(clock, time_limit_s),))
    if not _is_within_budget(job, found):
        refused = Plan(status=_too_dear_status(job, found), total_cents=None, bound_cents=None)
        return asked.refused(refused, (_too_dear(job, found),), cheapest=found)
    found = replace(found, checks=check_plan(instance.job, instance.catalogue, found))
    if not failures(found.checks):
        found = with_holds(instance.job, instance.catalogue, found)
    return replace(found, cautions=cautions_for(job, catalogue, found))


def _since(clock: Clock, on_progress: Callable[[Progress], None] | None) -> Callable[[Progress], None] | None:
    """Tells of progress with the time since the question was put, listing the candidates included."""
    if on_progress is None:
        return None
    tell = on_progress
    return lambda progress: tell(replace(progress, elapsed_s=clock.elapsed_s))


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was asked, with what is known of it."""

    job: Job
    catalogue: Catalogue
    instance: Instance
    clock: Clock
    build_s: float

    def refused(self, answer: Plan, reasons: tuple[Reason, ...], *, cheapest: Plan | None = None) -> Plan:
        """The answer that there is no plan, with the reasons and what would have to give."""
        found = ways_out(
            self.job, self.catalogue, self.instance, reasons, self.clock, cheapest=cheapest, build_s=self.build_s
        )
        return replace(answer, reasons=reasons, ways_out=found.ways, untried=found.untried)


# -- budget -------------------------------------------------------------------------------------------------------


def _is_within_budget(job: Job, found: Plan) -> bool:
    budget_cents = job.limits.budget_cents
    return budget_cents is None or found.total_cents is None or found.total_cents <= budget_cents


def _too_dear_status(job: Job, found: Plan) -> Literal["infeasible", "unknown"]:
    """No plan within the budget; without proof of that only that none was found."""
    assert job.limits.budget_cents is not None
    proven = found.bound_cents is not None and found.bound_cents > job.limits.budget_cents
    return "infeasible" if proven else "unknown"


def _too_dear(job: Job, found: Plan) -> Reason:
    assert job.limits.budget_cents is not None
    assert found.total_cents is not None
    best = "The cheapest plan" if found.status == "optimal" else "The cheapest plan found so far"
    text = f"{best} costs {money(found.total_cents)}, the budget is {money(job.limits.budget_cents)}"
    if found.status != "optimal" and found.bound_cents is not None:
        text += f"; no plan costs less than {money(found.bound_cents)}"
    if _too_dear_status(job, found) == "unknown":
        text += ", so one within the budget may still exist. Allow more time"
    return Reason(subject="budget", text=f"{text}.", rule="budget")


def _out_of_time(clock: Clock, time_limit_s: float | None) -> Reason:
    if clock.stop is not None and clock.stop.is_set():
        text = f"Stopped after {clock.elapsed_s:.0f} s, before a first plan; that does not mean there is none."
        return Reason(subject="search", text=text, rule="time")
    return Reason(
        subject="search",
        text=f"No plan was found within {time_limit_s or 0:g} s; that does not mean there is none. Allow more time.",
        rule="time",
    )
