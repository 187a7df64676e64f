"""Whole chains, and which of them another beats whatever load and lead follow: so that most are never sized.

With the same voltage at its end a chain differs from another only in what it draws, what it can pass on and what it
asks of its circuit and its lead. All of that is known without the lead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from optimizer.catalogue import Stage
from optimizer.converted import fuse_limit_a
from optimizer.feed_option import reached_by_bus
from optimizer.job import Job, Load, SuppliedLead
from optimizer.prices import BySeller, PriceBounds
from optimizer.rivals import Rivals

Chain = tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class _Rated:
    chain: Chain
    parts: frozenset[str]
    is_limited: bool  # no output fuse has to be found
    figures: tuple[float, ...]


class Ends:
    """Compares the chains that end in the form some loads take."""

    def __init__(self, job: Job, loads: Sequence[Load], prices: PriceBounds, other_fuse: tuple[BySeller, ...]) -> None:
        self._prices = prices
        self._other_fuse = other_fuse
        self._most_fuse_a = job.bus.way_max_a
        self._has_lead = any(not isinstance(load.lead, SuppliedLead) for load in loads)
        self._headroom = 1 + job.limits.headroom_pct / 100
        drops = [job.drop_pct(load) / 100 for load in loads]
        self._least_floor_v = job.bus.low_v - max(drops, default=0.0) * job.bus.nominal_v
        self._most_asked_w = math.inf
        if all(load.behaviour != "resistive" for load in loads):
            asked = [load.peak_w / (1 - drop) for load, drop in zip(loads, drops, strict=True)]  # the lead's loss too
            self._most_asked_w = max(asked, default=0.0) * (1 + 1e-6)

    def unbeaten(self, chains: Iterable[Chain]) -> list[Chain]:
        """The chains that no other of them beats, in their order; those that fix no voltage always stay."""
        chains = list(chains)
        by_voltage: dict[float, list[_Rated]] = {}
        kept: set[Chain] = set()
        for chain in chains:
            fixer = next((stage for stage in reversed(chain) if stage.out_v is not None), None)
            if fixer is None or fixer.out_v is None:
                kept.add(chain)
            else:
                by_voltage.setdefault(fixer.out_v, []).append(self._rate(chain, fixer))
        for rated in by_voltage.values():
            rated.sort(key=self._promise)
            rivals = Rivals[_Rated](self._beats)
            for one in rated:
                if not rivals.beats(one):
                    rivals.add(one)
            kept.update(one.chain for one in rivals.members)
        return [chain for chain in chains if chain in kept]

    def _promise(self, one: _Rated) -> tuple[int, float, tuple[str, ...]]:
        """Short and cheap chains first: they beat most."""
        cents = self._prices.most_together_cents([self._prices.by_seller(part) for part in sorted(one.parts)])
        return (len(one.chain), cents, tuple(stage.id for stage in one.chain))

    def _rate(self, chain: Chain, fixer: Stage) -> _Rated:
        most_out_w, per_w, idle_w = math.inf, 1.0, 0.0
        for stage in reversed(chain):
            most_out_w = min(most_out_w, (stage.max_out_w / self._headroom - idle_w) / per_w)
            idle_w = stage.idle_w + idle_w / stage.efficiency
            per_w /= stage.efficiency
        floor_v = max([self._least_floor_v, *(stage.in_min_v for stage in reached_by_bus(chain))])
        figures: tuple[float, ...] = (
            idle_w,
            per_w,
            -min(most_out_w, self._most_asked_w),
            -min(fuse_limit_a(chain), self._most_fuse_a),
            -(chain[0].max_conductor_mm2 or math.inf),
            floor_v,
            -floor_v,  # equal floors: a lower one lets the design current rise
        )
        if self._has_lead:
            assert fixer.out_v is not None
            needs_a = fixer.max_out_w / fixer.out_v if fixer.limits_output else 0.0
            figures += (needs_a, -(chain[-1].max_conductor_mm2 or math.inf))
        return _Rated(chain, frozenset(stage.id for stage in chain), fixer.limits_output, figures)

    def _beats(self, better: _Rated, worse: _Rated) -> bool:
        """Whether a chain with no worse figures is surely no dearer, another fuse included."""
        if not better.is_limited:
            return False
        if better.parts < worse.parts and not self._other_fuse:
            return True
        return self._prices.is_surely_cheaper(better.parts, worse.parts, self._other_fuse)
