"""Converters that only just do not do: the one figure each would have to have, as something that can give.

Nobody sells such a part, so its price is that of the nearest. Safety figures of parts are left as they are.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from optimizer.catalogue import Stage
from optimizer.job import Job, Load
from optimizer.knob import MOST_DROP_PCT, Knob, Step, on_grid
from optimizer.near_misses import Broken, at_hand, broken_by
from optimizer.shortfalls import fails_alone, few
from optimizer.solve.instance import Instance

_NEAREST = 2  # parts a load
_MORE_W = 4  # times the power asked is more than any lead loss takes


@dataclass(frozen=True, slots=True, kw_only=True)
class _Near:
    """A converter that would do for a load if one figure were another."""

    load: Load
    stage: Stage
    field: str
    values: tuple[float, ...]  # from the least to the most that it may have to be
    words: str  # with a hole for the value
    off: float = 0.0  # how far it is from doing (0-1)
    eases: frozenset[str] = frozenset({"feed"})


def part_knobs(job: Job, instance: Instance) -> Iterator[Knob]:
    """For every load that nothing feeds, the nearest converters that miss one figure; else terminals too small.

    One converter for all the loads that it would do for.
    """
    found: dict[tuple[Any, ...], list[_Near]] = defaultdict(list)
    for load in job.loads:
        if fails_alone(instance, load):
            some = _terminals(instance, load) if instance.options[load.id] else _of_load(job, instance, load)
            for near in some[:_NEAREST]:
                exactly = near.values if near.field == "out_v" else ()
                found[near.stage.id, near.field, exactly].append(near)
    yield from (_knob(some) for some in found.values())


def _of_load(job: Job, instance: Instance, load: Load) -> list[_Near]:
    """Converters that miss one figure, the nearest first."""
    sold = at_hand(instance)
    found: list[_Near] = []
    for stage in instance.catalogue.of(Stage):
        fits = stage.id in sold and stage.out_form == load.needs.form
        broken = list(broken_by(instance, load, stage)) if fits else []
        if len(broken) == 1:
            found += _missing_one(job, load, stage, broken[0])
    return sorted(found, key=lambda near: (near.off, near.stage.id))


def _terminals(instance: Instance, load: Load) -> list[_Near]:
    """Converters that would do if their terminals took the conductor that holds the drop."""
    sizes = sorted({run.pair.mm2 for run in instance.pairs[load.place]})
    firsts = {option.stages[0].id: option.stages[0] for option in instance.options[load.id] if option.stages}
    return [
        _Near(
            load=load,
            stage=stage,
            field="max_conductor_mm2",
            values=larger,
            words=f"takes conductors of {{:g}} mm²: {stage.label} takes {takes_mm2:g} mm²",
            eases=frozenset({"drop_at_floor", "conductor_fits_first_stage"}),
        )
        for _, stage in sorted(firsts.items())
        if (takes_mm2 := stage.max_conductor_mm2) is not None
        and (larger := tuple(mm2 for mm2 in sizes if mm2 > takes_mm2))
    ]


def _missing_one(job: Job, load: Load, stage: Stage, broken: Broken) -> Iterator[_Near]:
    """A converter with the one figure that it misses."""
    bus, values = job.bus, tuple[float, ...]()
    if broken.figure == "in_max_v":
        values, words = (bus.high_v,), f"takes up to {{:g}} V: {stage.label} takes {stage.in_max_v:g} V"
    elif broken.figure == "in_min_v":
        lowest_v = bus.low_v - MOST_DROP_PCT / 100 * bus.nominal_v
        values = tuple(round(volt, 1) for volt in on_grid(bus.low_v, lowest_v, 0.1))
        words = f"accepts {{:g}} V: the nearest, {stage.label}, takes no less than {stage.in_min_v:g} V"
    elif broken.figure == "max_out_w":
        most_w = _MORE_W * load.peak_w * (1 + job.limits.headroom_pct / 100)
        values = tuple(float(watt) for watt in on_grid(stage.max_out_w, most_w, 1.0))
        words = f"puts out {{:g}} W: {stage.label} puts out {stage.max_out_w:g} W"
    elif broken.figure == "out_v" and load.needs.max_v > 0:
        values, words = (load.needs.max_v,), f"puts out {{:g}} V: {stage.label} puts out {stage.out_v:g} V"
    if values:
        yield _Near(load=load, stage=stage, field=broken.figure, values=values, words=words, off=broken.off)


def _knob(some: list[_Near]) -> Knob:
    """What one converter would have to be for some loads."""
    one = max(some, key=lambda near: len(near.values))
    names = few([near.load.label for near in some])
    return Knob(
        limit=one.field,
        eases=one.eases,
        steps=tuple(Step(part=_with(one.stage, one.field, value)) for value in one.values),
        words=lambda n, _: f"A converter for {names} that {one.words.format(one.values[n])}",
        subject=f"another converter for {names}",
        scope=frozenset(near.load.id for near in some),
        uncounted=f"what such a part costs more than {one.stage.label}",
    )


def _with(stage: Stage, field: str, value: float) -> Stage:
    changes: dict[str, Any] = {field: value}
    return replace(stage, **changes)
