"""What would have to give for a plan to exist: each way out is a really solved job, cheapest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations

from optimizer.catalogue import Catalogue, Part
from optimizer.changes import changed
from optimizer.checks import check_plan, failures
from optimizer.frugal import least_average_w, most_available_w
from optimizer.job import Job
from optimizer.knobs import Knob, Step, knobs_of
from optimizer.near_parts import part_knobs
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


@dataclass(frozen=True, slots=True)
class _Turned:
    """A knob at a step, with what came of it."""

    knob: Knob
    at: int
    way: WayOut


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
    knobs = [*part_knobs(job, instance), *knobs_of(job, instance)]
    likely = [knob for knob in knobs if knob.steps and knob.eases & broken]
    if cheapest is not None:  # guesses are about energy, not about money
        likely = [replace(knob, guess=None, proven=False) for knob in likely]
    tries = _Tries(job, catalogue, instance, clock)
    turned, untried = _each(tries, likely, clock)
    turned = [tries.tightened(each) for each in turned]
    ways = [each.way for each in turned]
    if not ways and likely:
        ways = _pairs(job, catalogue, likely, broken, clock)
        untried += ("other pairs of changes",) if clock.left_s <= 0 else ()
    return Found(tuple(sorted([*_money(job, cheapest), *ways], key=_cheapest_first)), untried)


def _each(tries: _Tries, knobs: list[Knob], clock: Clock) -> tuple[list[_Turned], tuple[str, ...]]:
    """Every knob on its own, and those that time did not reach."""
    turned: list[_Turned] = []
    untried = []
    for n, knob in enumerate(knobs):
        if knob.last_resort and any(each.knob.limit == knob.limit for each in turned):
            continue
        found = tries.turned(knob, len(knobs) - n)
        if found is not None:
            turned.append(found)
        elif clock.left_s <= 0:
            untried.append(knob.subject)
    return turned, tuple(untried)


def _pairs(job: Job, catalogue: Catalogue, knobs: list[Knob], broken: set[str], clock: Clock) -> list[WayOut]:
    """Where no single change is enough: two together, each for what the other does not ease."""
    ways: dict[tuple[str, str, int], WayOut] = {}
    for first, second in combinations([knob for knob in knobs if knob.steps[-1].change], 2):
        if not first.eases & broken or not second.eases & broken or first.eases & second.eases & broken:
            continue
        if (first.last_resort or second.last_resort) and any(key[:2] == (first.limit, second.limit) for key in ways):
            continue
        way = _pair(job, catalogue, first, second, clock)
        if way is not None:
            ways[first.limit, second.limit, len(ways)] = way
    return list(ways.values())


def _pair(job: Job, catalogue: Catalogue, first: Knob, second: Knob, clock: Clock) -> WayOut | None:
    """The second as little as it goes with the first turned fully, then the first as little as that allows."""
    wide = changed(job, first.steps[-1].change)
    found = _turned_on(wide, catalogue, second, clock)
    if found is None:
        return None
    narrow = changed(job, found.way.change)
    back = _turned_on(narrow, catalogue, first, clock)
    if back is None:
        return None
    text = f"{back.way.text}, and {found.way.text[0].lower()}{found.way.text[1:]}"
    uncounted = " and ".join(filter(None, (back.way.uncounted, found.way.uncounted)))
    return replace(back.way, text=text, change=back.way.change + found.way.change, uncounted=uncounted)


def _turned_on(job: Job, catalogue: Catalogue, knob: Knob, clock: Clock) -> _Turned | None:
    if clock.left_s <= 0:
        return None
    return _Tries(job, catalogue, build(job, catalogue), clock).turned(knob, 2)


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

    def turned(self, knob: Knob, left: int) -> _Turned | None:
        """The least step of a knob that leaves a plan, solved; None where none does or time runs out.

        Args:
            left: How many knobs share the time that is left, this one included.
        """
        if self._clock.left_s <= 0:
            return None
        until_s = self._clock.elapsed_s + max(self._clock.left_s / left, _QUESTION_S + _SOLVE_S)
        at, proven = knob.guess, knob.proven
        if at is None and knob.scope:
            at, proven = self._least_step(knob, 0, until_s, knob.scope)
            if at is None:
                return None
        plan = None if at is None else self._solved(knob.steps[at], until_s)
        if plan is None:
            at, proven = self._least_step(knob, at or 0, until_s)
            plan = None if at is None else self._solved(knob.steps[at], until_s)
        return None if plan is None or at is None else _Turned(knob, at, _way(knob, at, plan, proven))

    def tightened(self, found: _Turned) -> _Turned:
        """Fewer steps while they leave a plan and time is left; a guess is not always the least."""
        while not found.way.least and found.at > 0 and self._clock.left_s > 0:
            at, until_s = found.at - 1, self._clock.elapsed_s + _QUESTION_S + _SOLVE_S
            answer = self._leaves_a_plan(found.knob.steps[at], until_s, frozenset())
            if answer is False:
                return _Turned(found.knob, found.at, replace(found.way, least=True))
            plan = self._solved(found.knob.steps[at], until_s) if answer else None
            if plan is None:
                return found
            found = _Turned(found.knob, at, _way(found.knob, at, plan, False))
        return replace(found, way=replace(found.way, least=True)) if found.at == 0 else found

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
