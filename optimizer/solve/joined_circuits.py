"""The rules of a circuit that loads join one by one: its floor, its currents, its fuse and its conductor."""

from __future__ import annotations

import math
from collections import defaultdict

from optimizer.solve.circuits import Circuit
from optimizer.solve.fits import SCALE, needed_to_fill
from optimizer.solve.limits import band_slacks, feed_fuse_limit_a
from optimizer.solve.variables import Expr, Model, Term, Var, Variables, total
from optimizer.units import is_within


def joins_open_circuits_only(model: Model, v: Variables) -> None:
    """A load hangs on a circuit only where its first load does."""
    for circuit in v.joined_one_by_one:
        for load in circuit.members:
            if load.id != circuit.first.id:
                model.add(sum(v.joined(load, circuit)) <= sum(v.opened(circuit)))


def floor_is_the_highest(model: Model, v: Variables) -> None:
    """A circuit's floor is the highest among its feeds: some feed sets it, none exceeds it."""
    for circuit in v.joined_one_by_one:
        v.floor_levels[circuit.key] = _floor_levels(model, v, circuit)


def _floor_levels(model: Model, v: Variables, circuit: Circuit) -> list[tuple[float, Var | None]]:
    """The floors a circuit can have, each with the variable that is true where it has it; None: always."""
    by_floor: dict[float, list[Var]] = defaultdict(list)
    for _, option, var in v.feeds_on(circuit):
        by_floor[option.floor_v].append(var)
    levels = sorted(by_floor)
    if len(levels) == 1:
        return [(levels[0], None)]
    chosen = [v.new_choice(f"floor[{circuit.key},{level:g}]") for level in levels]
    model.add(sum(chosen) == sum(v.opened(circuit)))
    for n, level in enumerate(levels):
        model.add(chosen[n] <= sum(by_floor[level]))
    for load in circuit.members:
        for n, level in enumerate(levels[:-1]):
            above = [var for option, var in v.feeds_of(load, circuit) if option.floor_v > level]
            if above:
                model.add(sum(above) <= sum(chosen[n + 1 :]))
    return list(zip(levels, chosen, strict=True))


def drop_at_floor(model: Model, v: Variables) -> None:
    """Current drawn at the floor times loop resistance stays within what low_v leaves above the floor."""
    low_v, rounding = v.instance.job.bus.low_v, v.instance.rounding
    for circuit in v.joined_one_by_one:
        for level_v, only_if in v.floor_levels[circuit.key]:
            current, most = _drawn_at(v, circuit, level_v)
            room = [
                (rounding.capacity((low_v - level_v) / pair.loop_ohm, SCALE), var) for pair, var in v.pairs(circuit)
            ]
            capacity = [(min(amps, most), var) for amps, var in room]
            model.add(total(current) <= total(capacity) + _unless(only_if, most))


def fuse_carries_design_current(model: Model, v: Variables) -> None:
    """1.25 times the current at the floor, and at high_v where some load draws more there, within the rating."""
    high_v, rounding = v.instance.job.bus.high_v, v.instance.rounding
    for circuit in v.joined_one_by_one:
        ratings = [(4 * rounding.capacity(rating, SCALE), var) for rating, var in v.ratings(circuit)]
        for level_v, only_if in v.floor_levels[circuit.key]:
            current, most = _drawn_at(v, circuit, level_v)
            model.add(5 * total(current) <= total(ratings) + _unless(only_if, 5 * most))
        if any(o.draw.current_a(high_v) > o.draw.current_a(o.floor_v) for _, o, _ in v.feeds_on(circuit)):
            current = [(rounding.demand(o.draw.current_a(high_v), SCALE), var) for _, o, var in v.feeds_on(circuit)]
            model.add(5 * total(current) <= total(ratings))


def _drawn_at(v: Variables, circuit: Circuit, level_v: float) -> tuple[list[Term], int]:
    """Peak current of a circuit at one of its floors, and the most it can be. [1/SCALE A]"""
    terms: list[Term] = []
    most, rounding = 0, v.instance.rounding
    for load in circuit.members:
        feeds = [(option, var) for option, var in v.feeds_of(load, circuit) if option.floor_v <= level_v]
        drawn = [(rounding.demand(option.draw.current_a(level_v), SCALE), var) for option, var in feeds]
        most += max((amps for amps, _ in drawn), default=0)
        terms += drawn
    return terms, most


def _unless(only_if: Var | None, slack: int) -> Expr:
    """Room that switches a row off where its condition does not hold."""
    return 0 if only_if is None else slack * (1 - only_if)


def fuse_within_feed(model: Model, v: Variables) -> None:
    """Fuse rating within what the stages on the bus, a direct load and its cut lead take."""
    for circuit in v.joined_one_by_one:
        for load in circuit.members:
            for n, (_, slack) in enumerate(band_slacks(v, circuit.place)):
                limit = {id(o): feed_fuse_limit_a(v, load, o, n) for o, _ in v.feeds_of(load, circuit)}
                for limit_a in sorted({x for x in limit.values() if math.isfinite(x)}):
                    frail = [var for o, var in v.feeds_of(load, circuit) if limit[id(o)] <= limit_a]
                    too_big = [var for rating, var in v.ratings(circuit) if not is_within(rating, limit_a)]
                    if too_big:
                        model.add(sum(too_big) + sum(frail) <= sum(v.opened(circuit)) + slack)


def conductor_fits_first_stage(model: Model, v: Variables) -> None:
    """The run's conductor is no larger than the first stage of any chain on the circuit takes."""
    for circuit in v.joined_one_by_one:
        for load in circuit.members:
            limits = {o.max_conductor_mm2 for o, _ in v.feeds_of(load, circuit) if math.isfinite(o.max_conductor_mm2)}
            for limit_mm2 in sorted(limits):
                small = [var for o, var in v.feeds_of(load, circuit) if o.max_conductor_mm2 <= limit_mm2]
                too_thick = [var for pair, var in v.pairs(circuit) if pair.pair.mm2 > limit_mm2]
                if too_thick:
                    model.add(sum(too_thick) + sum(small) <= sum(v.opened(circuit)))


def fuse_not_oversized(model: Model, v: Variables) -> None:
    """Rating at most the smallest on offer that carries the load, or the ratio times the design current (rules 10)."""
    ratio = v.instance.job.limits.fuse_ratio_max
    if ratio is None:
        return
    needed, rounding = needed_to_fill(v.instance.ratings_a, ratio), v.instance.rounding
    for circuit in v.joined_one_by_one:
        least = [(needed[rating], var) for rating, var in v.ratings(circuit)]
        worst = max((coef for coef, _ in least), default=0)
        high = v.new_choice(f"design_at_high[{circuit.key}]")
        high_v = v.instance.job.bus.high_v
        drawn = [(rounding.capacity(o.draw.current_a(high_v), SCALE), var) for _, o, var in v.feeds_on(circuit)]
        model.add(total(least) <= total(drawn) + worst * (1 - high))
        for level_v, only_if in v.floor_levels[circuit.key]:
            slack = worst * high + _unless(only_if, worst)
            feeds = [(o, var) for _, o, var in v.feeds_on(circuit) if o.floor_v <= level_v]
            drawn = [(rounding.capacity(o.draw.current_a(level_v), SCALE), var) for o, var in feeds]
            model.add(total(least) <= total(drawn) + slack)


JOINED_CIRCUIT_RULES = (
    joins_open_circuits_only,
    floor_is_the_highest,
    drop_at_floor,
    fuse_carries_design_current,
    fuse_within_feed,
    conductor_fits_first_stage,
    fuse_not_oversized,
)
