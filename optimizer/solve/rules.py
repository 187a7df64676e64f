"""The rules of a plan, one function each, as linear rows over the choices.

Currents are integers in 1/SCALE A, powers in 1/SCALE W: demands rounded up, capacities down. Every row here is linear
with integer coefficients, so that another solver can read the same model.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from optimizer.solve.circuits import Circuit
from optimizer.solve.fits import SCALE
from optimizer.solve.instance import lead_ampacity_a
from optimizer.solve.limits import band_slacks
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.variables import Model, Term, Var, Variables, total, upper
from optimizer.units import scaled_down, scaled_up

# -- feeds --------------------------------------------------------------------------------------------------------


def every_load_fed_once(model: Model, v: Variables) -> None:
    """One feed of one circuit, or the AC outlet."""
    for load in v.instance.loads:
        ways = [var for _, var in v.all_feeds(load)] + v.ac(load)
        model.add(sum(ways) == 1) if ways else model.add_bool_or([])


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


# -- circuits --------------------------------------------------------------------------------------------------------


def one_fuse_and_pair_each(model: Model, v: Variables) -> None:
    for circuit in v.circuits:
        opened = sum(v.opened(circuit))
        model.add(sum(var for _, var in v.pairs(circuit)) == opened)
        model.add(sum(var for _, var in v.ratings(circuit)) == opened)


def fuse_within_conductor(model: Model, v: Variables) -> None:
    """Fuse rating within the derated ampacity, the cable's own ceiling and the far-fault limit of the pair.

    Where the plan's own circuits are counted, each bundling band has its own capacities.
    """
    for circuit in v.circuits:
        for n, (_, slack) in enumerate(band_slacks(v, circuit.place)):
            for rating, _ in v.ratings(circuit):
                too_big = [var for other, var in v.ratings(circuit) if other >= rating]
                strong = [var for pair, var in v.pairs(circuit) if pair.fuse_cap_a[n] >= rating * (1 - 1e-12)]
                model.add(sum(too_big) <= sum(strong) + slack)


def bundling_counts_circuits(model: Model, v: Variables) -> None:
    """The band of a place holds at least the circuits that the plan lays there (rules 10)."""
    for place, bands in v.instance.bands.items():
        chosen = v.band[place]
        model.add(sum(chosen) == 1)
        if len(bands) == 1:
            continue
        opened = [var for circuit in v.circuits if circuit.place == place for var in v.opened(circuit)]
        room = [(band.max_circuits, var) for band, var in zip(bands, chosen, strict=True)]
        model.add(sum(opened) <= total(room))


def cut_lead_is_protected(model: Model, v: Variables) -> None:
    """A cut lead behind a converter carries what the converter can put out, in the band that holds."""
    for load in v.instance.loads:
        bands = v.instance.bands[load.place]
        for band, (_, slack) in zip(bands, band_slacks(v, load.place), strict=True):
            weak = [
                var
                for option, var in v.all_feeds(load)
                if lead_ampacity_a(v.instance.job, load, option, band) < option.lead_needs_a
            ]
            if weak:
                model.add(sum(weak) <= slack)


# -- panel and joints ---------------------------------------------------------------------------------------------


def ways_and_holders(model: Model, v: Variables) -> None:
    """Circuits beyond the spare ways each need an in-line holder; it sits on a circuit of some conductor size."""
    opened = [var for circuit in v.circuits for var in v.opened(circuit)]
    spare = v.instance.job.bus.spare_ways
    most = v.most_circuits - spare
    if most <= 0:
        return
    by_mm2: dict[float, list[Var]] = defaultdict(list)
    for circuit in v.circuits:
        for pair, var in v.pairs(circuit):
            by_mm2[pair.pair.mm2].append(var)
    for mm2, on_pair in by_mm2.items():
        v.holders_at[mm2] = v.new_count(most, f"holders[{mm2:g}]")
        model.add(v.holders_at[mm2] <= sum(on_pair))
    model.add(sum(opened) - spare <= sum(v.holders_at.values()))
    used = [(holder, v.new_count(most, f"holder[{holder.id}]")) for holder in v.instance.holders]
    for holder, var in used:
        v.want(holder.id, [(1, var)], most)
    model.add(sum(var for _, var in used) == sum(v.holders_at.values()))


def fuse_parts(model: Model, v: Variables) -> None:
    """The fuses of each rating, in any mix of the parts of that rating; a stronger bank rules the weaker ones out."""
    for rating in v.instance.ratings_a:
        wanted = [var for circuit in v.circuits for other, var in v.ratings(circuit) if other == rating]
        parts = [fuse for fuse in v.instance.fuses if fuse.rating_a == rating]
        for family in v.families():
            v.need(_behind(v, family, rating), [fuse.id for fuse in parts])
        most = min(len(wanted), v.most_circuits)
        used = [v.new_count(most, f"fuse_part[{fuse.id}]") for fuse in parts]
        model.add(sum(used) == sum(wanted))
        for fuse, var in zip(parts, used, strict=True):
            v.want(fuse.id, [(1, var)], most)
            for bank, has_bank in v.bank:
                if bank.fault_a > fuse.interrupt_a:
                    model.add(var <= most * (1 - has_bank))


def _behind(v: Variables, circuits: list[Circuit], rating_a: float) -> list[Var]:
    """Each true where one of some circuits has this fuse."""
    return [var for circuit in circuits for rating, var in v.ratings(circuit) if rating == rating_a]


def switch_parts(model: Model, v: Variables) -> None:
    """A circuit of switched loads has one switch rated for its fuse."""
    for rating in v.instance.ratings_a:
        wanted = [var for c in v.circuits if c.switch for other, var in v.ratings(c) if other == rating]
        if not wanted:
            continue
        parts = [switch for switch in v.instance.switches if switch.max_a >= rating]
        for family in v.families():
            if family and family[0].switch:
                v.need(_behind(v, family, rating), [part.id for part in parts])
        used = [v.new_count(min(len(wanted), v.most_circuits), f"switch[{part.id},{rating:g}]") for part in parts]
        for part, var in zip(parts, used, strict=True):
            v.want(part.id, [(1, var)], upper(var))
        model.add(sum(used) == sum(wanted))


# -- bank ---------------------------------------------------------------------------------------------------------


def average_terms(v: Variables) -> list[Term]:
    """Average power of the plan, wiring allowance and inverter idling included. [1/SCALE W]"""
    job = v.instance.job
    allowance = 1 + job.limits.wiring_allowance_pct / 100
    terms = []
    for load in v.instance.loads:
        terms += [(scaled_up(o.average_w * allowance, SCALE), var) for o, var in v.all_feeds(load)]
        terms += [(scaled_up(ac_average_w(job, load), SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((scaled_up(ac_idle_average_w(job), SCALE), v.ac_used))
    return terms


def most_average(v: Variables) -> int:
    """More than the average power of any plan: each load at its thirstiest. [1/SCALE W]"""
    by_load: dict[str, int] = {}
    feeds = {var.index: load.id for load in v.instance.loads for _, var in v.all_feeds(load)}
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
        terms += [(scaled_up(o.draw.current_a(low_v), SCALE), var) for o, var in v.all_feeds(load)]
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
    outlet_power,
    one_fuse_and_pair_each,
    fuse_within_conductor,
    bundling_counts_circuits,
    cut_lead_is_protected,
    ways_and_holders,
    fuse_parts,
    switch_parts,
    one_bank,
    autonomy,
    bank_peak,
)
