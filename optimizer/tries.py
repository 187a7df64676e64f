"""Changed jobs, asked whether they have a plan and solved, as far as the time goes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from optimizer.catalogue import Catalogue, Part
from optimizer.changes import changed
from optimizer.checks import check_plan, failures
from optimizer.frugal import least_average_w, most_available_w
from optimizer.job import Job
from optimizer.knob import Knob, Step
from optimizer.plan import Plan, WayOut
from optimizer.solve.instance import Instance, build
from optimizer.solving import Clock, Instances, cheapest_plan, has_plan
from optimizer.units import FORGIVEN

_QUESTION_S = 4.0  # for whether a plan exists
_SOLVE_S = 8.0  # for the cheapest one: after that the best so far with its gap
_PRICED = 3  # questions to narrow a step down where each takes a whole search


class OutOfTime(Exception):
    """There is not enough time left to find out."""


@dataclass(slots=True)
class Pace:
    """The time there is, and what one question takes besides the search itself."""

    clock: Clock
    build_s: float = 0.0  # enumerating the feeds of the whole job
    overhead_s: float = 0.0  # building a model and reading it, the longest so far

    def part(self, share: float) -> Pace:
        """The same with a share of the time left."""
        return Pace(Clock(share * self.clock.left_s, self.clock.stop), self.build_s, self.overhead_s)

    @contextmanager
    def granted(self, most_s: float, share: float) -> Iterator[float]:
        """A time limit for one search, such that all around it fits into what is left.

        Args:
            share: Of the loads whose feeds have to be enumerated first (0-1).
        """
        ahead_s = self.overhead_s + share * self.build_s
        limit_s = min(most_s, self.clock.left_s - ahead_s)
        if limit_s <= 0:
            raise OutOfTime
        started_s = self.clock.elapsed_s
        yield limit_s
        took_s = self.clock.elapsed_s - started_s
        self.overhead_s = max(self.overhead_s, took_s - limit_s - share * self.build_s)


@dataclass(frozen=True, slots=True)
class Turned:
    """A knob at a step, with what came of it."""

    knob: Knob
    at: int
    way: WayOut


class Tries:
    """One job and what becomes of it when something gives."""

    def __init__(
        self, job: Job, catalogue: Catalogue, instance: Instance, pace: Pace, *, by_price: bool = False
    ) -> None:
        """By price: where only the budget is in the way, and whether a plan exists is a matter of the cheapest."""
        self._job = job
        self._catalogue = catalogue
        self._instances = Instances(instance, catalogue)
        self._pace = pace
        self._by_price = by_price
        self._solutions: dict[Step, Plan] = {}

    def turned(self, knob: Knob) -> Turned | None:
        """The least step of a knob that leaves a plan, solved; None where none does. Raises OutOfTime."""
        at, proven = knob.guess, knob.proven
        if at is None and knob.scope:
            at, proven = self._least_step(knob, 0, knob.scope)
            if at is None:
                return None
        plan = None if at is None else self._solved(knob.steps[at])
        if plan is None:
            at, proven = self._least_step(knob, at or 0)
            plan = None if at is None else self._solved(knob.steps[at])
        return None if plan is None or at is None else Turned(knob, at, _way(knob, at, plan, proven))

    def tightened(self, found: Turned) -> Turned:
        """Fewer steps while they leave a plan and time is left; a guess is not always the least."""
        try:
            while not found.way.least and found.at > 0:
                at = found.at - 1
                answer = self._leaves_a_plan(found.knob.steps[at])
                if answer is False:
                    return Turned(found.knob, found.at, replace(found.way, least=True))
                plan = self._solved(found.knob.steps[at]) if answer else None
                if plan is None:
                    return found
                found = Turned(found.knob, at, _way(found.knob, at, plan, at == 0))
        except OutOfTime:
            pass
        return found

    def _least_step(self, knob: Knob, low: int, scope: frozenset[str] = frozenset()) -> tuple[int | None, bool]:
        """The least step from a lower one on that leaves a plan, and whether the one before it is proven not to.

        Args:
            scope: Only these loads of the job; all of them where it is empty.
        """
        high, proven = len(knob.steps) - 1, low == 0 or knob.proven
        if low > high or not self._leaves_a_plan(knob.steps[high], scope, surely=True):
            return None, False
        questions = _PRICED if self._by_price else len(knob.steps)
        while low < high and questions:
            questions -= 1
            middle = (low + high) // 2
            answer = self._leaves_a_plan(knob.steps[middle], scope)
            if answer:
                high = middle
            else:
                low, proven = middle + 1, answer is False
        return high, proven and low == high

    def _leaves_a_plan(self, step: Step, scope: frozenset[str] = frozenset(), *, surely: bool = False) -> bool | None:
        """Whether a step leaves a plan; None, or OutOfTime where it has to be sure, if its time did not do."""
        job = self._after(step, scope)
        if self._by_price:
            return self._is_affordable(step, job.limits.budget_cents, surely=surely)
        with self._pace.granted(_QUESTION_S, self._share(step, job)) as limit_s:
            instance = self._instance(step, job, scope)
            if _is_plainly_without(instance):
                return False
            answer = has_plan(instance, time_limit_s=limit_s, budget_cents=job.limits.budget_cents)
        if answer is None and surely:
            raise OutOfTime
        return answer

    def _is_affordable(self, step: Step, budget_cents: int | None, *, surely: bool) -> bool | None:
        plan = self._cheapest(step)
        if plan is None or budget_cents is None or plan.total_cents is None:
            return plan is not None and plan.total_cents is not None
        if plan.total_cents <= budget_cents:
            return True
        if plan.bound_cents is not None and plan.bound_cents > budget_cents:
            return False
        if surely:
            raise OutOfTime
        return None

    def _solved(self, step: Step) -> Plan | None:
        """The cheapest plan of a step within the budget, sound by the checks."""
        plan, budget_cents = self._cheapest(step), self._job.limits.budget_cents
        if plan is None or plan.total_cents is None or (budget_cents is not None and plan.total_cents > budget_cents):
            return None
        return plan if self._is_sound(step, plan) else None

    def _cheapest(self, step: Step) -> Plan | None:
        """The cheapest plan of a step whatever the budget; None where there is none."""
        if step in self._solutions:
            return self._solutions[step]
        job = self._after(step)
        with self._pace.granted(_SOLVE_S, self._share(step, job)) as limit_s:
            instance = self._instance(step, job)
            if _is_plainly_without(instance):
                return None
            plan = cheapest_plan(instance, time_limit_s=limit_s, stop=self._pace.clock.stop, by_price_alone=True)
        if plan.status == "unknown":
            raise OutOfTime
        self._solutions[step] = plan
        return plan

    def _is_sound(self, step: Step, plan: Plan) -> bool:
        """By the checks, and with the fault current as it is: more of it is no help at the far end."""
        job, catalogue = self._after(step), self._catalogue_of(step)
        as_is = replace(job, bus=replace(job.bus, fault_a=self._job.bus.fault_a))
        return not any(failures(check_plan(each, catalogue, plan)) for each in (job, as_is))

    def _catalogue_of(self, step: Step) -> Catalogue:
        return self._catalogue if step.part is None else with_part(self._catalogue, step.part)

    def _after(self, step: Step, scope: frozenset[str] = frozenset()) -> Job:
        job = changed(self._job, step.change)
        return replace(job, loads=tuple(load for load in job.loads if load.id in scope)) if scope else job

    def _share(self, step: Step, job: Job) -> float:
        """How much of the feeds has to be enumerated again (0-1)."""
        if step.part is not None or len(job.loads) < len(self._job.loads):
            return len(job.loads) / len(self._job.loads)
        return self._instances.share(job)

    def _instance(self, step: Step, job: Job, scope: frozenset[str] = frozenset()) -> Instance:
        if step.part is None and not scope:
            return self._instances.of(job)
        return build(job, self._catalogue_of(step))


def with_part(catalogue: Catalogue, part: Part) -> Catalogue:
    """The catalogue with a part as it would have to be, in place of the one of its id."""
    return replace(catalogue, parts=tuple(part if each.id == part.id else each for each in catalogue.parts))


def _is_plainly_without(instance: Instance) -> bool:
    """Whether no plan can exist, by what needs no solver."""
    if any(instance.is_stuck(load) for load in instance.loads):
        return True
    return least_average_w(instance) > most_available_w(instance) * (1 + FORGIVEN)


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
