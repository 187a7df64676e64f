"""Rules about the lead between the last part of a feed and its load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.catalogue import Cable
from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.checks.installed import Installed
from optimizer.checks.rules import Rule
from optimizer.checks.verdict import at_least, at_most, claim, num
from optimizer.job import CutLead
from optimizer.plan import Check


def check_lead(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    """A lead that came with the load needs nothing; one to be cut must be sized and protected."""
    asked = isinstance(feed.load.lead, CutLead)
    text = "cut from a spool" if asked else f"came with the load, {num(feed.lead_ohm)} Ω"
    yield claim(rules.LEAD_GIVEN, feed.subject, asked == (feed.feed.lead is not None), text)
    if feed.feed.lead is None:
        return
    yield check_pair(rules.LEAD_PAIR, feed.subject, feed.lead_cables)
    mm2 = max((cable.mm2 for cable in feed.lead_cables), default=0.0)
    least_mm2 = facts.job.limits.min_mm2
    text = f"{num(mm2)} mm²; at least {num(least_mm2)} mm²"
    yield at_least(rules.LEAD_MIN, feed.subject, mm2, least_mm2, text)
    last = feed.stages[-1] if feed.stages else None
    if last is not None and last.max_conductor_mm2 is not None:
        text = f"{num(mm2)} mm²; {last.label} takes up to {num(last.max_conductor_mm2)} mm²"
        yield at_most(rules.LEAD_MAX, feed.subject, mm2, last.max_conductor_mm2, text)
    yield from _protection(facts, feed)


def check_pair(rule: Rule, subject: str, cables: Sequence[Cable]) -> Check:
    """One twin cable, or a positive and a negative single of the same size."""
    twin = len(cables) == 1 and cables[0].cores == 2
    singles = sorted(cable.polarity or "" for cable in cables if cable.cores == 1) == ["negative", "positive"]
    same_size = len({cable.mm2 for cable in cables}) == 1
    text = " + ".join(f"{c.polarity or 'twin'} {num(c.mm2)} mm²" for c in cables) or "no cable"
    return claim(rule, subject, twin or (singles and same_size and len(cables) == 2), text)


def installed_text(installed: Installed) -> str:
    """Ampacity as installed, the way a builder works it out."""
    ambient = f"{num(installed.ambient_factor)} ({num(installed.ambient_c)} °C)"
    bundling = f"{num(installed.bundling_factor)} ({installed.bundled} loaded conductors)"
    return f"{num(installed.table_a)} A × {ambient} × {bundling} = {num(installed.ampacity_a)} A"


def _protection(facts: PlanFacts, feed: FeedFacts) -> Iterator[Check]:
    """What stops the current in the lead: the circuit's fuse, an output fuse, or the converter's own limit."""
    installed = facts.lead_installed(feed)
    stage, fused_a = feed.last_converter, _fused_a(facts, feed)
    if fused_a is None and stage is not None and stage.out_v is not None:
        most_a = stage.max_out_w / stage.out_v
        text = f"{stage.label} at full output: {num(stage.max_out_w)} W / {num(stage.out_v)} V = {num(most_a)} A"
    else:
        most_a = float("nan") if fused_a is None else fused_a
        text = f"fuse {num(most_a)} A"
    text += f"; lead carries {installed_text(installed)}"
    yield at_most(rules.LEAD_PROTECTION, feed.subject, most_a, installed.ampacity_a, text)
    ceilings_a = [cable.max_fuse_a for cable in feed.lead_cables if cable.max_fuse_a is not None]
    if fused_a is not None and ceilings_a:
        text = f"fuse {num(fused_a)} A; usual ceiling of this conductor {num(min(ceilings_a))} A"
        yield at_most(rules.LEAD_MAX_FUSE, feed.subject, fused_a, min(ceilings_a), text)


def _fused_a(facts: PlanFacts, feed: FeedFacts) -> float | None:
    """Rating of the fuse that guards the lead; None where the converter before it does. [A]"""
    if feed.is_direct:
        circuit = facts.circuit_of(feed)
        return circuit.fuse.rating_a if circuit else None
    last = max(i for i, stage in enumerate(feed.stages) if stage.out_v is not None)
    return feed.output_fuse.rating_a if feed.output_fuse and last in feed.unlimited else None
