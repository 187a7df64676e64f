"""How much a run may lose as something that can give: more of it, or less where what hangs there draws less then."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.job import Job, Load, Place
from optimizer.knob import MOST_DROP_PCT, Knob, Step, on_grid
from optimizer.plan import Change
from optimizer.shortfalls import fails_alone, may_do_alone
from optimizer.solve.instance import Instance

LEAST_DROP_PCT = 0.5  # no smaller one is offered: cables for it are rarely to be had
_DROP = frozenset({"drop_at_floor", "conductor_fits_first_stage", "terminal_parts", "feed", "budget"})
_FUSES = frozenset({"fuse_carries_design_current", "fuse_within_feed", "fuse_within_conductor"})


def drop_knobs(job: Job) -> Iterator[Knob]:
    """One run alone, then all of them. A smaller limit of one load is lifted with its run."""
    used = [place for place in job.places if any(load.place == place.id for load in job.loads)]
    for place in used:
        at = [n for n, load in enumerate(job.loads) if load.place == place.id]
        now_pct = min(job.drop_pct(job.loads[n]) for n in at)
        yield from _drop(job, at, now_pct, f"drop on the run to {place.label}", everywhere=False)
    if len(used) > 1:
        everything = list(range(len(job.loads)))
        now_pct = min(job.limits.drop_pct, *(job.drop_pct(load) for load in job.loads))
        yield from _drop(job, everything, now_pct, "drop on every run", everywhere=True)


def _drop(job: Job, at: list[int], now_pct: float, what: str, *, everywhere: bool) -> Iterator[Knob]:
    pcts = [round(pct, 1) for pct in on_grid(now_pct, MOST_DROP_PCT, 0.1)]

    def changes(pct: float) -> Iterator[Change]:
        if everywhere and job.limits.drop_pct < pct:
            yield Change(pointer="limits/drop_pct", value=pct)
        for n in at:
            own = job.loads[n].drop_pct
            if job.drop_pct(job.loads[n]) < pct and (own is not None or not everywhere):
                yield Change(pointer=f"loads/{n}/drop_pct", value=pct)

    yield Knob(
        limit="drop_pct",
        eases=_DROP,
        steps=tuple(Step(change=tuple(changes(pct))) for pct in pcts),
        words=lambda n, _: f"Allow {pcts[n]:g} % {what}, instead of {now_pct:g} %",
        subject=f"more {what}",
        last_resort=everywhere,
        scope=frozenset() if everywhere else frozenset(job.loads[n].id for n in at),
    )


def smaller_drop_knobs(job: Job, instance: Instance) -> Iterator[Knob]:
    """Less drop on one run: what hangs there then sees more volts and draws less, so that a smaller fuse carries it."""
    for place in job.places:
        at = [n for n, load in enumerate(job.loads) if load.place == place.id]
        stuck = [job.loads[n] for n in at if instance.options[job.loads[n].id] and fails_alone(instance, job.loads[n])]
        if stuck:
            yield from _smaller_drop(job, instance, place, at, stuck)


def _smaller_drop(job: Job, instance: Instance, place: Place, at: list[int], stuck: list[Load]) -> Iterator[Knob]:
    now_pct = max(job.drop_pct(job.loads[n]) for n in at)
    pcts = [round(pct, 1) for pct in on_grid(now_pct, LEAST_DROP_PCT, 0.1)] if now_pct > LEAST_DROP_PCT else []
    does = (n for n, pct in enumerate(pcts) if all(may_do_alone(instance, load, pct) for load in stuck))
    guess = next(does, None)
    if guess is None:
        return

    def changes(pct: float) -> Iterator[Change]:
        for n in at:
            if job.drop_pct(job.loads[n]) > pct:
                yield Change(pointer=f"loads/{n}/drop_pct", value=pct)

    yield Knob(
        limit="drop_pct",
        eases=_FUSES | {"drop_at_floor"},
        steps=tuple(Step(change=tuple(changes(pct))) for pct in pcts[: guess + 1]),
        words=lambda n, _: f"Allow only {pcts[n]:g} % drop on the run to {place.label}, instead of {now_pct:g} %",
        subject=f"less drop on the run to {place.label}",
        guess=guess,
    )
