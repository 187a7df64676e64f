"""The only door: a job and a catalogue in, a checked plan out."""

from __future__ import annotations

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
from optimizer.solve.instance import build
from optimizer.solve.readout import read_plan
from optimizer.solve.search import Search, build_model


def plan(
    job: Job,
    catalogue: Catalogue,
    *,
    time_limit_s: float | None = None,
    on_progress: Callable[[Progress], None] | None = None,
) -> Plan:
    """The cheapest plan of a job by the planning rules, checked by code that does not know the solver.

    Args:
        time_limit_s: Stop after so long with the best plan so far; None: until proven. > 0. [s]
        on_progress: Called with every better plan.
    Raises:
        InvalidInput: The time limit is not above zero.
        Refused: Out of scope: more than 60 V DC, or no bank at all.
    """
    if time_limit_s is not None and not time_limit_s > 0:
        raise InvalidInput("time_limit_s", "Give more than 0 seconds.")
    refuse_out_of_scope(job, catalogue)
    instance = build(job, catalogue)
    built = build_model(instance)
    solved = Search(built, time_limit_s, on_progress).run()
    if solved.status == "infeasible":
        return Plan(status="infeasible", total_cents=None, bound_cents=None, reasons=reasons_for(instance))
    if solved.status == "unknown":
        return Plan(status="unknown", total_cents=None, bound_cents=None, reasons=(_out_of_time(time_limit_s),))
    answer = read_plan(instance, built, solved)
    answer = replace(answer, checks=check_plan(instance.job, instance.catalogue, answer))
    return replace(answer, cautions=cautions_for(job, catalogue, answer))


def _out_of_time(time_limit_s: float | None) -> Reason:
    return Reason(
        subject="search",
        text=f"No plan was found within {time_limit_s or 0:g} s; that does not mean there is none. Allow more time.",
        rule="time",
    )
