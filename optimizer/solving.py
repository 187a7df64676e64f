"""Where everything outside the model puts its questions to it: the cheapest plan, or whether there is one.

The only file that planner, explain's companions and the ways out need to know of `solve`.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal

from ortools.sat.python import cp_model

from optimizer.by_hand import Answer, by_hand, improved
from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan, failures
from optimizer.job import Job, Load
from optimizer.plan import Plan
from optimizer.prices import PriceBounds
from optimizer.progress import Progress
from optimizer.solve.banks import bank_options
from optimizer.solve.best import Best
from optimizer.solve.circuits import is_restricted
from optimizer.solve.engine import new_solver
from optimizer.solve.instance import Instance, build, canonical
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.readout import read_plan
from optimizer.solve.search import Search, Solved
from optimizer.solve.sure_price import surely_spent_cents
from optimizer.solve.variables import total
from optimizer.units import AGAINST_US, WITH_US

NO_LIMIT_S = 1e6
_MOMENT_S = 0.01


@dataclass(slots=True)
class Clock:
    """What is left of a time limit; nothing once somebody has asked to stop."""

    limit_s: float
    stop: threading.Event | None = None
    started_s: float = field(default_factory=time.monotonic)

    @property
    def elapsed_s(self) -> float:
        return time.monotonic() - self.started_s

    @property
    def left_s(self) -> float:
        if self.stop is not None and self.stop.is_set():
            return 0.0
        return max(0.0, self.limit_s - self.elapsed_s)


def cheapest_plan(
    instance: Instance,
    *,
    time_limit_s: float | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
    by_price_alone: bool = False,
) -> Plan:
    """The cheapest plan of an instance whatever the budget, as yet without checks, cautions and reasons.

    Sums are rounded with us first, so that exact ties are within their limits (planning rules: every limit is ≤). Where
    the plan then breaks a rule by a hair, it is asked for again with sums rounded against us.

    Args: by_price_alone: Only the price is asked for: any plan of that price will do.
    """
    clock = Clock(NO_LIMIT_S if time_limit_s is None else time_limit_s, stop)
    nothing = Plan(status="unknown", total_cents=None, bound_cents=None)
    if stop is not None and stop.is_set():
        return nothing
    instance = replace(instance, job=_whatever_the_budget(instance.job))
    answer, on_paper = _by_hand(instance, _telling(on_progress, clock))
    if clock.left_s <= 0:
        return on_paper or nothing
    found = nothing
    for rounding in (WITH_US, AGAINST_US):
        built = build_model(replace(instance, rounding=rounding))
        limit_s = max(clock.left_s, _MOMENT_S)
        known_cents = on_paper.total_cents if on_paper else None
        search = Search(
            built, limit_s, on_progress, stop, answer, known_cents=known_cents, by_price_alone=by_price_alone
        )
        solved = search.run()
        found = _plan_of(solved, built, on_paper)
        if not found.has_answer or not failures(check_plan(instance.job, instance.catalogue, found)):
            break
    return found


def _whatever_the_budget(job: Job) -> Job:
    return replace(job, limits=replace(job.limits, budget_cents=None))


def _plan_of(solved: Solved, built: PlanModel, on_paper: Plan | None) -> Plan:
    """The best of what a search and hands came to."""
    if solved.status == "infeasible":
        return Plan(status="infeasible", total_cents=None, bound_cents=None)
    others = [on_paper, solved.cheaper.plan if solved.cheaper else None]
    best = min((other for other in others if other is not None), key=_total_cents, default=None)
    if best is not None and (solved.total_cents is None or _total_cents(best) < solved.total_cents):
        return _with_bound(best, max(best.bound_cents or 0, solved.bound_cents or 0))
    if solved.total_cents is None:
        return Plan(status="unknown", total_cents=None, bound_cents=None)
    return read_plan(built.v.instance, built, solved)


def _total_cents(found: Plan) -> int:
    assert found.total_cents is not None
    return found.total_cents


def _telling(on_progress: Callable[[Progress], None] | None, clock: Clock) -> Callable[[Plan], None] | None:
    """Tells of a plan, where anybody listens."""
    if on_progress is None:
        return None
    return lambda found: on_progress(
        Progress(best_cents=found.total_cents, bound_cents=found.bound_cents, elapsed_s=clock.elapsed_s)
    )


def _by_hand(instance: Instance, tell: Callable[[Plan], None] | None) -> tuple[Answer | None, Plan | None]:
    """What a careful person comes to after a second look, with the plan if it passes every check.

    It is there before the model is built. Where anybody listens, the plan before the second look is told already.
    """
    bound_cents = surely_spent_cents(instance)
    first = None
    if tell is not None:
        first = _sound(instance, by_hand(instance), bound_cents)
        if first is not None:
            tell(first)
    answer = improved(instance)
    found = _sound(instance, answer, bound_cents)
    if tell is not None and found is not None and (first is None or _total_cents(found) < _total_cents(first)):
        tell(found)
    return answer, found


def _sound(instance: Instance, answer: Answer | None, bound_cents: int) -> Plan | None:
    """The plan of an answer if it passes every check."""
    if answer is None:
        return None
    found = _with_bound(answer.plan, bound_cents)
    return None if failures(check_plan(instance.job, instance.catalogue, found)) else found


def _with_bound(found: Plan, bound_cents: int) -> Plan:
    """A plan with what no plan costs less than; nothing is cheaper where they meet."""
    total_cents = _total_cents(found)
    status: Literal["optimal", "feasible"] = "optimal" if bound_cents >= total_cents else "feasible"
    return replace(found, status=status, bound_cents=min(bound_cents, total_cents))


def has_plan(instance: Instance, *, time_limit_s: float, budget_cents: int | None = None) -> bool | None:
    """Whether an instance has any plan, within a budget if one is given; None where the time did not do.

    A careful person's is one, and sooner there than a model is built. In the model sums are rounded as for the cheapest
    plan: with us first, and against us where that breaks a rule by a hair.
    """
    clock = Clock(time_limit_s)
    if clock.left_s <= 0:
        return None
    on_paper = _sound(replace(instance, job=_whatever_the_budget(instance.job)), by_hand(instance), 0)
    if on_paper is not None and (budget_cents is None or _total_cents(on_paper) <= budget_cents):
        return True
    for rounding in (WITH_US, AGAINST_US):
        if clock.left_s <= 0:
            return None
        built = build_model(replace(instance, rounding=rounding))
        if budget_cents is not None:
            built.cp.add(total(built.bought.cost) <= budget_cents)
        solver = new_solver(limit_s=max(clock.left_s, _MOMENT_S))
        status = solver.solve(built.cp)
        if status == cp_model.INFEASIBLE:
            return False if rounding is WITH_US and not is_restricted(instance) else None
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        if rounding is AGAINST_US or _holds(built, list(solver.response_proto.solution)):
            return True
    return None


def _holds(built: PlanModel, solution: list[int]) -> bool:
    """Whether a solution can be cut and passes every check."""
    instance = built.v.instance
    best = Best(built, None, None, None, None, is_worked_over=False)
    if not best.consider(solution):
        return False
    found = read_plan(instance, built, Solved("feasible", best.cost_cents, 0, best.value, best.packed))
    return not failures(check_plan(_whatever_the_budget(instance.job), instance.catalogue, found))


class Instances:
    """Instances of one job and of changed ones. Enumerating feeds is the slow part: it is not done again in vain."""

    def __init__(self, instance: Instance, catalogue: Catalogue) -> None:
        self.base = instance
        self._catalogue = catalogue

    def of(self, job: Job) -> Instance:
        """The instance of a job, as far as it goes from what was worked out for the first one.

        Feeds depend on their own load and on those at its place; banks on nothing but the bus and the hours.
        """
        job, catalogue = canonical(job, self._catalogue)
        there = self._touched(job)
        if there is None:
            return build(job, catalogue)
        options, boosted = self.base.options, self.base.boosted
        if there:
            anew = build(replace(job, loads=there), catalogue)
            options, boosted = options | anew.options, boosted | anew.boosted
        banks = bank_options(job, catalogue, PriceBounds(job, catalogue))
        return replace(self.base, job=job, loads=job.loads, options=options, boosted=boosted, banks=banks)

    def share(self, job: Job) -> float:
        """How much of the feeds `of` enumerates for a job (0-1)."""
        job, _ = canonical(job, self._catalogue)
        there = self._touched(job)
        return 1.0 if there is None else len(there) / max(len(job.loads), 1)

    def _touched(self, job: Job) -> tuple[Load, ...] | None:
        """The loads whose feeds may be others than in the first job; None where all may be."""
        first = self.base.job
        as_before = replace(
            job,
            bank=first.bank,
            limits=replace(job.limits, autonomy_h=first.limits.autonomy_h, budget_cents=first.limits.budget_cents),
            bus=replace(job.bus, spare_ways=first.bus.spare_ways),
            loads=first.loads,
        )
        homes = [(load.id, load.place) for load in job.loads]
        if as_before != first or homes != [(load.id, load.place) for load in first.loads]:
            return None
        places = {load.place for load, before in zip(job.loads, first.loads, strict=True) if load != before}
        return tuple(load for load in job.loads if load.place in places)
