"""Circuits as a person sizes them: the smallest fuse that carries the loads, the cheapest cable that meets the rest.

Currents are rounded like the model's, demand up and capacity down, so that a circuit found here is one there too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from optimizer.by_hand.choices import CircuitChoice
from optimizer.by_hand.desk import Desk
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.runs import RunPair, lead_ampacity_a, may_share
from optimizer.units import is_within, scaled_down, scaled_up

SCALE = 100_000  # 10 µA
_DUST = 1e-12
Fed = tuple[Load, FeedOption]


class Sizer:
    """Sizes circuits of one instance behind the fuses that can break a fault current."""

    def __init__(self, desk: Desk, fault_a: float) -> None:
        self._desk = desk
        self._instance = desk.instance
        fuses = [fuse for fuse in desk.instance.fuses if fuse.interrupt_a >= fault_a]
        self._ratings = [(4 * scaled_down(a, SCALE), a) for a in sorted({fuse.rating_a for fuse in fuses})]
        self._amps: dict[tuple[int, float], int] = {}
        self._limit_a: dict[tuple[int, int], float] = {}
        self._counts_joints = desk.instance.job.limits.count_joints

    def amps(self, option: FeedOption, place_v: float) -> int:
        """Peak current of a feed at a place voltage. [1/SCALE A]"""
        key = (id(option), place_v)
        if key not in self._amps:
            current_a = option.draw.current_a(place_v)
            self._amps[key] = scaled_up(current_a, SCALE) if math.isfinite(current_a) else 1 << 60
        return self._amps[key]

    def cheapest(self, fed: Sequence[Fed], band: int) -> CircuitChoice | None:
        """The cheapest circuit on paper for these feeds of one place; None where there is none."""
        return next(self.all(fed, band), None)

    def all(self, fed: Sequence[Fed], band: int) -> Iterator[CircuitChoice]:
        """Every pair that serves these feeds behind their smallest fuse, the cheapest first."""
        place, bus = fed[0][0].place, self._instance.job.bus
        floor_v = max(option.floor_v for _, option in fed)
        at_floor = sum(self.amps(option, floor_v) for _, option in fed)
        at_high = sum(self.amps(option, bus.high_v) for _, option in fed)
        rating_a = self._rating_a(max(at_floor, at_high))
        limit_a = min(self._fuse_limit_a(load, option, band) for load, option in fed)
        if rating_a > limit_a * (1 + _DUST):
            return
        most_mm2 = min(option.max_conductor_mm2 for _, option in fed)
        for run in self._desk.pairs[place]:
            if not (run.fuse_cap_a[band] >= rating_a * (1 - _DUST) and run.pair.mm2 <= most_mm2):
                continue
            if at_floor > scaled_down((bus.low_v - floor_v) / run.loop_ohm, SCALE):
                continue
            yield from self._with_junction(fed, run, rating_a)

    def _rating_a(self, design: int) -> float:
        """Smallest fuse that carries 1.25 times a design current; infinite where none does. [A]"""
        return next((rating_a for carries, rating_a in self._ratings if carries >= 5 * design), math.inf)

    def _fuse_limit_a(self, load: Load, option: FeedOption, band: int) -> float:
        """Largest fuse before a feed; none at all where its cut lead is too weak for its converter. [A]"""
        key = (id(option), band)
        if key not in self._limit_a:
            lead_a = lead_ampacity_a(self._instance.job, load, option, self._instance.bands[load.place][band])
            limit_a = option.max_fuse_a
            if option.is_direct and option.lead is not None:
                limit_a = min(limit_a, lead_a, option.lead.max_fuse_a)
            self._limit_a[key] = limit_a if is_within(option.lead_needs_a, lead_a) else 0.0
        return self._limit_a[key]

    def _with_junction(self, fed: Sequence[Fed], run: RunPair, rating_a: float) -> Iterator[CircuitChoice]:
        loads = tuple(sorted(load.id for load, _ in fed))
        if len(fed) == 1 or not self._counts_joints:
            yield CircuitChoice(place=fed[0][0].place, loads=loads, pair=run, rating_a=rating_a)
            return
        for junction in self._desk.junctions:
            if junction.outlets >= len(fed) and junction.max_a >= rating_a and junction.mm2_max >= run.pair.mm2:
                yield CircuitChoice(place=fed[0][0].place, loads=loads, pair=run, rating_a=rating_a, junction=junction)
                return

    # -- a whole place ------------------------------------------------------------------------------------------------

    def place(self, fed: Sequence[Fed]) -> tuple[list[CircuitChoice], int] | None:
        """Circuits for all feeds of one place and the bundling band they are sized for: shared wherever that fits."""
        if not fed:
            return [], 0
        for band, of_place in enumerate(self._instance.bands[fed[0][0].place]):
            circuits = self._shared(fed, band)
            if circuits is None:
                return None  # a later band only carries less
            if len(circuits) <= of_place.max_circuits:
                return circuits, band
        return None

    def _shared(self, fed: Sequence[Fed], band: int) -> list[CircuitChoice] | None:
        """First fit, strongest feed first."""
        low_v = self._instance.job.bus.low_v
        groups: list[list[Fed]] = []
        circuits: list[CircuitChoice] = []
        for one in sorted(fed, key=lambda f: (-self.amps(f[1], low_v), f[0].id)):
            for n, group in enumerate(groups):
                if may_share(group[0][0], one[0]) and (wider := self.cheapest([*group, one], band)) is not None:
                    group.append(one)
                    circuits[n] = wider
                    break
            else:
                alone = self.cheapest([one], band)
                if alone is None:
                    return None
                groups.append([one])
                circuits.append(alone)
        return circuits
