"""The rules of a plan, one function each, as linear rows over the choices.

Currents are integers in 1/SCALE A, powers in 1/SCALE W: demands rounded up, capacities down. Every row here is linear
with integer coefficients, so that another solver can read the same model.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable

from ortools.sat.python import cp_model

from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.instance import lead_ampacity_a
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.variables import Expr, Term, Var, Variables, total
from optimizer.units import scaled_down, scaled_up

SCALE = 100_000  # 10 µA, 10 µW
_ABOVE = 1e-9  # "more than" as "at least"; far below the scale

Model = cp_model.CpModel


# -- feeds --------------------------------------------------------------------------------------------------------


def every_load_fed_once(model: Model, v: Variables) -> None:
    """One feed of one circuit, or the AC outlet."""
    for load in v.instance.loads:
        ways = [var for _, _, var in v.all_feeds(load)] + v.ac(load)
        model.add(sum(ways) == 1) if ways else model.add_bool_or([])


def joins_open_circuits_only(model: Model, v: Variables) -> None:
    """A load hangs on a circuit only where its first load does."""
    for first in v.circuits:
        for load in v.members(first):
            if load.id != first.id:
                model.add(sum(v.joined(load, first)) <= sum(v.opened(first)))


def outlet_power(model: Model, v: Variables) -> None:
    """AC-fed peaks together stay within the outlet's power; the inverter counts as on once any load is AC-fed."""
    ac = v.instance.job.ac
    terms = [(scaled_up(ac_peak_w(load), SCALE), var) for load in v.instance.loads for var in v.ac(load)]
    if ac is None or not terms:
        model.add(v.ac_used == 0)
        return
    model.add(total(terms) <= scaled_down(ac.max_w, SCALE))
    for _, var in terms:
        model.add(var <= v.ac_used)
    model.add(v.ac_used <= sum(var for _, var in terms))


# -- circuits -----------------------------------------------------------------------------------------------------


def one_fuse_and_pair_each(model: Model, v: Variables) -> None:
    for first in v.circuits:
        opened = sum(v.opened(first))
        model.add(sum(var for _, var in v.pairs(first)) == opened)
        model.add(sum(var for _, var in v.ratings(first)) == opened)


def floor_is_the_highest(model: Model, v: Variables) -> None:
    """A circuit's floor is the highest among its feeds: some feed sets it, none exceeds it."""
    for first in v.circuits:
        v.floor_levels[first.id] = _floor_levels(model, v, first)


def _floor_levels(model: Model, v: Variables, first: Load) -> list[tuple[float, Var | None]]:
    """The floors a circuit can have, each with the variable that is true where it has it; None: always."""
    by_floor: dict[float, list[Var]] = defaultdict(list)
    for _, option, var in v.feeds_on(first):
        by_floor[option.floor_v].append(var)
    levels = sorted(by_floor)
    if len(levels) == 1:
        return [(levels[0], None)]
    chosen = [v.new_choice(f"floor[{first.id},{level:g}]") for level in levels]
    model.add(sum(chosen) == sum(v.opened(first)))
    for n, level in enumerate(levels):
        model.add(chosen[n] <= sum(by_floor[level]))
    for load in v.members(first):
        for n, level in enumerate(levels[:-1]):
            above = [var for option, var in v.feeds_of(load, first) if option.floor_v > level]
            if above:
                model.add(sum(above) <= sum(chosen[n + 1 :]))
    return list(zip(levels, chosen, strict=True))


def drop_at_floor(model: Model, v: Variables) -> None:
    """Current drawn at the floor times loop resistance stays within what low_v leaves above the floor."""
    low_v = v.instance.job.bus.low_v
    for first in v.circuits:
        for level_v, only_if in v.floor_levels[first.id]:
            current, most = _drawn_at(v, first, level_v)
            room = [(scaled_down((low_v - level_v) / pair.loop_ohm, SCALE), var) for pair, var in v.pairs(first)]
            capacity = [(min(amps, most), var) for amps, var in room]
            model.add(total(current) <= total(capacity) + _unless(only_if, most))


