"""A chain of stages with every load plugged into it (additions 3)."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from optimizer.checks.feed_facts import FeedFacts
from optimizer.units import HOURS_PER_DAY


@dataclass(frozen=True, kw_only=True)
class ChainFacts:
    """One chain. The host comes first where it is there; nearly every chain has one load, its host."""

    feeds: tuple[FeedFacts, ...]

    @property
    def is_shared(self) -> bool:
        return len(self.feeds) > 1 or self.feeds[0].feed.shares is not None

    @property
    def outputs_w(self) -> tuple[float, ...]:
        """What every stage puts out with all loads at peak, each idle power once. [W]"""
        each = [feed.peak_powers_w[0] for feed in self.feeds]
        return tuple(math.fsum(powers) for powers in zip(*each, strict=True))

    @property
    def average_w(self) -> float:
        """Average over a day taken from the bus, wiring allowance included. [W]"""
        if not self.is_shared:
            return self.feeds[0].bus_average_w
        use_w = math.fsum(feed.use_average_w for feed in self.feeds)
        idle_w = self.feeds[0].idle_w * self.live_h / HOURS_PER_DAY
        return (use_w + idle_w) * (1 + self.feeds[0].job.limits.wiring_allowance_pct / 100)

    @property
    def live_h(self) -> float:
        """Hours a day that the chain counts as live: no credit for hours that overlap. [h]"""
        if not all(feed.load.switch for feed in self.feeds):
            return HOURS_PER_DAY
        return min(HOURS_PER_DAY, math.fsum(feed.load.hours_per_day for feed in self.feeds))


def chains_of(feeds: Iterable[FeedFacts]) -> tuple[ChainFacts, ...]:
    """The chains of some feeds from the bus, in the order of their hosts; what shares with nobody comes last."""
    feeds = tuple(feeds)
    chains = [[feed] for feed in feeds if feed.feed.shares is None]
    for feed in feeds:
        if feed.feed.shares is not None:
            chain = next((chain for chain in chains if feed.feed.shares in _names(chain[0])), None)
            chain.append(feed) if chain is not None else chains.append([feed])
    return tuple(ChainFacts(feeds=tuple(chain)) for chain in chains)


def _names(first: FeedFacts) -> tuple[str | None, ...]:
    """Who shares a chain names its host, which may be missing."""
    return (first.load.id,) if first.feed.shares is None else (first.feed.shares,)
