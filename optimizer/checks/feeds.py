"""Rules of planning rules 2 (and 10): how each load is supplied."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import BUS_FORM, CEILING_V, Stage
from optimizer.checks import rules
from optimizer.checks.boosting import check_boost
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.checks.leads import check_lead
from optimizer.checks.sharing import check_sharing
from optimizer.checks.verdict import at_least, at_most, claim, num
from optimizer.physics.operating_point import Resistive
from optimizer.plan import Check

_MOST_STAGES = 3


def check_feeds(facts: PlanFacts) -> Iterator[Check]:
    """Every rule about feeds, load by load in the order of the job."""
    yield at_most(rules.CEILING, "bus", facts.job.bus.high_v, CEILING_V, f"bus up to {num(facts.job.bus.high_v)} V DC")
    for load in facts.job.loads:
        feeds = [feed for feed in facts.feeds if feed.load.id == load.id]
        yield claim(rules.LOAD_FED, f"load {load.label}", len(feeds) == 1, f"{len(feeds)} feeds for this load")
        for feed in feeds:
            yield from _from_bus(facts, feed) if feed.from_bus else _from_outlet(facts, feed)
    yield from check_sharing(facts)


def _from_outlet(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    given = feed.feed
    bare = not given.stages and not feed.is_boosted
    bare = bare and (given.circuit, given.lead, given.output_fuse, given.shares) == (None, None, None, None)
    able = facts.job.ac is not None and feed.load.brick is not None
    text = "through its own mains adapter at the AC outlet as it stands: nothing to buy"
    yield claim(rules.AC_FEED, feed.subject, bare and able, text)


def _from_bus(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    circuit = facts.circuit_of(feed)
    listed = circuit is not None and feed.load.id in circuit.circuit.loads
    on = circuit.subject if circuit else "no circuit"
    yield claim(rules.FEED_CIRCUIT, feed.subject, listed, f"fed on {on}, which lists it")
    yield from _chain(feed)
    yield from _stage_windows(facts, feed)
    yield from _load_window(facts, feed)
    yield from _ratings(facts, feed)
    yield from _stage_inputs(facts, feed)
    yield from _output_fuse(feed)
    yield from check_lead(facts, feed)
    yield from check_boost(facts, feed)


def _chain(feed: FeedFacts) -> Iterator[Check]:
    forms = [BUS_FORM, *(stage.out_form for stage in feed.stages)]
    fits = [stage.in_form for stage in feed.stages] == forms[:-1] and forms[-1] == feed.load.needs.form
    text = f"{' → '.join(forms)}; the load takes {feed.load.needs.form}"
    yield claim(rules.CHAIN_FORMS, feed.subject, fits, text)
    count = len(feed.stages)
    yield at_most(rules.CHAIN_LENGTH, feed.subject, count, _MOST_STAGES, f"{count} of at most {_MOST_STAGES} stages")
    needed = len(set(feed.feed.stages)) == count and not any(_is_idle(stage) for stage in feed.stages)
    yield claim(rules.CHAIN_NEEDED, feed.subject, needed, "no part twice, none that changes nothing")


def _is_idle(stage: Stage) -> bool:
    return stage.out_v is None and stage.in_form == stage.out_form


def _stage_windows(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    circuit = facts.circuit_of(feed)
    floor_v, high_v = circuit.floor_v if circuit else feed.floor_v, facts.job.bus.high_v
    for position, stage in enumerate(feed.stages):
        fixed_v = feed.voltage_before(position)
        least_v, most_v = (floor_v, high_v) if fixed_v is None else (fixed_v, fixed_v)
        if fixed_v is not None and _is_at_run_end(feed, position):
            least_v = float("nan") if feed.run_end_v is None else feed.run_end_v
        window = f"{stage.label} accepts {num(stage.in_min_v)} to {num(stage.in_max_v)} V"
        text = f"{window}; it sees {num(least_v)} to {num(most_v)} V"
        yield at_least(rules.STAGE_LOW, feed.subject, least_v, stage.in_min_v, text)
        yield at_most(rules.STAGE_HIGH, feed.subject, most_v, stage.in_max_v, text)
        if stage.out_v is not None:
            text = f"{stage.label} puts out {num(stage.out_v)} V DC"
            yield at_most(rules.CEILING, feed.subject, stage.out_v, CEILING_V, text)


def _is_at_run_end(feed: FeedFacts, position: int) -> bool:
    """Whether a stage at the place sees what is left of the voltage that the run carries (additions 2)."""
    first = feed.feed.panel_stages
    return feed.run is not None and first <= position < first + len(feed.reached_by_run)


def _load_window(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    needs = feed.load.needs
    most_v = facts.job.bus.high_v if feed.out_v is None else feed.out_v
    text = f"load accepts {num(needs.min_v)} to {num(needs.max_v)} V; unloaded it sees {num(most_v)} V"
    yield at_most(rules.LOAD_HIGH, feed.subject, most_v, needs.max_v, text)
    least_v, text = _least_load_v(facts, feed)
    nan = float("nan")  # a load that cannot run has no voltage, and fails
    yield at_least(rules.LOAD_LOW, feed.subject, nan if least_v is None else least_v, needs.min_v, text)
    if feed.out_v is not None:
        limit_v = facts.job.drop_pct(feed.load) / 100 * feed.out_v
        drop_v = nan if feed.behind_v is None else feed.out_v - feed.behind_v
        text = (
            f"{num(feed.out_v)} V − {num(feed.behind_v)} V = {num(drop_v)} V lost in the "
            f"{'run and the lead' if feed.hangs_on_run else 'lead'}; "
            f"limit {num(facts.job.drop_pct(feed.load))} % × {num(feed.out_v)} V = {num(limit_v)} V"
        )
        yield at_most(rules.LEAD_DROP, feed.subject, drop_v, limit_v, text)


def _least_load_v(facts: PlanFacts, feed: FeedFacts) -> tuple[float | None, str]:
    if feed.out_v is not None:
        return feed.behind_v, _behind_lead(feed, feed.out_v, feed.behind_v)
    circuit = facts.circuit_of(feed)
    if circuit is None or circuit.settled is None:
        return None, "the run cannot carry this load: no operating point"
    place_v = circuit.settled.place_v
    return feed.draw.load_v(place_v), _behind_lead(feed, place_v, feed.draw.load_v(place_v))


def _behind_lead(feed: FeedFacts, source_v: float, load_v: float | None) -> str:
    u, r, v = num(source_v), num(feed.behind_ohm), num(load_v)
    if isinstance(feed.appliance, Resistive):
        own = num(feed.appliance.load_ohm)
        return f"{u} V × {own} Ω / ({own} Ω + {r} Ω) = {v} V"
    if load_v is None:
        return f"{num(feed.load.peak_w)} W cannot be carried from {u} V over a lead of {r} Ω"
    return f"({u} + √({u}² − 4 × {r} Ω × {num(feed.load.peak_w)} W)) / 2 = {v} V"


def _ratings(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    """Of a shared chain the powers of all its loads together, told once: for its host."""
    chain = next((chain for chain in facts.chains if chain.feeds[0] is feed), None)
    if chain is None or any(other.feed.stages != feed.feed.stages for other in chain.feeds):
        return  # told for another, or no chain at all: that fails by itself
    headroom_pct, outputs_w = feed.job.limits.headroom_pct, chain.outputs_w
    for stage, out_w in zip(feed.stages, outputs_w, strict=True):
        value_w = out_w * (1 + headroom_pct / 100)
        text = (
            f"{stage.label}: {num(out_w)} W × {num(1 + headroom_pct / 100)} = {num(value_w)} W; "
            f"rated {num(stage.max_out_w)} W"
        )
        yield at_most(rules.STAGE_RATING, feed.subject, value_w, stage.max_out_w, text)


def _stage_inputs(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    """A passive plug or injector: what protects it must not pass more than it stands."""
    circuit = facts.circuit_of(feed)
    for position, stage in enumerate(feed.stages):
        if stage.max_in_a is None:
            continue
        before = feed.converter_before(position)
        if before is not None and before.out_v is not None:
            most_a = before.max_out_w / before.out_v
            text = f"{before.label} at full output: {num(before.max_out_w)} W / {num(before.out_v)} V = {num(most_a)} A"
        else:
            most_a = circuit.fuse.rating_a if circuit else float("nan")
            text = f"fuse {num(most_a)} A"
        text += f"; {stage.label} takes in at most {num(stage.max_in_a)} A"
        yield at_most(rules.STAGE_INPUT, feed.subject, most_a, stage.max_in_a, text)


def _output_fuse(feed: FeedFacts) -> Iterator[Check]:
    unlimited, fuse, holder = feed.unlimited, feed.output_fuse, feed.output_holder
    if not unlimited and fuse is None:
        return
    given = int(fuse is not None)
    text = f"{len(unlimited)} converters that do not limit their own output, {given} output fuses"
    text += " (at most one a feed, behind its last converter)"
    fits = given == len(unlimited) and all(feed.stages[n] is feed.last_converter for n in unlimited)
    yield claim(rules.OUTPUT_FUSE, feed.subject, fits, text)
    if not fits or fuse is None or holder is None:
        return
    position = unlimited[0]
    stage = feed.stages[position]
    out_v = stage.out_v or 0.0
    peak_a = feed.peak_powers_w[0][position] / out_v
    text = f"1.25 × {num(peak_a)} A = {num(1.25 * peak_a)} A ≤ {num(fuse.rating_a)} A behind {stage.label}"
    yield at_least(rules.OUTPUT_LOAD, feed.subject, fuse.rating_a, 1.25 * peak_a, text)
    text = f"fuse {fuse.style}, holder {holder.style}"
    yield claim(rules.OUTPUT_STYLE, feed.subject, fuse.style == holder.style, text)
    most_v = min(fuse.max_v, holder.max_v)
    text = f"fuse {num(fuse.max_v)} V, holder {num(holder.max_v)} V; {stage.label} puts out {num(out_v)} V"
    yield at_least(rules.OUTPUT_VOLTAGE, feed.subject, most_v, out_v, text)
    text = f"holder {num(holder.max_a)} A, fuse {num(fuse.rating_a)} A"
    yield at_least(rules.OUTPUT_HOLDER, feed.subject, holder.max_a, fuse.rating_a, text)
    following = feed.stages[position + 1 : position + 2]
    for after in following:
        if after.max_in_a is not None:
            text = f"fuse {num(fuse.rating_a)} A; {after.label} takes in at most {num(after.max_in_a)} A"
            yield at_most(rules.OUTPUT_INPUT, feed.subject, fuse.rating_a, after.max_in_a, text)
