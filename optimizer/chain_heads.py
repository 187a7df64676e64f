"""Beginnings of chains, and which of them another beats: so that most chains need never be listed."""

from __future__ import annotations

import math

from optimizer.catalogue import BUS_FORM, Stage
from optimizer.job import Job
from optimizer.prices import BySeller, PriceBounds
from optimizer.rivals import Rivals


class Heads:
    """Beginnings of chains that put out the same voltage on plain wire, and which of them another beats.

    Whatever converter follows sees no difference between two of them but the power they take and can pass on, so a
    beaten one needs no converter behind it. If the better one contains a stage that follows, the chain from that stage
    of it onwards is better still.
    """

    def __init__(self, job: Job, prices: PriceBounds, other_fuse: tuple[BySeller, ...]) -> None:
        self._prices = prices
        self._other_fuse = other_fuse
        self._most_fuse_a = job.bus.way_max_a
        self._headroom = 1 + job.limits.headroom_pct / 100
        drops_v = [job.drop_pct(load) / 100 * job.bus.nominal_v for load in job.loads]
        self._least_floor_v = job.bus.low_v - max(drops_v, default=0.0)
        self._pool: dict[float, Rivals[_Head]] = {}
        self._beaten: set[tuple[Stage, ...]] = set()

    def weigh(self, chains: list[tuple[Stage, ...]]) -> None:
        """Compare the chains of one length with each other and with all shorter ones."""
        heads = []
        for chain in chains:
            out_v = chain[-1].out_v
            if chain[-1].out_form == BUS_FORM and out_v is not None and all(s.out_v is not None for s in chain):
                heads.append((out_v, _Head(chain, self._least_floor_v, self._most_fuse_a, self._headroom)))
        heads.sort(key=lambda pair: pair[1].promise(self._prices))
        for out_v, head in heads:
            pool = self._pool.setdefault(out_v, Rivals[_Head](self._beats))
            if pool.beats(head):
                self._beaten.add(head.chain)
            else:
                pool.add(head)

    def _beats(self, better: _Head, worse: _Head) -> bool:
        """Whether a head with no worse figures is surely no dearer, another fuse included."""
        if len(better.chain) > len(worse.chain):
            return False
        if better.parts < worse.parts and not self._other_fuse:
            return True
        return self._prices.is_surely_cheaper(better.parts, worse.parts, self._other_fuse)

    def is_beaten(self, chain: tuple[Stage, ...]) -> bool:
        return chain in self._beaten


class _Head:
    __slots__ = ("chain", "figures", "parts")

    def __init__(self, chain: tuple[Stage, ...], least_floor_v: float, most_fuse_a: float, headroom: float) -> None:
        self.chain = chain
        self.parts = frozenset(stage.id for stage in chain)
        first = chain[0]
        most_out_w, per_w, idle_w = math.inf, 1.0, 0.0
        for stage in reversed(chain):
            most_out_w = min(most_out_w, (stage.max_out_w / headroom - idle_w) / per_w)
            idle_w = stage.idle_w + idle_w / stage.efficiency
            per_w /= stage.efficiency
        self.figures = (  # each the smaller the better
            idle_w,
            per_w,
            -most_out_w,
            -min(most_fuse_a, first.max_fuse_a or math.inf),
            -min(most_fuse_a, first.max_in_a or math.inf),
            -(first.max_conductor_mm2 or math.inf),
            max(first.in_min_v, least_floor_v),
            -max(first.in_min_v, least_floor_v),  # equal floors: a lower one lets the design current rise
        )

    def promise(self, prices: PriceBounds) -> tuple[float, tuple[str, ...]]:
        """Cheap ones first: they beat most."""
        cents = prices.most_together_cents([prices.by_seller(part) for part in sorted(self.parts)])
        return (cents, tuple(stage.id for stage in self.chain))
