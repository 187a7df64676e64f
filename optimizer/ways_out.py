"""What would have to give for a plan to exist: each way out is a really solved job, cheapest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from optimizer.catalogue import Catalogue, Part
from optimizer.changes import changed
from optimizer.checks import check_plan, failures
from optimizer.frugal import least_average_w, most_available_w
from optimizer.job import Job
from optimizer.knobs import Knob, Step, knobs_of
from optimizer.plan import Change, Plan, Reason, WayOut
from optimizer.shortfalls import money
from optimizer.solve.instance import Instance, build
from optimizer.solving import Clock, Instances, cheapest_plan, has_plan

MOST_S = 30.0  # for all of them together
_QUESTION_S = 4.0  # for whether a plan exists
_SOLVE_S = 8.0  # for the cheapest one: after that the best so far with its gap
_DUST = 1e-9


@dataclass(slots=True)
class Found:
    """Ways out, and what there was no time for."""

    ways: tuple[WayOut, ...] = ()
    untried: tuple[str, ...] = ()


def ways_out(
    job: Job,
    catalogue: Catalogue,
    instance: Instance,
    reasons: Iterable[Reason],
    clock: Clock,
    *,
    cheapest: Plan | None = None,
) -> Found:
    """Every single change that leaves a plan, as far as the time goes.

    Args:
        instance: Of that job.
        reasons: What stands in the way; changes that ease none of it are tried last.
        clock: Of the whole; not more than MOST_S is used.
        cheapest: The cheapest plan where only the budget stands in the way.
    """
    clock = Clock(min(clock.left_s, MOST_S), clock.stop)
    broken = {reason.rule for reason in reasons}
    knobs = list(knobs_of(job, instance))
    likely = [knob for knob in knobs if knob.steps and knob.eases & broken]
    tries = _Tries(job, catalogue, instance, clock)
    found = [*_money(job, cheapest)]
    untried = []
    for n, knob in enumerate(likely):
        if knob.last_resort and any(way.limit == knob.limit for way in found):
            continue
        if clock.left_s <= 0:
            untried.append(knob.subject)
            continue
        way = tries.turned(knob, len(likely) - n)
        if way is not None:
            found.append(way)
        elif clock.left_s <= 0:
            untried.append(knob.subject)
    return Found(tuple(sorted(found, key=_cheapest_first)), tuple(untried))


def _cheapest_first(way: WayOut) -> tuple[bool, int, str]:
    return (bool(way.uncounted), way.total_cents, way.text)


def _money(job: Job, cheapest: Plan | None) -> Iterable[WayOut]:
    budget_cents = job.limits.budget_cents
    if cheapest is None or budget_cents is None or cheapest.total_cents is None:
        return
    total_cents = cheapest.total_cents
    yield WayOut(
        text=f"{money(total_cents - budget_cents)} more: a budget of {money(total_cents)}",
        limit="budget_cents",
        change=(Change(pointer="limits/budget_cents", value=total_cents),),
        total_cents=total_cents,
        bound_cents=cheapest.bound_cents,
        status=cheapest.status,
        least=cheapest.status == "optimal",
    )


class _Tries:
    """Changed jobs, asked about and solved."""

    def __init__(self, job: Job, catalogue: Catalogue, instance: Instance, clock: Clock) -> None:
        self._job = job
        self._catalogue = catalogue
        self._instances = Instances(instance, catalogue)
        self._clock = clock

    def turned(self, knob: Knob, left: int) -> WayOut | None:
        """The least step of a knob that leaves a plan, solved; None where none does or time runs out.

        Args:
            left: How many knobs share the time that is left, this one included.
        """
        until_s = self._clock.elapsed_s + max(self._clock.left_s / left, min(self._clock.left_s, _QUESTION_S))
        at, proven = knob.guess, knob.proven
        if at is None and knob.scope:
            at, proven = self._least_step(knob, 0, until_s, knob.scope)
            if at is None:
                return None
        plan = None if at is None else self._solved(knob.steps[at], until_s)
        if plan is None:
            at, proven = self._least_step(knob, at or 0, until_s)
            plan = None if at is None else self._solved(knob.steps[at], until_s)
        return None if plan is None or at is None else _way(knob, at, plan, proven)

    def _least_step(
        self, knob: Knob, low: int, until_s: float, scope: frozenset[str] = frozenset()
    ) -> tuple[int | None, bool]:
        """The least step from a lower one on that leaves a plan, and whether the one before it is proven not to.

        Args:
            scope: Only these loads of the job; all of them where it is empty.
        """
        high, proven = len(knob.steps) - 1, low == 0 or knob.proven
        if low > high or self._leaves_a_plan(knob.steps[high], until_s, scope) is not True:
            return None, False
        while low < high:
            middle = (low + high) // 2
            answer = self._leaves_a_plan(knob.steps[middle], until_s, scope)
            if answer:
                high = middle
            else:
                low, proven = middle + 1, answer is False
        return high, proven

    def _leaves_a_plan(self, step: Step, until_s: float, scope: frozenset[str]) -> bool | None:
        if self._left_s(until_s) <= 0:
            return None
        instance = self._instance(step, scope)
        if _is_plainly_without(instance):
            return False
        budget_cents = instance.job.limits.budget_cents
        return has_plan(instance, time_limit_s=min(self._left_s(until_s), _QUESTION_S), budget_cents=budget_cents)

    def _solved(self, step: Step, until_s: float) -> Plan | None:
        if self._left_s(until_s) <= 0:
            return None
        instance = self._instance(step)
        limit_s = min(self._left_s(until_s), _SOLVE_S)
        if limit_s <= 0 or _is_plainly_without(instance):
            return None
        plan = cheapest_plan(instance, time_limit_s=limit_s, stop=self._clock.stop)
        if not plan.has_answer or plan.total_cents is None:
            return None
        budget_cents = instance.job.limits.budget_cents
        if budget_cents is not None and plan.total_cents > budget_cents:
            return None
        return plan if self._is_sound(instance, plan) else None

    def _is_sound(self, instance: Instance, plan: Plan) -> bool:
        """By the checks, and with the fault current as it is: more of it is no help at the far end."""
        as_is = replace(instance.job, bus=replace(instance.job.bus, fault_a=self._job.bus.fault_a))
        checked = (check_plan(instance.job, instance.catalogue, plan), check_plan(as_is, instance.catalogue, plan))
        return not any(failures(checks) for checks in checked)

    def _instance(self, step: Step, scope: frozenset[str] = frozenset()) -> Instance:
        job = changed(self._job, step.change)
        if step.part is None and not scope:
            return self._instances.of(job)
        if scope:
            job = replace(job, loads=tuple(load for load in job.loads if load.id in scope))
        return build(job, self._catalogue if step.part is None else _with_part(self._catalogue, step.part))

    def _left_s(self, until_s: float) -> float:
        return min(self._clock.left_s, until_s - self._clock.elapsed_s)


def _with_part(catalogue: Catalogue, part: Part) -> Catalogue:
    return replace(catalogue, parts=tuple(part if each.id == part.id else each for each in catalogue.parts))


def _is_plainly_without(instance: Instance) -> bool:
    """Whether no plan can exist, by what needs no solver."""
    if any(not instance.options[load.id] and not instance.may_use_ac(load) for load in instance.loads):
        return True
    if instance.job.limits.share_stages:
        return not instance.banks
    return least_average_w(instance) > most_available_w(instance) * (1 + _DUST)


def _way(knob: Knob, at: int, plan: Plan, proven: bool) -> WayOut:
    assert plan.total_cents is not None
    return WayOut(
        text=knob.words(at, plan),
        limit=knob.limit,
        change=knob.steps[at].change,
        total_cents=plan.total_cents,
        bound_cents=plan.bound_cents,
        status=plan.status,
        least=proven,
        uncounted=knob.uncounted,
    )
