"""Converters that only just do not do: the one figure each would have to have, as something that can give.

Nobody sells such a part, so its price is that of the nearest. Safety figures of parts are left as they are.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from optimizer.catalogue import BUS_FORM, Stage
from optimizer.job import Job, Load
from optimizer.knobs import MOST_DROP_PCT, Knob, Step, on_grid
from optimizer.near_misses import Broken, at_hand, broken_by
from optimizer.shortfalls import fails_alone
from optimizer.solve.instance import Instance

_NEAREST = 2  # parts a load
_MORE_W = 4  # times the power asked is more than any lead loss takes


def part_knobs(job: Job, instance: Instance) -> Iterator[Knob]:
    """For every load that nothing feeds, the nearest converters that miss one figure; else terminals too small."""
    for load in job.loads:
        if not fails_alone(instance, load):
            continue
        if instance.options[load.id]:
            yield from list(_terminals(instance, load))[:_NEAREST]
        else:
            found = sorted(_of_load(job, instance, load), key=lambda near: near[0])
            yield from (knob for _, knob in found[:_NEAREST])


def _of_load(job: Job, instance: Instance, load: Load) -> Iterator[tuple[tuple[float, str], Knob]]:
    sold = at_hand(instance)
    for stage in instance.catalogue.of(Stage):
        fits = stage.id in sold and (stage.in_form, stage.out_form) == (BUS_FORM, load.needs.form)
        broken = list(broken_by(instance, load, stage)) if fits else []
        if len(broken) == 1:
            yield from _missing_one(job, load, stage, broken[0])


def _terminals(instance: Instance, load: Load) -> Iterator[Knob]:
    """Converters that would do if their terminals took the conductor that holds the drop."""
    sizes = sorted({run.pair.mm2 for run in instance.pairs[load.place]})
    firsts = {option.stages[0].id: option.stages[0] for option in instance.options[load.id] if option.stages}
    for _, stage in sorted(firsts.items()):
        takes_mm2 = stage.max_conductor_mm2
        if takes_mm2 is None or not (larger := [mm2 for mm2 in sizes if mm2 > takes_mm2]):
            continue
        words = f"takes conductors of {{:g}} mm²: {stage.label} takes {takes_mm2:g} mm²"
        rules = frozenset({"drop_at_floor", "conductor_fits_first_stage"})
        yield _near(load, stage, "max_conductor_mm2", larger, words, 1.0, rules)[1]


def _missing_one(job: Job, load: Load, stage: Stage, broken: Broken) -> Iterator[tuple[tuple[float, str], Knob]]:
    """The knob of the one figure that a converter misses, and how far off it is."""
    bus, needs = job.bus, load.needs
    if broken.figure == "in_max_v":
        words = f"takes up to {{:g}} V: {stage.label} takes {stage.in_max_v:g} V"
        yield _near(load, stage, "in_max_v", [bus.high_v], words, 1 - broken.off)
    elif broken.figure == "in_min_v":
        lowest_v = bus.low_v - MOST_DROP_PCT / 100 * bus.nominal_v
        volts = [round(volt, 1) for volt in on_grid(bus.low_v, lowest_v, 0.1)]
        words = f"accepts {{:g}} V: the nearest, {stage.label}, takes no less than {stage.in_min_v:g} V"
        yield _near(load, stage, "in_min_v", volts, words, 1 - broken.off)
    elif broken.figure == "max_out_w":
        most_w = _MORE_W * load.peak_w * (1 + job.limits.headroom_pct / 100)
        watts = [float(watt) for watt in on_grid(stage.max_out_w, most_w, 1.0)]
        words = f"puts out {{:g}} W: {stage.label} puts out {stage.max_out_w:g} W"
        yield _near(load, stage, "max_out_w", watts, words, 1 - broken.off)
    elif broken.figure == "out_v":
        words = f"puts out {{:g}} V: {stage.label} puts out {stage.out_v:g} V"
        yield _near(load, stage, "out_v", [needs.max_v], words, 1 - broken.off)


def _near(
    load: Load,
    stage: Stage,
    field: str,
    values: list[float],
    words: str,
    closeness: float,
    eases: frozenset[str] = frozenset({"feed"}),
) -> tuple[tuple[float, str], Knob]:
    knob = Knob(
        limit=field,
        eases=eases,
        steps=tuple(Step(part=_with(stage, field, value)) for value in values),
        words=lambda n, _: f"A converter for {load.label} that {words.format(values[n])}",
        subject=f"another converter for {load.label}",
        scope=frozenset({load.id}),
        uncounted=f"what such a part costs more than {stage.label}",
    )
    return (-closeness, stage.id), knob


def _with(stage: Stage, field: str, value: float) -> Stage:
    changes: dict[str, Any] = {field: value}
    return replace(stage, **changes)
