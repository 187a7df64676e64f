"""What would have to give for a plan to exist: each way out is a really solved job, cheapest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from optimizer.catalogue import Catalogue
from optimizer.changes import changed
from optimizer.explain import reasons_for, rules_in_the_way
from optimizer.job import Job
from optimizer.knob import Knob, Step
from optimizer.knobs import knobs_of, without_knobs
from optimizer.near_parts import part_knobs
from optimizer.plan import Change, Plan, Reason, WayOut
from optimizer.shortfalls import money
from optimizer.solve.instance import Instance, build
from optimizer.solving import Clock
from optimizer.tries import OutOfTime, Pace, Tries, Turned, with_part

_HIDES = {"feed", "stock"}  # while these are in the way, no other limit can be seen to be
_SHARE_OF_SEVERAL = 0.6  # of the time left: a job without one of its loads is told too
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
    broken = rules_in_the_way(reasons)
    knobs = [knob for knob in (*part_knobs(job, instance), *knobs_of(job, instance)) if knob.steps]
    likely = [knob for knob in knobs if knob.eases & broken]
    if cheapest is not None:
        ways, untried = _within_budget(job, catalogue, instance, likely, pace)
        return Found(tuple(sorted([*_money(job, cheapest), *ways], key=_cheapest_first)), untried)
    tries = Tries(job, catalogue, instance, pace)
    turned, untried = _each(tries, likely)
    if not turned and not untried:  # what was found in the way may not be all
        turned, untried = _each(tries, [knob for knob in knobs if not knob.eases & broken])
    ways = [tries.tightened(each).way for each in turned]
    if not ways and not untried:
        ways, untried = _several(job, catalogue, likely, broken, pace.part(_SHARE_OF_SEVERAL))
    if not ways:
        turned, missed = _each(tries, list(without_knobs(job)))
        ways, untried = [each.way for each in turned], untried + missed
    return Found(tuple(sorted(ways, key=_cheapest_first)), untried)


def _within_budget(
    job: Job, catalogue: Catalogue, instance: Instance, likely: Iterable[Knob], pace: Pace
) -> tuple[list[WayOut], tuple[str, ...]]:
    """Where there is a plan and only its price is too high: what saves enough, or else the job without a load."""
    knobs = [replace(knob, guess=None, proven=False, scope=frozenset()) for knob in likely]  # they guess at energy
    tries = Tries(job, catalogue, instance, pace.part(_SHARE_OF_SEVERAL), by_price=True)
    turned, untried = _each(tries, knobs)
    rest = Tries(job, catalogue, instance, pace, by_price=True)
    if turned:
        more, untried = _each(rest, [knob for knob in knobs if knob.subject in untried])
        return [rest.tightened(each).way for each in (*turned, *more)], untried
    turned, missed = _each(rest, list(without_knobs(job)))
    return [each.way for each in turned], untried + missed


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


def _several(
    job: Job, catalogue: Catalogue, knobs: list[Knob], broken: set[str], pace: Pace
) -> tuple[list[WayOut], tuple[str, ...]]:
    """Where no single change is enough: several together, as far as the time goes.

    Those for the limits known to be in the way first; others may come to light once one of these is out of it.
    """
    ways: dict[tuple[str, ...], WayOut] = {}
    tried: set[frozenset[str]] = set()  # in whichever order

    def together() -> Iterator[tuple[Knob, ...]]:
        yield from () if broken <= _HIDES else _known(knobs, broken)
        if not ways:
            yield from _behind(job, catalogue, knobs, pace)

    try:
        for some in together():
            subjects = frozenset(knob.subject for knob in some)
            if subjects in tried:
                continue
            tried.add(subjects)
            limits = tuple(knob.limit for knob in some)
            known = [key[:-1] for key in ways]
            if known and len(known[0]) < len(some):  # fewer are enough
                break
            if any(knob.last_resort for knob in some) and limits in known:
                continue
            way = _together(job, catalogue, some, pace)
            if way is not None:
                ways[(*limits, str(len(ways)))] = way
    except OutOfTime:
        return list(ways.values()), ("other changes together",)
    return list(ways.values()), ()


def _known(knobs: list[Knob], broken: set[str]) -> Iterator[tuple[Knob, ...]]:
    """Two knobs, then three, each for what the others do not ease."""
    able = [knob for knob in knobs if knob.steps[-1].change]
    for size in (2, 3):
        yield from (some for some in combinations(able, size) if _each_is_needed(some, broken))


def _behind(job: Job, catalogue: Catalogue, knobs: list[Knob], pace: Pace) -> Iterator[tuple[Knob, ...]]:
    """A knob, and one for what is in the way once that one is turned fully."""
    for first in knobs:
        if pace.clock.left_s <= pace.build_s:
            raise OutOfTime
        bent, on_offer = _turned_fully(job, catalogue, [first])
        instance = build(bent, on_offer)
        if any(instance.is_stuck(load) for load in instance.loads):
            continue
        rules = rules_in_the_way(reasons_for(instance, pace.clock))
        yield from ((first, second) for second in knobs_of(bent, instance) if second.steps and second.eases & rules)


def _each_is_needed(knobs: Sequence[Knob], broken: set[str]) -> bool:
    """Whether each eases something that the others do not; three have to ease all that is in the way."""
    eased = [knob.eases & broken for knob in knobs]
    if len(knobs) == 2:
        return bool(eased[0]) and bool(eased[1]) and not eased[0] & eased[1]
    alone = [one - set().union(*(other for m, other in enumerate(eased) if m != n)) for n, one in enumerate(eased)]
    return all(alone) and broken == set().union(*eased)


def _together(job: Job, catalogue: Catalogue, knobs: Sequence[Knob], pace: Pace) -> WayOut | None:
    """With all turned fully, each in turn as little as the others allow, from the last to the first."""
    found: list[Turned] = []
    for n in reversed(range(len(knobs))):
        fully = _turned_fully(job, catalogue, knobs[:n])
        turned = _turned_on(*_after(*fully, [each.knob.steps[each.at] for each in found]), knobs[n], pace)
        if turned is None:
            return None
        found.insert(0, turned)
    first, *others = (each.way for each in found)
    steps = [each.knob.steps[each.at] for each in found]
    is_of_the_job = all(step.part is None for step in steps)  # of a part that nobody sells nothing can be stated
    return replace(
        first,
        text=", and ".join([first.text, *(_inside(job, way.text) for way in others)]),
        change=tuple(change for step in steps for change in step.change) if is_of_the_job else (),
        uncounted=" and ".join(filter(None, (each.way.uncounted for each in found))),
    )


def _turned_fully(job: Job, catalogue: Catalogue, knobs: Sequence[Knob]) -> tuple[Job, Catalogue]:
    return _after(job, catalogue, [knob.steps[-1] for knob in knobs])


def _after(job: Job, catalogue: Catalogue, steps: Iterable[Step]) -> tuple[Job, Catalogue]:
    """A job and what is on offer once some things have given way."""
    for step in steps:
        job = changed(job, step.change)
        catalogue = catalogue if step.part is None else with_part(catalogue, step.part)
    return job, catalogue


def _inside(job: Job, text: str) -> str:
    """A text inside a sentence: it begins small, but for the name of a load."""
    return text if any(text.startswith(load.label) for load in job.loads) else f"{text[0].lower()}{text[1:]}"


def _turned_on(job: Job, catalogue: Catalogue, knob: Knob, pace: Pace) -> Turned | None:
    if pace.clock.left_s <= pace.build_s:
        raise OutOfTime
    instance = build(job, catalogue)
    return Tries(job, catalogue, instance, pace).turned(_guessed_anew(knob, job, instance))


def _guessed_anew(knob: Knob, job: Job, instance: Instance) -> Knob:
    """The same knob with the guess of a job in which other things have given way: less may be enough then."""
    same = (each for each in knobs_of(job, instance) if (each.limit, each.steps) == (knob.limit, knob.steps))
    return next(same, replace(knob, proven=False))


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
