"""What limits cost: how much cheaper a plan gets with one of them a step wider, and how much dearer a step tighter."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from typing import NamedTuple

from optimizer.catalogue import Catalogue
from optimizer.changes import changed
from optimizer.errors import InvalidInput
from optimizer.job import Job
from optimizer.knob import MOST_DROP_PCT
from optimizer.plan import Binding, Change, Plan
from optimizer.progress import Progress
from optimizer.solve.instance import build
from optimizer.solving import Clock, Instances, cheapest_plan

_LEAST_S = 2.0  # for one question: less finds nothing worth showing
_HOURS, _DROP_PCT, _HEADROOM_PCT, _DERATE = 1.0, 0.5, 5.0, 0.05  # a step


class _Step(NamedTuple):
    """A limit a step wider or tighter."""

    limit: str
    words: str
    change: Change
    is_wider: bool


def what_limits_cost(
    job: Job,
    catalogue: Catalogue,
    plan: Plan,
    *,
    time_limit_s: float,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
) -> tuple[Binding, ...]:
    """Every limit a step wider and a step tighter, each really solved; what saves most comes first.

    Args:
        plan: The cheapest plan of the job as it stands.
        time_limit_s: For all of them together; steps that it does not reach are left out. > 0. [s]
        on_progress: Called after every step with the plan's own total, for a sign of life.
    Raises:
        InvalidInput: The time limit is not above zero, or the plan has no answer.
    """
    if not time_limit_s > 0:
        raise InvalidInput("time_limit_s", "Give more than 0 seconds.")
    if plan.total_cents is None or not plan.has_answer:
        raise InvalidInput("plan", "There is no plan to compare with.")
    clock = Clock(time_limit_s, stop)
    instances = Instances(build(job, catalogue), catalogue)
    steps = list(_steps(job))
    answers: list[tuple[_Step, Plan]] = []
    for n, step in enumerate(steps):
        share_s = max(clock.left_s / (len(steps) - n), min(clock.left_s, _LEAST_S))
        if share_s <= 0:
            break
        bent = changed(job, [step.change])
        other = cheapest_plan(instances.of(bent), time_limit_s=share_s, stop=stop, by_price_alone=True)
        answers.append((step, other))
        if on_progress is not None:
            on_progress(Progress(best_cents=plan.total_cents, bound_cents=plan.bound_cents, elapsed_s=clock.elapsed_s))
    known_cents = _known_cents(plan.total_cents, answers)
    found = [each for step, other in answers for each in _compared(step, known_cents, other)]
    return tuple(sorted(found, key=lambda each: (-each.saves_cents, each.text)))


def _known_cents(total_cents: int, answers: list[tuple[_Step, Plan]]) -> int:
    """The least that the job is known to cost: what holds with a limit tighter holds without, so that a plan whose
    search was not finished lends no limit what the search had missed. [cents]
    """
    tighter = (other.total_cents for step, other in answers if not step.is_wider)
    return min([total_cents, *(cents for cents in tighter if cents is not None)])


def _compared(step: _Step, known_cents: int, other: Plan) -> Iterator[Binding]:
    """What a step is worth; nothing where its time found no plan."""
    total_cents, bound_cents, status = other.total_cents, other.bound_cents, other.status
    if status == "unknown":
        return
    if step.is_wider and (total_cents is None or total_cents > known_cents):
        total_cents = known_cents  # what holds now holds then; the search only had no time to see it
        status = "optimal" if bound_cents == total_cents else "feasible"
    yield Binding(
        text=step.words,
        limit=step.limit,
        change=(step.change,),
        total_cents=total_cents,
        saves_cents=0 if total_cents is None else known_cents - total_cents,
        bound_cents=bound_cents,
        status=status,
    )


# -- steps --------------------------------------------------------------------------------------------------------


def _steps(job: Job) -> Iterator[_Step]:
    """Limits a step wider and a step tighter, those that cost most as a rule first."""
    yield from _of_autonomy(job)
    yield from _of_drop(job)
    yield from _of_panel(job)
    yield from _of_converters_and_bank(job)


def _of_autonomy(job: Job) -> Iterator[_Step]:
    now_h = job.limits.autonomy_h
    for hours in (now_h - _HOURS, now_h + _HOURS):
        if hours > 0:
            change = Change(pointer="limits/autonomy_h", value=hours)
            yield _Step("autonomy_h", f"Autonomy of {hours:g} h", change, hours < now_h)


def _of_drop(job: Job) -> Iterator[_Step]:
    now_pct = job.limits.drop_pct
    for pct in (round(now_pct + _DROP_PCT, 2), round(now_pct - _DROP_PCT, 2)):
        if 0 < pct <= MOST_DROP_PCT:
            change = Change(pointer="limits/drop_pct", value=pct)
            yield _Step("drop_pct", f"{pct:g} % drop on the way", change, pct > now_pct)


def _of_panel(job: Job) -> Iterator[_Step]:
    now = job.bus.spare_ways
    for ways in (now + 1, now - 1):
        if ways >= 0:
            change = Change(pointer="bus/spare_ways", value=ways)
            words = "1 spare fuse way" if ways == 1 else f"{ways} spare fuse ways"
            yield _Step("spare_ways", words, change, ways > now)
    for index, load in enumerate(job.loads):
        if load.own_circuit:
            change = Change(pointer=f"loads/{index}/own_circuit", value=False)
            yield _Step("own_circuit", f"{load.label} may share its circuit", change, True)


def _of_converters_and_bank(job: Job) -> Iterator[_Step]:
    limits = job.limits
    for pct in (limits.headroom_pct - _HEADROOM_PCT, limits.headroom_pct + _HEADROOM_PCT):
        if pct >= 0:
            change = Change(pointer="limits/headroom_pct", value=pct)
            yield _Step("headroom_pct", f"{pct:g} % room to spare in converters", change, pct < limits.headroom_pct)
    if not job.bank.may_buy:
        yield _Step("may_buy", "A new bank allowed", Change(pointer="bank/may_buy", value=True), True)
    for share in (round(limits.bank_derate + _DERATE, 3), round(limits.bank_derate - _DERATE, 3)):
        if 0 < share <= 1:
            words = f"{100 * share:g} % of the bank's capacity counted on"
            change = Change(pointer="limits/bank_derate", value=share)
            yield _Step("bank_derate", words, change, share > limits.bank_derate)
