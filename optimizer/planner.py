"""The only door: a job and a catalogue in, a checked plan out."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from optimizer.catalogue import Catalogue
from optimizer.cautions import cautions_for
from optimizer.checks import check_plan
from optimizer.errors import InvalidInput
from optimizer.explain import reasons_for
from optimizer.job import Job
from optimizer.plan import Plan, Reason
from optimizer.progress import Progress
from optimizer.scope import refuse_out_of_scope
from optimizer.shortfalls import money
from optimizer.solve.instance import build
from optimizer.solving import NO_LIMIT_S, Clock, cheapest_plan


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
    found = cheapest_plan(instance, time_limit_s=time_limit_s, on_progress=on_progress, stop=stop)
    if found.status == "infeasible":
        return replace(found, reasons=reasons_for(instance))
    if found.status == "unknown":
        return replace(found, reasons=(_out_of_time(clock, time_limit_s),))
    if not _is_within_budget(job, found):
        return _too_dear(job, found)
    found = replace(found, checks=check_plan(instance.job, instance.catalogue, found))
    return replace(found, cautions=cautions_for(job, catalogue, found))


# -- budget -------------------------------------------------------------------------------------------------------


def _is_within_budget(job: Job, found: Plan) -> bool:
    budget_cents = job.limits.budget_cents
    return budget_cents is None or found.total_cents is None or found.total_cents <= budget_cents


def _too_dear(job: Job, found: Plan) -> Plan:
    """No plan within the budget; without proof of that only that none was found."""
    budget_cents, total_cents, bound_cents = job.limits.budget_cents, found.total_cents, found.bound_cents
    assert budget_cents is not None
    assert total_cents is not None
    proven = bound_cents is not None and bound_cents > budget_cents
    best = "the cheapest plan" if found.status == "optimal" else "the cheapest plan found so far"
    text = f"{best[0].upper()}{best[1:]} costs {money(total_cents)}, the budget is {money(budget_cents)}"
    if found.status != "optimal" and bound_cents is not None:
        text += f"; no plan costs less than {money(bound_cents)}"
    if not proven:
        text += ", so a cheaper one may still exist. Allow more time"
    reason = Reason(subject="budget", text=f"{text}.", rule="budget")
    return Plan(status="infeasible" if proven else "unknown", total_cents=None, bound_cents=None, reasons=(reason,))


def _out_of_time(clock: Clock, time_limit_s: float | None) -> Reason:
    if clock.stop is not None and clock.stop.is_set():
        text = f"Stopped after {clock.elapsed_s:.0f} s, before a first plan; that does not mean there is none."
        return Reason(subject="search", text=text, rule="time")
    return Reason(
        subject="search",
        text=f"No plan was found within {time_limit_s or 0:g} s; that does not mean there is none. Allow more time.",
        rule="time",
    )
