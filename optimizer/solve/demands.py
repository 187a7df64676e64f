"""What the choices make necessary to have: parts by the piece, and cuts of cable."""

from __future__ import annotations

from collections import defaultdict

from ortools.sat.python import cp_model

from optimizer.catalogue import Consumable, Junction, Terminal
from optimizer.solve.rules import Rule
from optimizer.solve.variables import Term, Var, Variables, total, upper
from optimizer.units import scaled_up

Model = cp_model.CpModel
TERMINALS_EACH = 4  # per circuit and per cut lead (planning rules 3)
TERMINALS_JOINT = 2  # per in-line holder and switch, where joints are counted (rules 10)
EACH_SCALE = 1000


def feed_parts(_: Model, v: Variables) -> None:
    """Stages of every feed, with the output fuse of a converter that needs one."""
    for load in v.instance.loads:
        users: dict[str, list[Var]] = defaultdict(list)
        for _first, option, var in v.all_feeds(load):
            for part in option.parts:
                v.demand[part].append((1, var))
                users[part].append(var)
        for part, choices in users.items():
            v.need(choices, [part])


def bank_parts(_: Model, v: Variables) -> None:
    """The batteries of a bought bank, with their kit where several stand together."""
    for option, var in v.bank:
        if option.battery is not None:
            v.demand[option.battery.id].append((option.series * option.parallel, var))
            v.need([var], [option.battery.id])
        if option.kit is not None:
            v.demand[option.kit.id].append((1, var))


def junction_parts(model: Model, v: Variables) -> None:
    """A circuit with several feeds has one junction that takes them, its fuse and its conductor (rules 10)."""
    if not v.instance.job.limits.count_joints:
        return
    junctions = [j for j in v.instance.catalogue.of(Junction) if j.max_v >= v.instance.job.bus.high_v]
    for first in v.circuits:
        members = v.members(first)
        if len(members) == 1:
            continue
        many = v.new_choice(f"shared[{first.id}]")
        chosen = [(part, v.new_choice(f"junction[{first.id},{part.id}]")) for part in junctions]
        v.junction[first.id] = chosen
        model.add(sum(var for _, var in chosen) == many)
        for load in members:
            if load.id != first.id:
                model.add(sum(v.joined(load, first)) <= many)
        joined = [var for load in members for var in v.joined(load, first)]
        model.add(sum(joined) <= total([(j.outlets, var) for j, var in chosen]) + len(members) * (1 - many))
        for rating, _ in v.ratings(first):
            too_big = [var for other, var in v.ratings(first) if other >= rating]
            fits = [var for j, var in chosen if j.max_a >= rating]
            model.add(sum(too_big) <= sum(fits) + 1 - many)
        for mm2 in sorted({pair.pair.mm2 for pair, _ in v.pairs(first)}):
            thick = [var for pair, var in v.pairs(first) if pair.pair.mm2 >= mm2]
            takes = [var for j, var in chosen if j.mm2_max >= mm2]
            model.add(sum(thick) <= sum(takes) + 1 - many)
        for part, var in chosen:
            v.demand[part.id].append((1, var))


def cuts(_: Model, v: Variables) -> None:
    """One twin cut or one of each single for every circuit, likewise for every cut lead."""
    for first in v.circuits:
        mm = v.instance.run_mm(first.place)
        _cut_of(v, mm, [(pair.pair.ids, var) for pair, var in v.pairs(first)])
    for load in v.instance.loads:
        leads = [(option.lead_ids, var) for _first, option, var in v.all_feeds(load) if option.lead is not None]
        if leads:
            _cut_of(v, v.instance.lead_mm(load), leads)


def _cut_of(v: Variables, mm: int, choices: list[tuple[tuple[str, ...], Var]]) -> None:
    """At most one cut of each cable, whichever of the choices takes it."""
    users: dict[str, list[Var]] = defaultdict(list)
    for cables, var in choices:
        for cable in cables:
            users[cable].append(var)
    for cable, taking in users.items():
        v.cuts[cable][mm].append(taking)


def terminal_parts(model: Model, v: Variables) -> None:
    """Terminals for every conductor size, in any mix of parts whose range holds it."""
    terminals = list(v.instance.catalogue.of(Terminal))
    for mm2, wanted in sorted(terminals_wanted(v).items()):
        fitting = [part.id for part in terminals if part.mm2_min <= mm2 <= part.mm2_max]
        for first in v.circuits:
            v.need([var for pair, var in v.pairs(first) if pair.pair.mm2 == mm2], fitting)
        most = sum(coef * upper(var) for coef, var in wanted)
        used = [
            (part, v.new_count(most, f"terminal[{part.id},{mm2:g}]"))
            for part in terminals
            if part.mm2_min <= mm2 <= part.mm2_max
        ]
        for part, var in used:
            v.demand[part.id].append((1, var))
        model.add(sum(var for _, var in used) == total(wanted))


def terminals_wanted(v: Variables) -> dict[float, list[Term]]:
    """Terminals by the conductor size they must take. [mm²] -> terms"""
    counts_joints = v.instance.job.limits.count_joints
    wanted: dict[float, list[Term]] = defaultdict(list)
    for first in v.circuits:
        each = TERMINALS_EACH + (TERMINALS_JOINT if counts_joints and first.switch else 0)
        for pair, var in v.pairs(first):
            wanted[pair.pair.mm2].append((each, var))
    for load in v.instance.loads:
        for _, option, var in v.all_feeds(load):
            if option.lead is not None:
                wanted[option.lead.mm2].append((TERMINALS_EACH, var))
    if counts_joints:
        for mm2, var in v.holders_at.items():
            wanted[mm2].append((TERMINALS_JOINT, var))
    return wanted


def consumable_parts(model: Model, v: Variables) -> None:
    """For each purpose, each × the number of its `per`, in any mix of that purpose's parts."""
    purposes: dict[str, list[Consumable]] = defaultdict(list)
    for part in v.instance.catalogue.of(Consumable):
        purposes[part.purpose].append(part)
    for parts in purposes.values():
        count = _count_of(v, parts[0].per)
        each = scaled_up(parts[0].each, EACH_SCALE)
        most = -(-each * max(1, sum(coef * upper(var) for coef, var in count)) // EACH_SCALE)
        if parts[0].per in ("circuit", "termination"):
            for first in v.circuits:
                v.need(v.opened(first), [part.id for part in parts])
        used = [v.new_count(most, f"consumable[{part.id}]") for part in parts]
        for part, var in zip(parts, used, strict=True):
            v.demand[part.id].append((1, var))
        wanted = each if parts[0].per == "job" else each * total(count)
        model.add(EACH_SCALE * sum(used) >= wanted)


def _count_of(v: Variables, per: str) -> list[Term]:
    if per == "circuit":
        return [(1, var) for first in v.circuits for var in v.opened(first)]
    if per == "termination":
        return [term for terms in terminals_wanted(v).values() for term in terms]
    if per == "cut_lead":
        return [(1, var) for load in v.instance.loads for _, o, var in v.all_feeds(load) if o.lead is not None]
    return []


DEMANDS: tuple[Rule, ...] = (
    feed_parts,
    bank_parts,
    junction_parts,
    cuts,
    terminal_parts,
    consumable_parts,
)