def fuse_carries_design_current(model: Model, v: Variables) -> None:
    """1.25 times the current at the floor, and at high_v where some load draws more there, within the rating."""
    high_v = v.instance.job.bus.high_v
    for first in v.circuits:
        ratings = [(4 * scaled_down(rating, SCALE), var) for rating, var in v.ratings(first)]
        for level_v, only_if in v.floor_levels[first.id]:
            current, most = _drawn_at(v, first, level_v)
            model.add(5 * total(current) <= total(ratings) + _unless(only_if, 5 * most))
        if any(o.draw.current_a(high_v) > o.draw.current_a(o.floor_v) for _, o, _ in v.feeds_on(first)):
            current = [(scaled_up(o.draw.current_a(high_v), SCALE), var) for _, o, var in v.feeds_on(first)]
            model.add(5 * total(current) <= total(ratings))


def _drawn_at(v: Variables, first: Load, level_v: float) -> tuple[list[Term], int]:
    """Peak current of a circuit at one of its floors, and the most it can be. [1/SCALE A]"""
    terms: list[Term] = []
    most = 0
    for load in v.members(first):
        feeds = [(option, var) for option, var in v.feeds_of(load, first) if option.floor_v <= level_v]
        drawn = [(scaled_up(option.draw.current_a(level_v), SCALE), var) for option, var in feeds]
        most += max((amps for amps, _ in drawn), default=0)
        terms += drawn
    return terms, most


def _unless(only_if: Var | None, slack: int) -> Expr:
    """Room that switches a row off where its condition does not hold."""
    return 0 if only_if is None else slack * (1 - only_if)


def fuse_within_conductor(model: Model, v: Variables) -> None:
    """Fuse rating within the derated ampacity, the cable's own ceiling and the far-fault limit of the pair.

    Where the plan's own circuits are counted, each bundling band has its own capacities.
    """
    for first in v.circuits:
        for n, (_, slack) in enumerate(_bands(v, first.place)):
            for rating, _ in v.ratings(first):
                too_big = [var for other, var in v.ratings(first) if other >= rating]
                strong = [var for pair, var in v.pairs(first) if pair.fuse_cap_a[n] >= rating * (1 - 1e-12)]
                model.add(sum(too_big) <= sum(strong) + slack)


def _bands(v: Variables, place: str) -> list[tuple[Var | None, Expr]]:
    """Each bundling band of a place with the slack that switches its rows off where another band holds."""
    chosen = v.band[place]
    return [(None, 0)] if len(chosen) == 1 else [(var, 1 - var) for var in chosen]


def bundling_counts_circuits(model: Model, v: Variables) -> None:
    """The band of a place holds at least the circuits that the plan lays there (rules 10)."""
    for place, bands in v.instance.bands.items():
        chosen = v.band[place]
        model.add(sum(chosen) == 1)
        if len(bands) == 1:
            continue
        opened = [var for first in v.circuits if first.place == place for var in v.opened(first)]
        room = [(band.max_circuits, var) for band, var in zip(bands, chosen, strict=True)]
        model.add(sum(opened) <= total(room))


def cut_lead_is_protected(model: Model, v: Variables) -> None:
    """A cut lead behind a converter carries what the converter can put out, in the band that holds."""
    for load in v.instance.loads:
        bands = v.instance.bands[load.place]
        for band, (_, slack) in zip(bands, _bands(v, load.place), strict=True):
            weak = [
                var
                for _, option, var in v.all_feeds(load)
                if lead_ampacity_a(v.instance.job, load, option, band) < option.lead_needs_a
            ]
            if weak:
                model.add(sum(weak) <= slack)


def fuse_within_feed(model: Model, v: Variables) -> None:
    """Fuse rating within what the stages on the bus, a direct load and its cut lead take."""
    for first in v.circuits:
        for load in v.members(first):
            for n, (_, slack) in enumerate(_bands(v, first.place)):
                limit = {id(o): _feed_fuse_limit_a(v, load, o, n) for o, _ in v.feeds_of(load, first)}
                for limit_a in sorted({x for x in limit.values() if math.isfinite(x)}):
                    frail = [var for o, var in v.feeds_of(load, first) if limit[id(o)] <= limit_a]
                    too_big = [var for rating, var in v.ratings(first) if rating > limit_a * (1 + 1e-12)]
                    if too_big:
                        model.add(sum(too_big) + sum(frail) <= sum(v.opened(first)) + slack)


