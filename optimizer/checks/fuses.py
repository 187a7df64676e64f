"""Rules about the fuse of a circuit: planning rules 3 and 10."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import Fuse
from optimizer.checks import rules
from optimizer.checks.facts import CircuitFacts, PlanFacts
from optimizer.checks.leads import installed_text
from optimizer.checks.verdict import at_least, at_most, claim, num, unchecked
from optimizer.physics import protection
from optimizer.plan import Check
from optimizer.units import FORGIVEN

_INRUSH_RATIO = 1.5  # a fuse this far above a converter's rated input rides its inrush: common practice


def check_fuse(facts: PlanFacts, circuit: CircuitFacts) -> Iterator[Check]:
    """Every rule about the fuse of one circuit."""
    yield from _against_current(facts, circuit)
    yield from _against_parts(circuit)
    yield from _itself(facts, circuit)
    yield _far_fault(circuit)
    yield from _inrush(circuit)
    text = f"{circuit.fuse.label}: how long it carries an overload is on the maker's curve, which no document holds"
    yield unchecked(rules.FUSE_CURVE, circuit.subject, text)


def _against_current(facts: PlanFacts, circuit: CircuitFacts) -> Iterator[Check]:
    rating_a = circuit.fuse.rating_a
    least_a = protection.least_rating_a(circuit.design_a)
    text = f"1.25 × {num(circuit.design_a)} A = {num(least_a)} A; fuse {num(rating_a)} A"
    yield at_least(rules.FUSE_LOAD, circuit.subject, rating_a, least_a, text)
    text = f"fuse {num(rating_a)} A; cable carries {installed_text(circuit.installed)}"
    yield at_most(rules.FUSE_CABLE, circuit.subject, rating_a, circuit.ampacity_a, text)
    ratio = facts.job.limits.fuse_ratio_max
    if ratio is not None:
        next_a = _next_rating_a(facts, least_a)
        most_a = max(ratio * circuit.design_a, next_a)
        text = (
            f"fuse {num(rating_a)} A; at most {num(ratio)} × {num(circuit.design_a)} A "
            f"or the smallest on offer from {num(least_a)} A, {num(next_a)} A"
        )
        yield at_most(rules.FUSE_RATIO, circuit.subject, rating_a, most_a, text)


def _next_rating_a(facts: PlanFacts, least_a: float) -> float:
    """Smallest rating that can be had, suits the panel and carries a current. [A]"""
    owned = {owned.part for owned in facts.job.owned}
    bus = facts.job.bus
    ratings_a = [
        fuse.rating_a
        for fuse in facts.catalogue.of(Fuse)
        if (fuse.id in owned or facts.catalogue.offers_of(fuse.id))
        and fuse.style == bus.fuse_style
        and fuse.max_v >= bus.high_v
        and fuse.interrupt_a >= facts.fault_a
        and fuse.rating_a >= least_a * (1 - FORGIVEN)
    ]
    return min(ratings_a, default=0.0)


def _against_parts(circuit: CircuitFacts) -> Iterator[Check]:
    rating_a, way_a = circuit.fuse.rating_a, circuit.job.bus.way_max_a
    text = f"fuse {num(rating_a)} A; a way takes {num(way_a)} A"
    yield at_most(rules.FUSE_WAY, circuit.subject, rating_a, way_a, text)
    for feed in circuit.feeds:
        for stage in feed.reached:
            if stage.max_fuse_a is not None:
                text = f"fuse {num(rating_a)} A; {stage.label} allows {num(stage.max_fuse_a)} A"
                yield at_most(rules.FUSE_STAGE, circuit.subject, rating_a, stage.max_fuse_a, text)
        if feed.is_direct and feed.max_fuse_a is not None:
            says = "states" if feed.load.max_fuse_a is not None else "states nothing and is taken to allow"
            text = f"fuse {num(rating_a)} A; {feed.load.label} {says} {num(feed.max_fuse_a)} A"
            yield at_most(rules.FUSE_DIRECT, circuit.subject, rating_a, feed.max_fuse_a, text)
    ceilings_a = [cable.max_fuse_a for cable in circuit.cables if cable.max_fuse_a is not None]
    if ceilings_a:
        text = f"fuse {num(rating_a)} A; usual ceiling of {num(circuit.mm2)} mm² {num(min(ceilings_a))} A"
        yield at_most(rules.CABLE_MAX_FUSE, circuit.subject, rating_a, min(ceilings_a), text)


def _itself(facts: PlanFacts, circuit: CircuitFacts) -> Iterator[Check]:
    fuse, bus = circuit.fuse, facts.job.bus
    text = f"fuse {fuse.style}, panel {bus.fuse_style}"
    yield claim(rules.FUSE_STYLE, circuit.subject, fuse.style == bus.fuse_style, text)
    text = f"fuse {num(fuse.max_v)} V, bus up to {num(bus.high_v)} V"
    yield at_least(rules.FUSE_VOLTAGE, circuit.subject, fuse.max_v, bus.high_v, text)
    text = f"fuse breaks {num(fuse.interrupt_a)} A; panel {num(bus.fault_a)} A"
    if facts.bank_fault_a is not None:
        text += f", bank {facts.bank.parallel} strings = {num(facts.bank_fault_a)} A"
    yield at_least(rules.FUSE_INTERRUPT, circuit.subject, fuse.interrupt_a, facts.fault_a, text)


def _far_fault(circuit: CircuitFacts) -> Check:
    multiple, bus = circuit.job.limits.far_fault_multiple, circuit.job.bus
    text = (
        f"{num(bus.nominal_v)} V / ({num(bus.nominal_v)} V / {num(bus.fault_a)} A + {num(circuit.loop_ohm)} Ω) "
        f"= {num(circuit.far_fault_a)} A"
    )
    if not multiple:
        return unchecked(rules.FAR_FAULT, circuit.subject, f"{text}; no multiple asked for", circuit.far_fault_a)
    limit_a = multiple * circuit.fuse.rating_a
    text += f"; {num(multiple)} × {num(circuit.fuse.rating_a)} A = {num(limit_a)} A"
    return at_least(rules.FAR_FAULT, circuit.subject, circuit.far_fault_a, limit_a, text)


def _inrush(circuit: CircuitFacts) -> Iterator[Check]:
    low_v, rating_a = circuit.job.bus.low_v, circuit.fuse.rating_a
    for feed in circuit.feeds:
        stage = next((stage for stage in feed.reached if stage.out_v is not None), None)
        if stage is None or feed.feed.shares is not None:
            continue
        limit_a = _INRUSH_RATIO * (stage.idle_w + stage.max_out_w / stage.efficiency) / low_v
        text = f"{stage.label}: 1.5 × rated input = {num(limit_a)} A at {num(low_v)} V; fuse {num(rating_a)} A"
        if rating_a >= limit_a:
            yield at_least(rules.INRUSH, circuit.subject, rating_a, limit_a, text)
        else:
            text += ": whether it rides the inrush is for the maker's data to say"
            yield unchecked(rules.INRUSH, circuit.subject, text, rating_a, limit_a)
