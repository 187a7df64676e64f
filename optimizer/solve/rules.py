"""The rules of a plan, one function each, as linear rows over the choices.

Currents are integers in 1/SCALE A, powers in 1/SCALE W, rounded as the instance says. Every row here is linear
with integer coefficients, so that another solver can read the same model.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from optimizer.feeds import FeedOption, Share
from optimizer.solve.circuits import Circuit
from optimizer.solve.fits import SCALE
from optimizer.solve.limits import band_slacks
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.runs import lead_ampacity_a, takes
from optimizer.solve.variables import Model, Term, Var, Variables, total, upper
from optimizer.units import HOURS_PER_DAY, is_within

# -- feeds --------------------------------------------------------------------------------------------------------


def every_load_fed_once(model: Model, v: Variables) -> None:
    """One feed of one circuit, or the AC outlet."""
    for load in v.instance.loads:
        ways = [var for _, var in v.all_feeds(load)] + v.ac(load)
        model.add(sum(ways) == 1) if ways else model.add_bool_or([])


def outlet_power(model: Model, v: Variables) -> None:
    """AC-fed peaks together stay within the outlet's power; the inverter counts as on once any load is AC-fed."""
    ac, rounding = v.instance.job.ac, v.instance.rounding
    terms = [(rounding.demand(ac_peak_w(load), SCALE), var) for load in v.instance.loads for var in v.ac(load)]
    if ac is None or not terms:
        model.add(v.ac_used == 0)
        return
    model.add(total(terms) <= rounding.capacity(ac.max_w, SCALE))
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
                strong = [var for pair, var in v.pairs(circuit) if is_within(rating, pair.fuse_cap_a[n])]
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
                if not is_within(option.lead_needs_a, lead_ampacity_a(v.instance.job, load, option, band))
            ]
            if weak:
                model.add(sum(weak) <= slack)


def run_suits_feed(model: Model, v: Variables) -> None:
    """A boosted feed has one run, whose loop, ampacity and conductor suit it in the band that holds (additions 2)."""
    for circuit in v.circuits:
        if not circuit.at_panel:
            continue
        feeds, runs = list(v.feeds_of(circuit.first, circuit)), v.boost_run[circuit.first.id]
        model.add(sum(var for _, var in runs) == sum(var for _, var in feeds))
        for n, (_, slack) in enumerate(band_slacks(v, circuit.place)):
            for run, var in runs:
                model.add(var <= sum(fed for option, fed in feeds if takes(option, run, n)) + slack)


# -- chains that several loads share ------------------------------------------------------------------------------


def plugged_into_a_host(model: Model, v: Variables) -> None:
    """A load plugs into a chain that its host has on the same circuit; outlets and power suffice (additions 3)."""
    if not v.instance.job.limits.share_stages:
        return
    rounding = v.instance.rounding
    for chain in shared_chains(v):
        hosting = sum(var for _, var in chain.hosting)
        by_load: dict[str, list[Var]] = defaultdict(list)
        for option, var in chain.plugs:
            by_load[option.load].append(var)
        for name, plugs in by_load.items():
            model.add(sum(plugs) <= hosting)
            if chain.circuit is None:
                both = [c for c in v.whole if not c.at_panel and {name, chain.host} <= {load.id for load in c.members}]
                model.add(sum(plugs) <= sum(var for c in both for var in v.opened(c)))
        model.add(sum(var for _, var in chain.plugs) <= (chain.share.outlets - 1) * hosting)
        for n, room_w in enumerate(chain.share.room_w):
            fed = [(o.share, var) for o, var in [*chain.hosting, *chain.plugs] if o.share]
            used = [(rounding.demand(share.stage_w[n], SCALE), var) for share, var in fed]
            model.add(total(used) <= rounding.capacity(room_w, SCALE))


@dataclass(frozen=True, kw_only=True)
class SharedChain:
    """One chain of one host, with all who may plug in."""

    host: str
    circuit: str | None  # where loads join one by one; None: whichever circuit has both
    share: Share
    hosting: list[tuple[FeedOption, Var]]
    plugs: list[tuple[FeedOption, Var]]


def shared_chains(v: Variables) -> Iterator[SharedChain]:
    for group in v.groups:
        plain = [circuit for circuit in group.circuits if not circuit.at_panel]
        served = tuple(load for load in group.loads if any(load in circuit.members for circuit in plain))
        ways = [(None, plain[0], served)] if plain and plain[0].is_whole else [(c.key, c, c.members) for c in plain]
        for key, circuit, members in ways:
            hosting: dict[tuple[str, tuple[str, ...]], list[tuple[FeedOption, Var]]] = defaultdict(list)
            plugs: dict[tuple[str, tuple[str, ...]], list[tuple[FeedOption, Var]]] = defaultdict(list)
            for load in members:
                for option, var in v.feeds_of(load, circuit):
                    if option.share is None:
                        continue
                    name = (option.host or load.id, option.share.chain)
                    (hosting if option.host is None else plugs)[name].append((option, var))
            for (host, chain), plugged in plugs.items():
                share = plugged[0][0].share
                assert share is not None
                yield SharedChain(
                    host=host, circuit=key, share=share, hosting=hosting.get((host, chain), []), plugs=plugged
                )