def _feed_fuse_limit_a(v: Variables, load: Load, option: FeedOption, band: int) -> float:
    if not option.is_direct:
        return option.max_fuse_a
    lead_a = lead_ampacity_a(v.instance.job, load, option, v.instance.bands[load.place][band])
    return min(option.max_fuse_a, lead_a, option.lead.max_fuse_a if option.lead else math.inf)


def conductor_fits_first_stage(model: Model, v: Variables) -> None:
    """The run's conductor is no larger than the first stage of any chain on the circuit takes."""
    for first in v.circuits:
        for load in v.members(first):
            limits = {o.max_conductor_mm2 for o, _ in v.feeds_of(load, first) if math.isfinite(o.max_conductor_mm2)}
            for limit_mm2 in sorted(limits):
                small = [var for o, var in v.feeds_of(load, first) if o.max_conductor_mm2 <= limit_mm2]
                too_thick = [var for pair, var in v.pairs(first) if pair.pair.mm2 > limit_mm2]
                if too_thick:
                    model.add(sum(too_thick) + sum(small) <= sum(v.opened(first)))


def fuse_not_oversized(model: Model, v: Variables) -> None:
    """Rating at most the smallest on offer that carries the load, or the ratio times the design current (rules 10)."""
    ratio = v.instance.job.limits.fuse_ratio_max
    if ratio is None:
        return
    ratings = v.instance.ratings_a
    needed = {
        rating: min(rating / ratio, smaller / 1.25 * (1 + _ABOVE))
        for rating, smaller in zip(ratings, [0.0, *ratings], strict=False)
    }
    for first in v.circuits:
        least = [(scaled_up(needed[rating], SCALE), var) for rating, var in v.ratings(first)]
        worst = max((coef for coef, _ in least), default=0)
        high = v.new_choice(f"design_at_high[{first.id}]")
        high_v = v.instance.job.bus.high_v
        drawn = [(scaled_down(o.draw.current_a(high_v), SCALE), var) for _, o, var in v.feeds_on(first)]
        model.add(total(least) <= total(drawn) + worst * (1 - high))
        for level_v, only_if in v.floor_levels[first.id]:
            slack = worst * high + _unless(only_if, worst)
            feeds = [(o, var) for _, o, var in v.feeds_on(first) if o.floor_v <= level_v]
            drawn = [(scaled_down(o.draw.current_a(level_v), SCALE), var) for o, var in feeds]
            model.add(total(least) <= total(drawn) + slack)


# -- panel and joints ---------------------------------------------------------------------------------------------


def ways_and_holders(model: Model, v: Variables) -> None:
    """Circuits beyond the spare ways each need an in-line holder; it sits on a circuit of some conductor size."""
    opened = [var for first in v.circuits for var in v.opened(first)]
    spare = v.instance.job.bus.spare_ways
    if len(v.circuits) <= spare:
        return
    by_mm2: dict[float, list[Var]] = defaultdict(list)
    for first in v.circuits:
        for pair, var in v.pairs(first):
            by_mm2[pair.pair.mm2].append(var)
    for mm2, on_pair in by_mm2.items():
        v.holders_at[mm2] = v.new_count(len(v.circuits) - spare, f"holders[{mm2:g}]")
        model.add(v.holders_at[mm2] <= sum(on_pair))
    model.add(sum(opened) - spare <= sum(v.holders_at.values()))
    used = [(holder, v.new_count(len(v.circuits) - spare, f"holder[{holder.id}]")) for holder in v.instance.holders]
    for holder, var in used:
        v.demand[holder.id].append((1, var))
    model.add(sum(var for _, var in used) == sum(v.holders_at.values()))


