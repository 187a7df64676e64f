"""Rules of planning rules 3 (and 10) about a circuit: sharing, voltage, conductor, switch, holder, junction."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.checks import rules
from optimizer.checks.facts import CircuitFacts, PlanFacts
from optimizer.checks.fuses import check_fuse
from optimizer.checks.leads import check_pair
from optimizer.checks.verdict import at_least, at_most, claim, num, same, unchecked
from optimizer.physics.resistance import COPPER_PER_K
from optimizer.plan import Check

_PRINTED = 1e-3  # documents print four decimals


def check_circuits(facts: PlanFacts) -> Iterator[Check]:
    """Every rule about circuits, in the order of the plan; then those about all of them."""
    for circuit in facts.circuits:
        yield from _sharing(circuit)
        yield from _floor(circuit)
        yield from _run(circuit)
        yield from _drop(circuit)
        yield from _settled(circuit)
        yield from check_fuse(facts, circuit)
        yield from _conductor(circuit)
        yield from _switch(circuit)
        yield from _holder(circuit)
        yield from _junction(circuit)
    yield _ways(facts)
    if facts.circuits:
        yield unchecked(rules.TORQUE, "plan", "tighten to the maker's torque: nobody can see that from here")


def _sharing(circuit: CircuitFacts) -> Iterator[Check]:
    loads = [feed.load for feed in circuit.feeds]
    names = ", ".join(load.label for load in loads)
    fed = sorted(load.id for load in loads) == sorted(circuit.circuit.loads) and bool(loads)
    yield claim(rules.FEED_CIRCUIT, circuit.subject, fed, f"feeds {names or 'nothing'}, as it lists")
    there = all(load.place == circuit.circuit.place for load in loads)
    yield claim(rules.ONE_PLACE, circuit.subject, there, f"all loads are at {circuit.place.label}")
    alone = len(loads) <= 1 or not any(load.own_circuit for load in loads)
    yield claim(rules.OWN_CIRCUIT, circuit.subject, alone, f"{len(loads)} loads: {names}")
    apart = len({load.switch for load in loads}) <= 1
    yield claim(rules.NOT_MIXED, circuit.subject, apart, "all loads switched, or none")


def _floor(circuit: CircuitFacts) -> Iterator[Check]:
    low_v = circuit.job.bus.low_v
    for feed in circuit.feeds:
        text = f"{feed.load.label} may see no less than {num(feed.floor_v)} V; the bus goes down to {num(low_v)} V"
        yield at_most(rules.FLOOR, circuit.subject, feed.floor_v, low_v, text)
    text = " and ".join(f"{num(feed.floor_v)} V for {feed.load.label}" for feed in circuit.feeds)
    recorded_v = circuit.circuit.floor_v
    yield same(rules.FLOOR_RECORDED, circuit.subject, recorded_v, circuit.floor_v, text, tolerance=_PRINTED)
    floor_a, high_a = circuit.current_a(circuit.floor_v), circuit.current_a(circuit.job.bus.high_v)
    text = (
        f"{num(floor_a)} A at {num(circuit.floor_v)} V, {num(high_a)} A at {num(circuit.job.bus.high_v)} V: "
        f"the larger, {num(circuit.design_a)} A"
    )
    recorded_a = circuit.circuit.design_a
    yield same(rules.DESIGN_RECORDED, circuit.subject, recorded_a, circuit.design_a, text, tolerance=_PRINTED)


def _run(circuit: CircuitFacts) -> Iterator[Check]:
    if not circuit.ends_at_panel and circuit.circuit.run_m is None:
        return
    stated_m = circuit.stated_run_m if circuit.ends_at_panel else None
    where = (
        "to the converter at the panel" if circuit.ends_at_panel else f"to {circuit.place.label}, as the place states"
    )
    text = f"{num(circuit.stated_run_m)} m {where}"
    yield same(rules.RUN_RECORDED, circuit.subject, circuit.circuit.run_m, stated_m, text)


def _drop(circuit: CircuitFacts) -> Iterator[Check]:
    low_v, floor_v, current_a = circuit.job.bus.low_v, circuit.floor_v, circuit.current_a(circuit.floor_v)
    drop_v, limit_v = current_a * circuit.loop_ohm, low_v - floor_v
    text = (
        f"{loop_text(circuit)} × {num(current_a)} A = {num(drop_v)} V; "
        f"limit {num(low_v)} V − {num(floor_v)} V = {num(limit_v)} V"
    )
    yield at_most(rules.DROP, circuit.subject, drop_v, limit_v, text)


def loop_text(circuit: CircuitFacts) -> str:
    """The loop resistance of a circuit as a builder would work it out."""
    limits = circuit.job.limits
    each = sorted({cable.ohm_per_km_20c for cable in circuit.cables})
    conductors = (
        f"2 × {num(circuit.run_m)} m × {num(each[0])}"
        if len(each) == 1
        else (f"{num(circuit.run_m)} m × ({' + '.join(num(ohm) for ohm in each)})")
    )
    warm = f"{num(1 + COPPER_PER_K * (limits.conductor_c - 20))} ({num(limits.conductor_c)} °C)"
    text = f"{conductors} Ω/km × {warm}"
    return f"({text} + {num(limits.joint_mohm)} mΩ)" if limits.joint_mohm else text


def _settled(circuit: CircuitFacts) -> Iterator[Check]:
    point, low_v, recorded = circuit.settled, circuit.job.bus.low_v, circuit.circuit.settled
    place_v = float("nan") if point is None else point.place_v
    current_a = None if point is None else point.current_a
    text = (
        f"{num(low_v)} V − {num(circuit.loop_ohm)} Ω × {num(current_a)} A = {num(place_v)} V; "
        f"floor {num(circuit.floor_v)} V"
        if point
        else "the run cannot carry these loads: no operating point"
    )
    yield at_least(rules.SETTLED, circuit.subject, place_v, circuit.floor_v, text)
    drop_v = None if point is None else low_v - point.place_v
    found = None if point is None else point.place_v
    for rule, stated, value in (
        (rules.SETTLED_V, recorded.place_v, found),
        (rules.SETTLED_A, recorded.current_a, current_a),
        (rules.SETTLED_DROP, recorded.drop_v, drop_v),
    ):
        text = f"plan states {num(stated)} {rule.unit}, the circuit equations give {num(value)} {rule.unit}"
        yield same(rule, circuit.subject, stated, value, text, tolerance=_PRINTED)


def _conductor(circuit: CircuitFacts) -> Iterator[Check]:
    yield check_pair(rules.PAIR, circuit.subject, circuit.cables)
    least_mm2 = circuit.job.limits.min_mm2
    text = f"{num(circuit.mm2)} mm²; at least {num(least_mm2)} mm²"
    yield at_least(rules.CONDUCTOR_MIN, circuit.subject, circuit.mm2, least_mm2, text)
    for feed in circuit.feeds:
        first = feed.stages[0] if feed.stages else None
        if first is not None and first.max_conductor_mm2 is not None:
            text = f"{num(circuit.mm2)} mm²; {first.label} takes up to {num(first.max_conductor_mm2)} mm²"
            yield at_most(rules.CONDUCTOR_MAX, circuit.subject, circuit.mm2, first.max_conductor_mm2, text)


def _switch(circuit: CircuitFacts) -> Iterator[Check]:
    asked, switch = any(feed.load.switch for feed in circuit.feeds), circuit.switch
    text = "a switch is asked for" if asked else "no switch is asked for"
    yield claim(rules.SWITCH, circuit.subject, asked == (switch is not None), text)
    if switch is None:
        return
    rating_a, high_v = circuit.fuse.rating_a, circuit.job.bus.high_v
    text = f"{switch.label} {num(switch.max_a)} A, fuse {num(rating_a)} A"
    yield at_least(rules.SWITCH_CURRENT, circuit.subject, switch.max_a, rating_a, text)
    text = f"{switch.label} {num(switch.max_v)} V DC, bus up to {num(high_v)} V"
    yield at_least(rules.SWITCH_VOLTAGE, circuit.subject, switch.max_v, high_v, text)


def _holder(circuit: CircuitFacts) -> Iterator[Check]:
    holder, bus = circuit.holder, circuit.job.bus
    if holder is None:
        return
    text = f"holder {holder.style}, panel {bus.fuse_style}"
    yield claim(rules.HOLDER_STYLE, circuit.subject, holder.style == bus.fuse_style, text)
    text = f"holder {num(holder.max_a)} A, largest fuse {num(bus.way_max_a)} A"
    yield at_least(rules.HOLDER_CURRENT, circuit.subject, holder.max_a, bus.way_max_a, text)
    text = f"holder {num(holder.max_v)} V, bus up to {num(bus.high_v)} V"
    yield at_least(rules.HOLDER_VOLTAGE, circuit.subject, holder.max_v, bus.high_v, text)


def _junction(circuit: CircuitFacts) -> Iterator[Check]:
    count, junction = len(circuit.chains), circuit.junction
    if circuit.job.limits.count_joints:
        text = f"{count} feeds: " + ("a junction splits them" if count > 1 else "nothing to split")
        yield claim(rules.JUNCTION, circuit.subject, count <= 1 or junction is not None, text)
    if junction is None:
        return
    rating_a, high_v = circuit.fuse.rating_a, circuit.job.bus.high_v
    text = f"{num(junction.outlets)} outlets for {count} feeds"
    yield at_least(rules.JUNCTION_OUTLETS, circuit.subject, junction.outlets, count, text)
    text = f"junction {num(junction.max_a)} A, fuse {num(rating_a)} A"
    yield at_least(rules.JUNCTION_CURRENT, circuit.subject, junction.max_a, rating_a, text)
    text = f"junction {num(junction.max_v)} V, bus up to {num(high_v)} V"
    yield at_least(rules.JUNCTION_VOLTAGE, circuit.subject, junction.max_v, high_v, text)
    text = f"junction up to {num(junction.mm2_max)} mm², conductor {num(circuit.mm2)} mm²"
    yield at_least(rules.JUNCTION_CONDUCTOR, circuit.subject, junction.mm2_max, circuit.mm2, text)


def _ways(facts: PlanFacts) -> Check:
    taken, spare = sum(c.holder is None for c in facts.circuits), facts.job.bus.spare_ways
    in_line = len(facts.circuits) - taken
    text = f"{len(facts.circuits)} circuits − {in_line} in-line holders = {taken} of {spare} spare ways"
    return at_most(rules.WAYS, "panel", taken, spare, text)