def idle_at_most_a_day(model: Model, v: Variables) -> None:
    """Where switched loads on one chain come to more than 24 h, what is beyond does not count (additions 3)."""
    if not v.instance.job.limits.share_stages:
        return
    allowance, rounding = 1 + v.instance.job.limits.wiring_allowance_pct / 100, v.instance.rounding
    hours = {load.id: load.hours_per_day for load in v.instance.loads if load.switch}
    for n, chain in enumerate(shared_chains(v)):
        ids = {option.load for option, _ in chain.plugs}
        beyond_h = hours.get(chain.host, 0.0) + sum(hours.get(name, 0.0) for name in ids) - HOURS_PER_DAY
        if chain.host not in hours or beyond_h <= 0 or not chain.share.idle_w:
            continue
        each_w = allowance * chain.share.idle_w / HOURS_PER_DAY
        most = rounding.capacity(beyond_h * each_w, SCALE)
        credit, is_beyond = v.new_count(most, f"beyond[{n}]"), v.new_choice(f"a_day[{n}]")
        run = [(rounding.capacity(hours[o.load] * each_w, SCALE), var) for o, var in [*chain.hosting, *chain.plugs]]
        day = rounding.demand(HOURS_PER_DAY * each_w, SCALE)
        model.add(credit <= most * is_beyond)
        model.add(credit <= total(run) - day + (day + most) * (1 - is_beyond))
        v.idle_credit.append((-1, credit))


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
    job, rounding = v.instance.job, v.instance.rounding
    allowance = 1 + job.limits.wiring_allowance_pct / 100
    terms = []
    for load in v.instance.loads:
        terms += [(rounding.demand(o.average_w * allowance, SCALE), var) for o, var in v.all_feeds(load)]
        terms += [(rounding.demand(ac_average_w(job, load), SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((rounding.demand(ac_idle_average_w(job), SCALE), v.ac_used))
    return terms + v.idle_credit


def most_average(v: Variables) -> int:
    """More than the average power of any plan: each load at its thirstiest. [1/SCALE W]"""
    return _most_at_once(v, average_terms(v))


def _most_at_once(v: Variables, terms: list[Term]) -> int:
    """More than some terms come to in any plan: each load at its thirstiest."""
    by_load: dict[str, int] = {}
    feeds = {var.index: load.id for load in v.instance.loads for _, var in v.all_feeds(load)}
    feeds.update({var.index: load.id for load in v.instance.loads for var in v.ac(load)})
    for coef, var in terms:
        name = feeds.get(var.index, "inverter")
        by_load[name] = max(by_load.get(name, 0), coef)  # credits are below zero
    return sum(by_load.values())


def one_bank(model: Model, v: Variables) -> None:
    model.add(sum(var for _, var in v.bank) == 1) if v.bank else model.add_bool_or([])


def autonomy(model: Model, v: Variables) -> None:
    """The bank sustains the average power for the hours asked."""
    most, rounding = most_average(v), v.instance.rounding
    available = [(min(rounding.capacity(option.available_w, SCALE), most), var) for option, var in v.bank]
    model.add(total(average_terms(v)) <= total(available))


def bank_peak(model: Model, v: Variables) -> None:
    """Everything at peak and the bus at its lowest stays within the bank's discharge current."""
    job, rounding = v.instance.job, v.instance.rounding
    low_v = job.bus.low_v
    terms: list[Term] = []
    for load in v.instance.loads:
        terms += [(rounding.demand(o.draw.current_a(low_v), SCALE), var) for o, var in v.all_feeds(load)]
        if job.ac is not None:
            efficiency = job.ac.efficiency
            terms += [(rounding.demand(ac_peak_w(load) / efficiency / low_v, SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((rounding.demand(job.ac.idle_w / low_v, SCALE), v.ac_used))
    most = _most_at_once(v, terms)
    allowed = [(min(rounding.capacity(option.max_discharge_a, SCALE), most), var) for option, var in v.bank]
    model.add(total(terms) <= total(allowed))


Rule = Callable[[Model, Variables], None]
RULES: tuple[Rule, ...] = (
    every_load_fed_once,
    outlet_power,
    one_fuse_and_pair_each,
    fuse_within_conductor,
    bundling_counts_circuits,
    cut_lead_is_protected,
    run_suits_feed,
    plugged_into_a_host,
    idle_at_most_a_day,
    ways_and_holders,
    fuse_parts,
    switch_parts,
    one_bank,
    autonomy,
    bank_peak,
)