def fuse_parts(model: Model, v: Variables) -> None:
    """The fuses of each rating, in any mix of the parts of that rating; a stronger bank rules the weaker ones out."""
    for rating in v.instance.ratings_a:
        wanted = [var for first in v.circuits for other, var in v.ratings(first) if other == rating]
        parts = [fuse for fuse in v.instance.fuses if fuse.rating_a == rating]
        for var in wanted:
            v.need([var], [fuse.id for fuse in parts])
        used = [v.new_count(len(wanted), f"fuse_part[{fuse.id}]") for fuse in parts]
        model.add(sum(used) == sum(wanted))
        for fuse, var in zip(parts, used, strict=True):
            v.demand[fuse.id].append((1, var))
            for bank, has_bank in v.bank:
                if bank.fault_a > fuse.interrupt_a:
                    model.add(var <= len(wanted) * (1 - has_bank))


def switch_parts(model: Model, v: Variables) -> None:
    """A circuit of switched loads has one switch rated for its fuse."""
    for rating in v.instance.ratings_a:
        wanted = [var for f in v.circuits if f.switch for other, var in v.ratings(f) if other == rating]
        if not wanted:
            continue
        parts = [switch for switch in v.instance.switches if switch.max_a >= rating]
        for var in wanted:
            v.need([var], [part.id for part in parts])
        used = [v.new_count(len(wanted), f"switch[{part.id},{rating:g}]") for part in parts]
        for part, var in zip(parts, used, strict=True):
            v.demand[part.id].append((1, var))
        model.add(sum(used) == sum(wanted))


# -- bank ---------------------------------------------------------------------------------------------------------


def average_terms(v: Variables) -> list[Term]:
    """Average power of the plan, wiring allowance and inverter idling included. [1/SCALE W]"""
    job = v.instance.job
    allowance = 1 + job.limits.wiring_allowance_pct / 100
    terms = []
    for load in v.instance.loads:
        terms += [(scaled_up(o.average_w * allowance, SCALE), var) for _, o, var in v.all_feeds(load)]
        terms += [(scaled_up(ac_average_w(job, load), SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((scaled_up(ac_idle_average_w(job), SCALE), v.ac_used))
    return terms


def most_average(v: Variables) -> int:
    """More than the average power of any plan: each load at its thirstiest. [1/SCALE W]"""
    by_load: dict[str, int] = {}
    feeds = {var.index: load.id for load in v.instance.loads for _, _, var in v.all_feeds(load)}
    feeds.update({var.index: load.id for load in v.instance.loads for var in v.ac(load)})
    for coef, var in average_terms(v):
        name = feeds.get(var.index, "inverter")
        by_load[name] = max(by_load.get(name, 0), coef)
    return sum(by_load.values())


def one_bank(model: Model, v: Variables) -> None:
    model.add(sum(var for _, var in v.bank) == 1) if v.bank else model.add_bool_or([])


def autonomy(model: Model, v: Variables) -> None:
    """The bank sustains the average power for the hours asked."""
    available = [(scaled_down(option.available_w, SCALE), var) for option, var in v.bank]
    model.add(total(average_terms(v)) <= total(available))


def bank_peak(model: Model, v: Variables) -> None:
    """Everything at peak and the bus at its lowest stays within the bank's discharge current."""
    job = v.instance.job
    low_v = job.bus.low_v
    terms: list[Term] = []
    for load in v.instance.loads:
        terms += [(scaled_up(o.draw.current_a(low_v), SCALE), var) for _, o, var in v.all_feeds(load)]
        if job.ac is not None:
            efficiency = job.ac.efficiency
            terms += [(scaled_up(ac_peak_w(load) / efficiency / low_v, SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((scaled_up(job.ac.idle_w / low_v, SCALE), v.ac_used))
    allowed = [(scaled_down(option.max_discharge_a, SCALE), var) for option, var in v.bank]
    model.add(total(terms) <= total(allowed))


Rule = Callable[[Model, Variables], None]
RULES: tuple[Rule, ...] = (
    every_load_fed_once,
    joins_open_circuits_only,
    outlet_power,
    one_fuse_and_pair_each,
    floor_is_the_highest,
    drop_at_floor,
    fuse_carries_design_current,
    fuse_within_conductor,
    bundling_counts_circuits,
    cut_lead_is_protected,
    fuse_within_feed,
    conductor_fits_first_stage,
    fuse_not_oversized,
    ways_and_holders,
    fuse_parts,
    switch_parts,
    one_bank,
    autonomy,
    bank_peak,
)
