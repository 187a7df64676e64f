"""What would have to give for a plan to exist: each way out is a really solved job, cheapest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations

from optimizer.catalogue import Catalogue
from optimizer.changes import changed
from optimizer.job import Job
from optimizer.knobs import Knob, knobs_of, without_knobs
from optimizer.near_parts import part_knobs
from optimizer.plan import Change, Plan, Reason, WayOut
from optimizer.shortfalls import money
from optimizer.solve.instance import Instance, build
from optimizer.solving import Clock
from optimizer.tries import OutOfTime, Pace, Tries, Turned

MOST_S = 30.0  # for all of them together


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
    build_s: float = 0.0,
) -> Found:
    """Every single change that leaves a plan, as far as the time goes.

    Args:
        instance: Of that job.
        reasons: What stands in the way; changes that ease none of it are tried last.
        clock: Of the whole; not more than MOST_S is used.
        cheapest: The cheapest plan where only the budget stands in the way.
        build_s: What it took to build the instance.
    """
    pace = Pace(Clock(min(clock.left_s, MOST_S), clock.stop), build_s)
    broken = {reason.rule for reason in reasons}
    knobs = [*part_knobs(job, instance), *knobs_of(job, instance)]
    likely = [knob for knob in knobs if knob.steps and knob.eases & broken]
    if cheapest is not None:  # guesses are about energy, not about money
        likely = [replace(knob, guess=None, proven=False, scope=frozenset()) for knob in likely]
    tries = Tries(job, catalogue, instance, pace, by_price=cheapest is not None)
    turned, untried = _each(tries, likely)
    ways = [tries.tightened(each).way for each in turned]
    if not ways and not untried:
        ways, untried = _pairs(job, catalogue, likely, broken, pace)
    if not ways and cheapest is None:
        turned, missed = _each(tries, list(without_knobs(job)))
        ways, untried = [each.way for each in turned], untried + missed
    return Found(tuple(sorted([*_money(job, cheapest), *ways], key=_cheapest_first)), untried)


def _each(tries: Tries, knobs: list[Knob]) -> tuple[list[Turned], tuple[str, ...]]:
    """Every knob on its own, and those that time did not reach."""
    turned: list[Turned] = []
    untried = []
    for knob in knobs:
        if knob.last_resort and any(each.knob.limit == knob.limit for each in turned):
            continue
        try:
            found = tries.turned(knob)
        except OutOfTime:
            untried.append(knob.subject)
        else:
            turned += [] if found is None else [found]
    return turned, tuple(untried)


def _pairs(
    job: Job, catalogue: Catalogue, knobs: list[Knob], broken: set[str], pace: Pace
) -> tuple[list[WayOut], tuple[str, ...]]:
    """Where no single change is enough: two together, each for what the other does not ease."""
    ways: dict[tuple[str, str, int], WayOut] = {}
    for first, second in combinations([knob for knob in knobs if knob.steps[-1].change], 2):
        if not first.eases & broken or not second.eases & broken or first.eases & second.eases & broken:
            continue
        if (first.last_resort or second.last_resort) and any(key[:2] == (first.limit, second.limit) for key in ways):
            continue
        try:
            way = _pair(job, catalogue, first, second, pace)
        except OutOfTime:
            return list(ways.values()), ("other pairs of changes",)
        if way is not None:
            ways[first.limit, second.limit, len(ways)] = way
    return list(ways.values()), ()


def _pair(job: Job, catalogue: Catalogue, first: Knob, second: Knob, pace: Pace) -> WayOut | None:
    """The second as little as it goes with the first turned fully, then the first as little as that allows."""
    found = _turned_on(changed(job, first.steps[-1].change), catalogue, second, pace)
    if found is None:
        return None
    back = _turned_on(changed(job, found.way.change), catalogue, first, pace)
    if back is None:
        return None
    text = f"{back.way.text}, and {found.way.text[0].lower()}{found.way.text[1:]}"
    uncounted = " and ".join(filter(None, (back.way.uncounted, found.way.uncounted)))
    return replace(back.way, text=text, change=back.way.change + found.way.change, uncounted=uncounted)


def _turned_on(job: Job, catalogue: Catalogue, knob: Knob, pace: Pace) -> Turned | None:
    if pace.clock.left_s <= pace.build_s:
        raise OutOfTime
    return Tries(job, catalogue, build(job, catalogue), pace).turned(knob)


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
