"""Beginnings of chains, and which of them another beats: so that most chains need never be listed."""

from __future__ import annotations

import numpy as np

from optimizer.arrays import Bools, Floats
from optimizer.catalogue import BUS_FORM
from optimizer.chain_table import Chains, unbeaten_chains
from optimizer.job import Job
from optimizer.price_table import Further, PartPrices


class Heads:
    """Beginnings of chains that put out the same voltage on plain wire, and which of them another beats.

    Whatever converter follows sees no difference between two of them but the power they take and can pass on, so a
    beaten one needs no converter behind it. If the better one contains a stage that follows, the chain from that stage
    of it onwards is better still.
    """

    def __init__(self, job: Job, prices: PartPrices, other_fuse: Further) -> None:
        self._prices = prices
        self._other_fuse = other_fuse
        self._most_fuse_a = job.bus.way_max_a
        self._headroom = 1 + job.limits.headroom_pct / 100
        drops_v = [job.drop_pct(load) / 100 * job.bus.nominal_v for load in job.loads]
        self._least_floor_v = job.bus.low_v - max(drops_v, default=0.0)

    def beaten(self, chains: Chains) -> Bools:
        """For each of all chains up to some length, whether another of them is the better beginning."""
        shelf = chains.shelf
        converts = (shelf.fixes[chains.index] | (chains.index == shelf.nothing)).all(axis=1)
        is_head = (chains.length > 0) & converts & (chains.form == shelf.form_codes[BUS_FORM])
        beaten = np.zeros(len(chains), dtype=bool)
        for out_v in np.unique(chains.fixed_v[is_head]):
            rows = np.flatnonzero(is_head & (chains.fixed_v == out_v))
            heads = chains[rows]
            left = unbeaten_chains(heads, self._figures(heads), self._prices, self._other_fuse)
            beaten[np.delete(rows, left)] = True
        return beaten

    def _figures(self, heads: Chains) -> list[Floats]:
        shelf, first = heads.shelf, heads.first
        idle_w, per_w, most_out_w = heads.passed_on(self._headroom)
        floor_v = heads.floor_v(self._least_floor_v)
        return [  # each the smaller the better
            idle_w,
            per_w,
            -most_out_w,
            -np.minimum(self._most_fuse_a, shelf.max_fuse_a[first]),
            -np.minimum(self._most_fuse_a, shelf.max_in_a[first]),
            -shelf.max_mm2[first],
            floor_v,
            -floor_v,  # equal floors: a lower one lets the design current rise
            np.where(shelf.limits_output[heads.last], 0.0, 1.0),  # else no converter may follow
            heads.length.astype(np.float64),
        ]
