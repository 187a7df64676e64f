"""What the choices make necessary to have: parts by the piece, and cuts of cable."""

from __future__ import annotations

from collections import Counter, defaultdict

from optimizer.catalogue import Consumable, Terminal
from optimizer.job import Load
from optimizer.solve.circuits import Circuit
from optimizer.solve.rules import Rule
from optimizer.solve.variables import Model, Term, Var, Variables, total, upper
from optimizer.units import scaled_up

TERMINALS_EACH = 4  # per circuit and per cut lead (planning rules 3)
TERMINALS_JOINT = 2  # per in-line holder and switch, where joints are counted (rules 10)
EACH_SCALE = 1000


def feed_parts(_: Model, v: Variables) -> None:
    """Stages of every feed, with the output fuse of a converter that needs one."""
    for load in v.instance.loads:
        users: dict[str, list[Var]] = defaultdict(list)
        for option, var in v.all_feeds(load):
            for part in option.parts:
                users[part].append(var)
        for part, choices in users.items():
            v.want(part, [(1, var) for var in choices], max(Counter(id(var) for var in choices).values()))
            v.need(choices, [part])


def bank_parts(_: Model, v: Variables) -> None:
    """The batteries of a bought bank, with their kit where several stand together."""
    for option, var in v.bank:
        if option.battery is not None:
            count = option.series * option.parallel
            v.want(option.battery.id, [(count, var)], count)
            v.need([var], [option.battery.id])
        if option.kit is not None:
            v.want(option.kit.id, [(1, var)], 1)


