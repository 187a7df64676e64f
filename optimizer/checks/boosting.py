"""Rules about stages that stand at the panel and the run behind them: additions 2."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import BUS_FORM, Stage
from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.checks.leads import check_pair, installed_text
from optimizer.checks.run_facts import RunFacts
from optimizer.checks.verdict import at_least, at_most, claim, num
from optimizer.plan import Check


def check_boost(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    """Nothing for a feed whose stages all stand at the place."""
    if not feed.is_boosted:
        return
    allowed = facts.job.limits.boost_at_panel
    yield claim(
        rules.BOOST_ALLOWED, feed.subject, allowed, "a converter may stand at the panel only where that is asked"
    )
    yield _position(feed)
    circuit = facts.circuit_of(feed)
    count = len(circuit.feeds) if circuit else 0
    yield claim(rules.BOOST_CIRCUIT, feed.subject, count == 1, f"{count} feeds on its circuit, 1 for a boosted feed")
    if feed.run is None or not feed.panel_stages:
        return
    yield from _drop(feed, feed.run)
    yield from _conductor(feed, feed.run)
    yield from _protection(facts, feed, feed.run)


def _position(feed: FeedFacts) -> Check:
    """All up to the first stage that fixes a voltage: above the bus's, on a pair of conductors; then one at most."""
    nominal_v, last = feed.job.bus.nominal_v, feed.panel_stages[-1] if feed.panel_stages else None
    names = ", ".join(stage.label for stage in feed.panel_stages) or "nothing"
    sound = feed.panel_stages == feed.reached and last is not None and feed.run is not None
    sound = sound and last is not None and last.out_form == BUS_FORM and (last.out_v or 0.0) > nominal_v
    sound = sound and sum(stage.out_v is not None for stage in feed.place_stages) <= 1
    behind = f"{num(last.out_v)} V on {last.out_form} behind it" if last and last.out_v else "no voltage fixed there"
    text = f"{names} at the panel, {behind}; a run carries more than {num(nominal_v)} V on {BUS_FORM}"
    return claim(rules.BOOST_POSITION, feed.subject, sound, text)


def _drop(feed: FeedFacts, run: RunFacts) -> Iterator[Check]:
    """As of a circuit, with what the run carries for the bus voltage."""
    floor_v = feed.run_floor_v
    text = f"what hangs on the run may see no less than {num(floor_v)} V of {num(run.source_v)} V"
    yield at_most(rules.RUN_FLOOR, feed.subject, floor_v, run.source_v, text)
    current_a = feed.run_current_a(floor_v)
    drop_v, limit_v = current_a * run.loop_ohm, run.source_v - floor_v
    text = (
        f"{num(run.loop_ohm)} Ω × {num(current_a)} A = {num(drop_v)} V; "
        f"limit {num(run.source_v)} V − {num(floor_v)} V = {num(limit_v)} V"
    )
    yield at_most(rules.RUN_DROP, feed.subject, drop_v, limit_v, text)


def _conductor(feed: FeedFacts, run: RunFacts) -> Iterator[Check]:
    yield check_pair(rules.RUN_PAIR, feed.subject, run.cables)
    mm2, least_mm2 = max(cable.mm2 for cable in run.cables), feed.job.limits.min_mm2
    text = f"{num(mm2)} mm²; at least {num(least_mm2)} mm²"
    yield at_least(rules.RUN_MIN, feed.subject, mm2, least_mm2, text)
    ends: tuple[Stage, ...] = (*feed.panel_stages[-1:], *feed.place_stages[:1])
    for stage in ends:
        if stage.max_conductor_mm2 is not None:
            text = f"{num(mm2)} mm²; {stage.label} takes up to {num(stage.max_conductor_mm2)} mm²"
            yield at_most(rules.RUN_MAX, feed.subject, mm2, stage.max_conductor_mm2, text)


def _protection(facts: PlanFacts, feed: FeedFacts, run: RunFacts) -> Iterator[Check]:
    """What stops the current in the run: the converter before it, or the output fuse behind that."""
    before = next((stage for stage in reversed(feed.panel_stages) if stage.out_v is not None), None)
    if before is None:
        return
    carried = f"; run carries {installed_text(facts.run_installed(feed))}"
    if before.limits_output:
        most_a = before.max_out_w / run.source_v
        text = f"{before.label} at full output: {num(before.max_out_w)} W / {num(run.source_v)} V = {num(most_a)} A"
    else:
        most_a = feed.output_fuse.rating_a if feed.output_fuse else float("nan")
        text = f"output fuse {num(most_a)} A"
    ampacity_a = facts.run_installed(feed).ampacity_a
    yield at_most(rules.RUN_PROTECTION, feed.subject, most_a, ampacity_a, text + carried)
    ceilings_a = [cable.max_fuse_a for cable in run.cables if cable.max_fuse_a is not None]
    if ceilings_a and not before.limits_output:
        text = f"output fuse {num(most_a)} A; usual ceiling of this conductor {num(min(ceilings_a))} A"
        yield at_most(rules.RUN_MAX_FUSE, feed.subject, most_a, min(ceilings_a), text)
