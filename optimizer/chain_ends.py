"""Whole chains, and which of them another beats whatever load and lead follow: so that most are never sized.

With the same voltage at its end a chain differs from another only in what it draws, what it can pass on and what it
asks of its circuit and its lead. All of that is known without the lead.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optimizer.arrays import Bools, Floats
from optimizer.chain_table import Chains, unbeaten_chains
from optimizer.job import Job, Load, SuppliedLead
from optimizer.price_table import Further, PartPrices
from optimizer.units import HOURS_PER_DAY


class Ends:
    """Compares the chains that end in the form some loads take."""

    def __init__(self, job: Job, loads: Sequence[Load], prices: PartPrices, other_fuse: Further) -> None:
        self._prices = prices
        self._other_fuse = other_fuse
        self._shares = job.limits.share_stages
        self._most_fuse_a = job.bus.way_max_a
        self._has_lead = any(not isinstance(load.lead, SuppliedLead) for load in loads)
        self._headroom = 1 + job.limits.headroom_pct / 100
        drops = [job.drop_pct(load) / 100 for load in loads]
        self._least_floor_v = job.bus.low_v - max(drops, default=0.0) * job.bus.nominal_v
        self._asked = _Asked.of(job, loads)

    def unbeaten(self, chains: Chains) -> Chains:
        """The chains that no other of them beats; those that fix no voltage, or may be shared, always stay."""
        stays = np.isnan(chains.fixed_v) | self._may_be_shared(chains)
        kept = stays.copy()
        for out_v in np.unique(chains.fixed_v[~np.isnan(chains.fixed_v)]):
            rows = np.flatnonzero(chains.fixed_v == out_v)
            same = chains[rows]
            limited = same.shelf.limits_output[same.fixer]  # no output fuse has to be found
            left = unbeaten_chains(same, self._figures(same), self._prices, self._other_fuse, limited)
            kept[rows[left]] = True
        return chains[kept]

    def _may_be_shared(self, chains: Chains) -> Bools:
        """Whether a dearer chain may serve several loads (additions 3)."""
        return np.asarray((chains.shelf.outlets[chains.last] >= 2) & self._shares)

    def _figures(self, chains: Chains) -> list[Floats]:
        shelf, fixer = chains.shelf, chains.fixer
        idle_w, per_w, most_out_w = chains.passed_on(self._headroom)
        floor_v = chains.floor_v(self._least_floor_v)
        figures = [  # each the smaller the better
            *self._asked.drawn_w(idle_w, per_w),
            -np.minimum(most_out_w, self._asked.most_w),
            -np.minimum(chains.fuse_limit_a, self._most_fuse_a),
            -shelf.max_mm2[chains.first],
            floor_v,
            -floor_v,  # equal floors: a lower one lets the design current rise
        ]
        if self._has_lead:
            needs_a = shelf.max_out_w[fixer] / shelf.out_v[fixer]
            figures += [np.where(shelf.limits_output[fixer], needs_a, 0.0), -shelf.max_mm2[chains.last]]
        return figures


@dataclass(frozen=True)
class _Asked:
    """What the loads ask of the end of a chain, whatever their leads lose."""

    most_w: float  # at peak; infinite where a load's power rises with its voltage
    alone: Load | None  # where only one asks
    lossy: float  # what a lead's loss may multiply the power by

    @classmethod
    def of(cls, job: Job, loads: Sequence[Load]) -> _Asked:
        if any(load.behaviour == "resistive" for load in loads):
            return cls(math.inf, None, 1.0)
        lossy = [1 / (1 - job.drop_pct(load) / 100) * (1 + 1e-6) for load in loads]
        most_w = max((load.peak_w * factor for load, factor in zip(loads, lossy, strict=True)), default=0.0)
        return cls(most_w, loads[0] if len(loads) == 1 else None, max(lossy, default=1.0))

    def drawn_w(self, idle_w: Floats, per_w: Floats) -> list[Floats]:
        """What chains take, as figures: a chain with none above another's takes no more at any power asked. [W]

        Power taken rises straight with power put out, so its ends decide.
        """
        if self.alone is None:
            return [idle_w, per_w if math.isinf(self.most_w) else idle_w + per_w * self.most_w]
        load = self.alone
        off_w = 0.0 if load.switch else idle_w * (HOURS_PER_DAY - load.hours_per_day)
        figures = []
        for factor in (1.0, self.lossy):
            figures.append(idle_w + per_w * load.peak_w * factor)
            figures.append((idle_w + per_w * load.typical_w * factor) * load.hours_per_day + off_w)
        return figures
