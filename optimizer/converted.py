"""Feeds whose chain fixes a voltage: what each stage puts out, what protects the lead, and what a load draws."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence

from optimizer.catalogue import Catalogue, Fuse, Holder, Stage
from optimizer.conductors import Pair
from optimizer.feed_option import Draw, FeedOption, Share, behind_converter, reached_by_bus
from optimizer.job import Job, Load
from optimizer.prices import PriceBounds
from optimizer.units import HOURS_PER_DAY, is_within

LEAST_FLOOR_V = 1e-6  # for a floor of 0 V or less: no run carries what takes power there
Fused = tuple[Fuse, Holder] | None
_Protect = Callable[[tuple[Stage, ...], Stage, float, Pair | None], Iterator[tuple[Fused, float]]]


class ConvertedFeeds:
    """Sizes chains that fix a voltage."""

    def __init__(self, job: Job, catalogue: Catalogue, prices: PriceBounds) -> None:
        self._job = job
        self._catalogue = catalogue
        self._prices = prices
        self._asked: dict[tuple[str, float, float], tuple[float, float] | None] = {}

    def options(
        self, load: Load, chain: tuple[Stage, ...], leads: Iterable[tuple[Pair | None, float]]
    ) -> Iterator[FeedOption]:
        """The feed through one chain with each of some leads [Ω], once for every fuse that may protect its output."""
        return self._sized(load, chain, leads, self._protected)

    def unfused(
        self, load: Load, chain: tuple[Stage, ...], leads: Iterable[tuple[Pair | None, float]]
    ) -> Iterator[FeedOption]:
        """The same once for each lead, without the fuse that its output may need, as if the smallest were for free."""
        return self._sized(load, chain, leads, self._least_protected)

    def _sized(
        self, load: Load, chain: tuple[Stage, ...], leads: Iterable[tuple[Pair | None, float]], protect: _Protect
    ) -> Iterator[FeedOption]:
        floor_v = stage_floor_v(self._job, load, chain)
        if floor_v > self._job.bus.low_v:
            return
        fixer = next(stage for stage in reversed(chain) if stage.out_v is not None)
        assert fixer.out_v is not None
        limit_a = fuse_limit_a(chain)
        for pair, lead_ohm in leads:
            asked_w = self._asked_w(load, fixer.out_v, lead_ohm)
            if asked_w is None:
                continue
            peak_out_w, typical_out_w = asked_w
            outputs_w, peak_in_w = through_w(chain, peak_out_w)
            if not self.is_rated(chain, outputs_w):
                continue
            average_w = chain_average_w(load, chain, typical_out_w)
            for fused, needs_a in protect(chain, fixer, peak_out_w, pair):
                yield FeedOption(
                    load=load.id,
                    stages=chain,
                    lead=pair,
                    output_fuse=fused,
                    floor_v=floor_v,
                    draw=Draw(power_w=peak_in_w),
                    average_w=average_w,
                    max_fuse_a=limit_a,
                    lead_needs_a=needs_a if pair else 0.0,
                    share=self._share(load, chain, outputs_w, typical_out_w),
                )

    def _asked_w(self, load: Load, out_v: float, lead_ohm: float) -> tuple[float, float] | None:
        """Peak and typical power at the head of a lead; None where the lead loses too much. [W]"""
        key = (load.id, out_v, lead_ohm)
        if key not in self._asked:
            peak, typical = (behind_converter(load, out_v, lead_ohm, w) for w in (load.peak_w, load.typical_w))
            self._asked[key] = None
            if peak is not None and typical is not None:  # typical_w never exceeds peak_w
                may_lose_v = self._job.drop_pct(load) / 100 * out_v
                if is_within(load.needs.min_v, peak[0]) and is_within(out_v - peak[0], may_lose_v):
                    self._asked[key] = (peak[1], typical[1])
        return self._asked[key]

    def _protected(
        self, chain: tuple[Stage, ...], fixer: Stage, peak_out_w: float, pair: Pair | None
    ) -> Iterator[tuple[Fused, float]]:
        for fused, needs_a in self.protections(chain, fixer, peak_out_w):
            if not (fused and pair and fused[0].rating_a > pair.max_fuse_a):
                yield fused, needs_a

    def _least_protected(
        self, chain: tuple[Stage, ...], fixer: Stage, peak_out_w: float, pair: Pair | None
    ) -> Iterator[tuple[Fused, float]]:
        least_a = min((a for _, a in self._protected(chain, fixer, peak_out_w, pair)), default=None)
        if least_a is not None:
            yield None, least_a

    def is_rated(self, chain: tuple[Stage, ...], outputs_w: Sequence[float]) -> bool:
        """Whether every stage can put out what is asked of it at peak, headroom included."""
        factor = 1 + self._job.limits.headroom_pct / 100
        return all(is_within(w * factor, s.max_out_w) for s, w in zip(chain, outputs_w, strict=True))

    def protections(self, chain: tuple[Stage, ...], fixer: Stage, peak_out_w: float) -> Iterator[tuple[Fused, float]]:
        """What protects the output of the last converter, and the ampacity that a cut lead then needs. [A]"""
        assert fixer.out_v is not None
        if fixer.limits_output:
            yield None, fixer.max_out_w / fixer.out_v
            return
        after = chain[chain.index(fixer) + 1 :]
        ceiling_a = min((stage.max_in_a for stage in after if stage.max_in_a is not None), default=math.inf)
        least_a = 1.25 * peak_out_w / fixer.out_v
        for fuse in self._catalogue.of(Fuse):
            if not is_within(least_a, fuse.rating_a) or fuse.rating_a > ceiling_a or fuse.max_v < fixer.out_v:
                continue
            if not self._prices.is_sold_or_owned(fuse.id):
                continue
            for holder in self._catalogue.of(Holder):
                fits = holder.style == fuse.style and holder.max_a >= fuse.rating_a and holder.max_v >= fixer.out_v
                if fits and self._prices.is_sold_or_owned(holder.id):
                    yield (fuse, holder), fuse.rating_a

    def _share(
        self, load: Load, chain: tuple[Stage, ...], outputs_w: tuple[float, ...], typical_out_w: float
    ) -> Share | None:
        """What the load adds to this chain; None where it may not be shared (additions 3)."""
        limits = self._job.limits
        is_limited = all(stage.limits_output for stage in chain if stage.out_v is not None)
        if not limits.share_stages or chain[-1].outlets < 2 or load.own_circuit or not is_limited:
            return None
        idle_w, idle_in_w = through_w(chain, 0.0)
        gain = math.prod(stage.efficiency for stage in chain)
        last_w = outputs_w[-1]
        return Share(
            chain=tuple(stage.id for stage in chain),
            outlets=chain[-1].outlets,
            draw=Draw(power_w=last_w / gain),
            average_w=typical_out_w / gain * load.hours_per_day / HOURS_PER_DAY,
            stage_w=tuple(output - idle for output, idle in zip(outputs_w, idle_w, strict=True)),
            room_w=tuple(
                stage.max_out_w / (1 + limits.headroom_pct / 100) - idle
                for stage, idle in zip(chain, idle_w, strict=True)
            ),
            idle_w=idle_in_w,
        )


def through_w(chain: Sequence[Stage], out_w: float) -> tuple[tuple[float, ...], float]:
    """What every stage puts out for a power out of the last one, and what the first takes in. [W]

    Source: planning rules 2, back from the load: idle_w + P_out / efficiency.
    """
    outputs: list[float] = []
    for stage in reversed(chain):
        outputs.append(out_w)
        out_w = stage.idle_w + out_w / stage.efficiency
    return tuple(reversed(outputs)), out_w


def chain_average_w(load: Load, chain: Sequence[Stage], typical_out_w: float) -> float:
    """Average over 24 h that a chain of its own takes for a load, wiring allowance not included. [W]"""
    on_w = through_w(chain, typical_out_w)[1]
    off_w = 0.0 if load.switch else through_w(chain, 0.0)[1]
    hours = load.hours_per_day
    return (on_w * hours + off_w * (HOURS_PER_DAY - hours)) / HOURS_PER_DAY


def stage_floor_v(job: Job, load: Load, chain: tuple[Stage, ...]) -> float:
    """Lowest voltage that a chain may see at the end of its circuit. [V]"""
    lowest_v = job.bus.low_v - job.drop_pct(load) / 100 * job.bus.nominal_v
    return max([LEAST_FLOOR_V, lowest_v, *(stage.in_min_v for stage in reached_by_bus(chain))])


def fuse_limit_a(chain: tuple[Stage, ...]) -> float:
    """Largest fuse that the stages on the bus allow; infinite where none states one. [A]"""
    limits = [limit for s in reached_by_bus(chain) for limit in (s.max_fuse_a, s.max_in_a) if limit is not None]
    return min(limits, default=math.inf)


def fits_in_current(chain: tuple[Stage, ...], stage: Stage) -> bool:
    """Rules 10: passive plugs against the converter before them; only the last converter may lack a limit."""
    before = next((s for s in reversed(chain) if s.out_v is not None), None)
    if before is None or before.out_v is None:
        return True
    if stage.out_v is not None and not before.limits_output:
        return False
    return stage.max_in_a is None or is_within(before.max_out_w / before.out_v, stage.max_in_a)
