"""Rules about one chain that feeds several loads: additions 3."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.checks import rules
from optimizer.checks.chain_facts import ChainFacts
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.checks.verdict import at_most, claim, num
from optimizer.plan import Check


def check_sharing(facts: PlanFacts) -> Iterator[Check]:
    """Nothing for chains of one load."""
    for chain in facts.chains:
        if chain.is_shared:
            yield from _shared(facts, chain)


def _shared(facts: PlanFacts, chain: ChainFacts) -> Iterator[Check]:
    first, count = chain.feeds[0], len(chain.feeds)
    names = ", ".join(feed.load.label for feed in chain.feeds)
    allowed = facts.job.limits.share_stages
    yield claim(rules.SHARE_ALLOWED, first.subject, allowed, "loads may share a chain only where that is asked")
    host = next((feed for feed in facts.feeds if feed.load.id == (first.feed.shares or first.load.id)), None)
    for feed in chain.feeds:
        if feed.feed.shares is not None:
            yield claim(rules.SHARE_HOST, feed.subject, host is not None and _plugs_in(feed, host), _text(feed))
    sound = bool(first.stages) and first.out_v is not None and not first.unlimited
    text = f"{names} behind {_chain(first)}: it fixes a voltage, and every converter limits its output"
    yield claim(rules.SHARE_CHAIN, first.subject, sound, text)
    most = first.stages[-1].outlets if first.stages else 0
    yield at_most(rules.SHARE_OUTLETS, first.subject, count, most, f"{count} loads ({names}), {num(most)} outlets")


def _plugs_in(feed: FeedFacts, host: FeedFacts) -> bool:
    same_chain = feed.feed.stages == host.feed.stages and feed.feed.circuit == host.feed.circuit
    at_host = feed.place == host.place and host.from_bus and host.feed.shares is None
    bare = feed.output_fuse is None and not feed.is_boosted and not host.is_boosted
    return same_chain and at_host and bare and host.load.id < feed.load.id


def _text(feed: FeedFacts) -> str:
    return f"plugged into the stages of {feed.feed.shares}: {_chain(feed)}, at the same place and on the same circuit"


def _chain(feed: FeedFacts) -> str:
    return " → ".join(stage.label for stage in feed.stages) or "no stage"