def junction_parts(model: Model, v: Variables) -> None:
    """A circuit with several feeds has one junction that takes them, its fuse and its conductor (rules 10)."""
    if not v.instance.job.limits.count_joints:
        return
    for group in v.groups:
        for circuit in group.circuits:
            if len(circuit.members) > 1:
                _junction(model, v, circuit)
        for junction in v.instance.junctions:
            chosen = [var for c in group.circuits for part, var in v.junction.get(c.key, []) if part is junction]
            v.want(junction.id, [(1, var) for var in chosen], len(group.loads) // 2)


def _junction(model: Model, v: Variables, circuit: Circuit) -> None:
    plugs = _plugs(v, circuit)
    is_sure = circuit.is_whole and not plugs
    many = v.opened(circuit)[0] if is_sure else v.new_choice(f"shared[{circuit.key}]")
    junctions = v.instance.junctions
    if is_sure:
        junctions = [junction for junction in junctions if junction.outlets >= len(circuit.members)]
    chosen = [(part, v.new_choice(f"junction[{circuit.key},{part.id}]")) for part in junctions]
    v.junction[circuit.key] = chosen
    model.add(sum(var for _, var in chosen) == many)
    if circuit.is_whole and plugs:
        # one chain needs no junction; as many as there are members less those plugged in need one that takes them
        size, laid = len(circuit.members), v.opened(circuit)[0]
        further = [(j.outlets - 1, var) for j, var in chosen]
        model.add(1 + total(further) + sum(plugs) >= size - size * (1 - laid))
        model.add(many <= laid)
    if not circuit.is_whole:
        _takes_all_who_join(model, v, circuit, many)
    for rating, _ in v.ratings(circuit):
        too_big = [var for other, var in v.ratings(circuit) if other >= rating]
        fits = [var for j, var in chosen if j.max_a >= rating]
        model.add(sum(too_big) <= sum(fits) + 1 - many)
    for mm2 in sorted({pair.pair.mm2 for pair, _ in v.pairs(circuit)}):
        thick = [var for pair, var in v.pairs(circuit) if pair.pair.mm2 >= mm2]
        takes = [var for j, var in chosen if j.mm2_max >= mm2]
        model.add(sum(thick) <= sum(takes) + 1 - many)


def _plugs(v: Variables, circuit: Circuit) -> list[Var]:
    """True for loads that plug into the chain of another and so need no place at a junction."""
    return [var for _, option, var in v.feeds_on(circuit) if option.host is not None]


def _takes_all_who_join(model: Model, v: Variables, circuit: Circuit, many: Var) -> None:
    for load in circuit.members[1:]:
        model.add(sum(var for option, var in v.feeds_of(load, circuit) if option.host is None) <= many)
    joined = [var for _, option, var in v.feeds_on(circuit) if option.host is None]
    outlets = [(j.outlets, var) for j, var in v.junction[circuit.key]]
    model.add(sum(joined) <= total(outlets) + len(circuit.members) * (1 - many))


def cuts(_: Model, v: Variables) -> None:
    """One twin cut or one of each single for every circuit, likewise for every cut lead."""
    for group in v.groups:
        for at_panel, mm in ((False, v.instance.run_mm(group.loads[0].place)), (True, v.instance.panel_mm)):
            for cable, want in _by_cable(v, [c for c in group.circuits if c.at_panel == at_panel]).items():
                v.cuts[cable][mm].wanted += want
                v.cuts[cable][mm].most += len(group.loads)
            for family in group.families:
                for cable, want in _by_cable(v, [c for c in family if c.at_panel == at_panel]).items():
                    v.cuts[cable][mm].exclusive.append(want)
    for load in v.instance.loads:
        _cut_leads(v, load)
        _cut_run(v, load)


def _cut_run(v: Variables, load: Load) -> None:
    """The run behind a boosted feed."""
    users: dict[str, list[Var]] = defaultdict(list)
    for run, var in v.boost_run.get(load.id, []):
        for cable in run.pair.ids:
            users[cable].append(var)
    for cable, want in users.items():
        demand = v.cuts[cable][v.instance.run_mm(load.place)]
        demand.wanted += want
        demand.most += 1
        demand.exclusive.append(want)


def _by_cable(v: Variables, circuits: list[Circuit]) -> dict[str, list[Var]]:
    users: dict[str, list[Var]] = defaultdict(list)
    for circuit in circuits:
        for pair, var in v.pairs(circuit):
            for cable in pair.pair.ids:
                users[cable].append(var)
    return users


def _cut_leads(v: Variables, load: Load) -> None:
    users: dict[str, list[Var]] = defaultdict(list)
    for option, var in v.all_feeds(load):
        for cable in option.lead_ids:
            users[cable].append(var)
    for cable, want in users.items():
        demand = v.cuts[cable][v.instance.lead_mm(load)]
        demand.wanted += want
        demand.most += 1
        demand.exclusive.append(want)


def terminal_parts(model: Model, v: Variables) -> None:
    """Terminals for every conductor size, in any mix of parts whose range holds it."""
    terminals = list(v.instance.catalogue.of(Terminal))
    for mm2, wanted in sorted(terminals_wanted(v).items()):
        fitting = [part.id for part in terminals if part.mm2_min <= mm2 <= part.mm2_max]
        for family in v.families():
            v.need([var for c in family for pair, var in v.pairs(c) if pair.pair.mm2 == mm2], fitting)
        most = min(sum(coef * upper(var) for coef, var in wanted), _most_terminals(v))
        used = [
            (part, v.new_count(most, f"terminal[{part.id},{mm2:g}]"))
            for part in terminals
            if part.mm2_min <= mm2 <= part.mm2_max
        ]
        for part, var in used:
            v.want(part.id, [(1, var)], most)
        model.add(sum(var for _, var in used) == total(wanted))


def _most_terminals(v: Variables) -> int:
    """More terminals than any plan needs."""
    leads = len(v.instance.loads) + len(v.boost_run)
    return (TERMINALS_EACH + 2 * TERMINALS_JOINT) * v.most_circuits + TERMINALS_EACH * leads


def terminals_wanted(v: Variables) -> dict[float, list[Term]]:
    """Terminals by the conductor size they must take. [mm²] -> terms"""
    counts_joints = v.instance.job.limits.count_joints
    wanted: dict[float, list[Term]] = defaultdict(list)
    for circuit in v.circuits:
        each = TERMINALS_EACH + (TERMINALS_JOINT if counts_joints and circuit.switch else 0)
        for pair, var in v.pairs(circuit):
            wanted[pair.pair.mm2].append((each, var))
    for load in v.instance.loads:
        for option, var in v.all_feeds(load):
            if option.lead is not None:
                wanted[option.lead.mm2].append((TERMINALS_EACH, var))
        for run, var in v.boost_run.get(load.id, []):
            wanted[run.pair.mm2].append((TERMINALS_EACH, var))
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
        most = -(-each * max(1, _most_counted(v, parts[0].per)) // EACH_SCALE)
        if parts[0].per in ("circuit", "termination"):
            for family in v.families():
                v.need([var for c in family for var in v.opened(c)], [part.id for part in parts])
        used = [v.new_count(most, f"consumable[{part.id}]") for part in parts]
        for part, var in zip(parts, used, strict=True):
            v.want(part.id, [(1, var)], most)
        wanted = each if parts[0].per == "job" else each * total(count)
        model.add(EACH_SCALE * sum(used) >= wanted)


def _most_counted(v: Variables, per: str) -> int:
    return (
        _most_terminals(v) if per == "termination" else max(v.most_circuits, len(v.instance.loads) + len(v.boost_run))
    )


def _count_of(v: Variables, per: str) -> list[Term]:
    if per == "circuit":
        return [(1, var) for circuit in v.circuits for var in v.opened(circuit)]
    if per == "termination":
        return [term for terms in terminals_wanted(v).values() for term in terms]
    if per == "cut_lead":
        leads = [(1, var) for load in v.instance.loads for o, var in v.all_feeds(load) if o.lead is not None]
        return leads + [(1, var) for runs in v.boost_run.values() for _, var in runs]
    return []


DEMANDS: tuple[Rule, ...] = (
    feed_parts,
    bank_parts,
    junction_parts,
    cuts,
    terminal_parts,
    consumable_parts,
)
