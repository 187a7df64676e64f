"""Sizing of one boosted chain: stages at the panel, a run, stages at the place, a lead (additions 2)."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Stage
from optimizer.conductors import Pair
from optimizer.converted import ConvertedFeeds, chain_average_w, fuse_limit_a, stage_floor_v, through_w
from optimizer.feed_option import (
    Draw,
    FeedOption,
    RunNeeds,
    behind_converter,
    fixed_v,
    load_ohm,
    place_v_for,
    reached_by_bus,
)
from optimizer.job import Job, Load
from optimizer.physics.line import constant_power_v
from optimizer.units import is_within

Stages = tuple[Stage, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _AtPlace:
    """What hangs on the far end of the run."""

    draw: Draw  # at peak, as the far end of the run sees it
    floor_v: float  # lowest voltage it may see there
    outputs_w: tuple[float, ...] | None  # (stage,) at the place, at peak; None: all pass what comes out of the run
    last_out_w: float  # out of the last converter, where that stands at the place
    typical_w: float  # out of the last stage while on, the run counted as losing nothing


class BoostedFeeds:
    """Sizes boosted chains; the run itself is chosen later, within what the feed asks of it."""

    def __init__(self, job: Job, converted: ConvertedFeeds) -> None:
        self._job = job
        self._converted = converted

    def options(
        self, load: Load, head: Stages, tail: Stages, lead: Pair | None, lead_ohm: float
    ) -> Iterator[FeedOption]:
        """The feed through stages at the panel and stages at the place, once for every fuse that may guard the lead."""
        source_v = head[-1].out_v
        assert source_v is not None
        is_converted = any(stage.out_v is not None for stage in tail)
        at_place = (self._behind if is_converted else self._bare)(load, tail, source_v, lead_ohm)
        if at_place is None or at_place.floor_v >= source_v:
            return
        floor_a = at_place.draw.current_a(at_place.floor_v)
        into_w = source_v * max(floor_a, at_place.draw.current_a(source_v))
        panel_w, peak_in_w = through_w(head, into_w)
        place_w = (into_w,) * len(tail) if at_place.outputs_w is None else at_place.outputs_w
        chain, floor_v = (*head, *tail), stage_floor_v(self._job, load, head)
        if floor_v > self._job.bus.low_v or not self._converted.is_rated(chain, (*panel_w, *place_w)):
            return
        fixer = next(stage for stage in reversed(chain) if stage.out_v is not None)
        for fused, limit_a in self._converted.protections(
            chain, fixer, at_place.last_out_w if is_converted else into_w
        ):
            if fused and lead and fused[0].rating_a > lead.max_fuse_a:
                continue
            guard_a = fused[0].rating_a if fused and not is_converted else 0.0
            yield FeedOption(
                load=load.id,
                stages=chain,
                lead=lead,
                output_fuse=fused,
                floor_v=floor_v,
                draw=Draw(power_w=peak_in_w),
                average_w=chain_average_w(load, chain, at_place.typical_w),
                max_fuse_a=fuse_limit_a(head),
                lead_needs_a=limit_a if lead else 0.0,
                run=RunNeeds(
                    panel_stages=len(head),
                    max_ohm=(source_v - at_place.floor_v) / floor_a if floor_a > 0 else math.inf,
                    needs_a=guard_a or head[-1].max_out_w / source_v,
                    max_mm2=_widest_mm2(head, tail),
                    fuse_a=guard_a,
                ),
            )

    def _least_v(self, load: Load, source_v: float) -> float:
        return source_v * (1 - self._job.drop_pct(load) / 100)

    def _behind(self, load: Load, tail: Stages, source_v: float, lead_ohm: float) -> _AtPlace | None:
        """A stage at the place fixes a voltage: constant power, with a lead under its own rule."""
        out_v = next(stage.out_v for stage in reversed(tail) if stage.out_v is not None)
        peak = behind_converter(load, out_v, lead_ohm, load.peak_w)
        if peak is None or not is_within(load.needs.min_v, peak[0]):
            return None
        if not is_within(out_v - peak[0], self._job.drop_pct(load) / 100 * out_v):
            return None
        typical = behind_converter(load, out_v, lead_ohm, load.typical_w)
        assert typical is not None  # typical_w never exceeds peak_w
        outputs_w, in_w = through_w(tail, peak[1])
        return _AtPlace(
            draw=Draw(power_w=in_w),
            floor_v=max([self._least_v(load, source_v), *(stage.in_min_v for stage in reached_by_bus(tail))]),
            outputs_w=outputs_w,
            last_out_w=peak[1],
            typical_w=typical[1],
        )

    def _bare(self, load: Load, tail: Stages, source_v: float, lead_ohm: float) -> _AtPlace | None:
        """Nothing at the place fixes a voltage: the load hangs on the run as a direct feed hangs on a circuit."""
        if source_v > load.needs.max_v:
            return None
        resistance = load_ohm(load)
        least_v = self._least_v(load, source_v)
        scale = 1.0 if resistance is None or not load.rated_v else max(1.0, (source_v / load.rated_v) ** 2)
        return _AtPlace(
            draw=Draw(power_w=load.peak_w, lead_ohm=lead_ohm, load_ohm=resistance),
            floor_v=max(
                [
                    least_v,
                    place_v_for(load, max(load.needs.min_v, least_v), lead_ohm),
                    *(stage.in_min_v for stage in tail),
                ]
            ),
            outputs_w=None,
            last_out_w=0.0,
            typical_w=load.typical_w * scale,
        )


def _widest_mm2(head: Stages, tail: Stages) -> float:
    """Largest conductor that the stages at both ends of a run take. [mm²]"""
    return min(
        (s.max_conductor_mm2 for s in (head[-1], *tail[:1]) if s.max_conductor_mm2 is not None), default=math.inf
    )


def settled_draw(load: Load, option: FeedOption, run_ohm: float, lead_ohm: float) -> Draw:
    """What a boosted feed takes from its circuit at peak behind a run of so much resistance. [Ω]

    The option's own draw counts the run with the loss it may have; this one with the loss that it has.
    """
    head, tail = option.stages[: option.panel_stages], option.stages[option.panel_stages :]
    source_v, out_v = head[-1].out_v, fixed_v(tail)
    assert source_v is not None
    if out_v is None:
        hanging = behind_converter(load, source_v, lead_ohm + run_ohm, load.peak_w)
        assert hanging is not None  # within max_ohm the run carries it
        return Draw(power_w=through_w(head, hanging[1])[1])
    behind = behind_converter(load, out_v, lead_ohm, load.peak_w)
    assert behind is not None
    place_w = through_w(tail, behind[1])[1]
    end_v = constant_power_v(source_v, run_ohm, place_w)
    assert end_v is not None
    return Draw(power_w=through_w(head, source_v * place_w / end_v)[1])
