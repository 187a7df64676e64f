"""By how much a limit is missed that one load alone cannot hold: numbers for a person, no solver."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain
from typing import NamedTuple

from optimizer.catalogue import Terminal
from optimizer.conductors import Pair
from optimizer.converted import LEAST_FLOOR_V
from optimizer.feeds import FeedOption
from optimizer.job import CutLead, Load, Place
from optimizer.near_misses import apart, at_hand, most_fuse_a, pairs_at_hand
from optimizer.physics.protection import least_rating_a
from optimizer.solve.instance import Instance
from optimizer.solve.runs import RunPair, lead_ampacity_a
from optimizer.units import FORGIVEN, MM_PER_M, cut_mm, stock_mm

_NAMED = 4  # loads in one sentence


class Miss(NamedTuple):
    """A limit that is missed: whose, and by how much in words."""

    subject: str  # "load <id>", "bank", "limits" or "catalogue"
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Alone:
    """One feed of one load alone on one pair."""

    load: Load
    place: Place  # where its circuit ends; one at the panel counts as nearer than the load's own
    option: FeedOption
    run: RunPair
    at_panel: bool
    current_a: float  # at the floor
    lost_v: float
    allowed_v: float
    fuse_needs_a: float
    fuse_may_a: float
    has_fuse: bool

    @property
    def holds_drop(self) -> bool:
        return self.lost_v <= self.allowed_v * (1 + FORGIVEN)

    @property
    def fits_stage(self) -> bool:
        return self.run.pair.mm2 <= self.option.max_conductor_mm2

    @property
    def does(self) -> bool:
        return self.holds_drop and self.fits_stage and self.has_fuse

    @property
    def subject(self) -> str:
        return f"load {self.load.id}"

    @property
    def head(self) -> str:
        where = ", through a converter at the panel" if self.at_panel else ""
        return f"{self.load.label} at {self.place.label}{where}"


def _tries(instance: Instance, load: Load) -> Iterator[_Alone]:
    """Every feed with all its stages at the place, on every pair laid there."""
    return _alone(instance, load, instance.job.place_by_id[load.place], at_panel=False)


def _tries_at_panel(instance: Instance, load: Load) -> Iterator[_Alone]:
    """Every feed with a converter at the panel, on every pair laid to that; a run that suits each is known to be."""
    job, place = instance.job, instance.job.place_by_id[load.place]
    near = replace(place, run_m=job.limits.panel_run_m, ambient_c=job.bus.ambient_c)
    return _alone(instance, load, near, at_panel=True)


def _alone(instance: Instance, load: Load, place: Place, *, at_panel: bool) -> Iterator[_Alone]:
    job = instance.job
    for option in (instance.boosted if at_panel else instance.options)[load.id]:
        current_a = option.draw.current_a(option.floor_v)
        needs_a = least_rating_a(max(current_a, option.draw.current_a(job.bus.high_v)))
        for run in _runs(instance, load.place, at_panel=at_panel):
            may_a = min(run.fuse_cap_a[0], _feed_takes_a(instance, load, option))
            yield _Alone(
                load=load,
                place=place,
                option=option,
                run=run,
                at_panel=at_panel,
                current_a=current_a,
                lost_v=current_a * run.loop_ohm,
                allowed_v=job.bus.low_v - option.floor_v,
                fuse_needs_a=needs_a,
                fuse_may_a=may_a,
                has_fuse=_has_fuse(instance, needs_a, may_a),
            )


def _runs(instance: Instance, place_id: str, *, at_panel: bool) -> list[RunPair]:
    return (instance.panel_pairs if at_panel else instance.pairs)[place_id]


def _unusable(instance: Instance, place: Place, pair: Pair) -> str:
    """Why a pair cannot be laid to a place; empty where it can."""
    run_mm = cut_mm(place.run_m + instance.job.limits.slack_m)
    if _longest_mm(instance, pair) < run_mm:
        return f"thicker cable comes in no piece of {run_mm / MM_PER_M:.1f} m"
    if not _has_terminals(instance, pair):
        return "no terminals on offer fit a thicker one"
    return ""


def _has_terminals(instance: Instance, pair: Pair) -> bool:
    sold = at_hand(instance)
    return any(t.mm2_min <= pair.mm2 <= t.mm2_max and t.id in sold for t in instance.catalogue.of(Terminal))


def sizes_without_terminals(instance: Instance) -> list[float]:
    """Conductors that can be had and that no terminals on offer fit, thinnest first. [mm²]"""
    return sorted({pair.mm2 for pair in pairs_at_hand(instance) if not _has_terminals(instance, pair)})


def _feed_takes_a(instance: Instance, load: Load, option: FeedOption) -> float:
    if not option.is_direct:
        return option.max_fuse_a
    lead_a = lead_ampacity_a(instance.job, load, option, instance.bands[load.place][0])
    return min(option.max_fuse_a, lead_a, option.lead.max_fuse_a if option.lead else math.inf)


def _each_load(instance: Instance) -> Iterator[list[_Alone]]:
    """Feeds of loads that no feed through a converter at the panel serves; those are told of only where all are."""
    for load in instance.loads:
        if instance.may_use_ac(load) or any(each.does for each in _tries_at_panel(instance, load)):
            continue
        if tries := list(_tries(instance, load)) or list(_tries_at_panel(instance, load)):
            yield tries


def fails_alone(instance: Instance, load: Load) -> bool:
    """Whether no feed of a load holds drop, conductor and fuse even alone on its circuit."""
    if instance.may_use_ac(load):
        return False
    return not any(each.does for each in chain(_tries(instance, load), _tries_at_panel(instance, load)))


def may_do_alone(instance: Instance, load: Load, drop_pct: float) -> bool:
    """Whether some feed may hold all that with a smaller drop allowed, by its present draw at the voltage then. [%]"""
    bus = instance.job.bus
    lowest_v = bus.low_v - drop_pct / 100 * bus.nominal_v
    return any(_at_floor(instance, each, lowest_v).does for each in _tries(instance, load))


def _at_floor(instance: Instance, alone: _Alone, lowest_v: float) -> _Alone:
    """The same feed where its place sees no less than a voltage."""
    draw, bus = alone.option.draw, instance.job.bus
    floor_v = max(lowest_v, alone.option.floor_v)
    current_a = draw.current_a(floor_v)
    needs_a = least_rating_a(max(current_a, draw.current_a(bus.high_v)))
    return replace(
        alone,
        current_a=current_a,
        lost_v=current_a * alone.run.loop_ohm,
        allowed_v=bus.low_v - floor_v,
        fuse_needs_a=needs_a,
        has_fuse=_has_fuse(instance, needs_a, alone.fuse_may_a),
    )


def _has_fuse(instance: Instance, needs_a: float, may_a: float) -> bool:
    return any(needs_a * (1 - FORGIVEN) <= rating <= may_a * (1 + FORGIVEN) for rating in instance.ratings_a)


def drop_misses(instance: Instance) -> list[Miss]:
    """Loads that even alone on their circuit lose too much, with the pair that comes closest."""
    found = []
    for tries in _each_load(instance):
        usable = [t for t in tries if not _unusable(instance, t.place, t.run.pair)]
        for some in (tries, usable):  # where no pair at all holds the drop, it does not matter which can be had
            able = [t for t in some if t.fits_stage and t.has_fuse] or [t for t in some if t.fits_stage] or some
            best = min(able, key=lambda t: t.lost_v - t.allowed_v, default=None)
            if best is not None and not best.holds_drop:
                found.append(Miss(best.subject, _drop_text(instance, best, is_best=some is tries)))
                break
    return found


def _drop_text(instance: Instance, best: _Alone, *, is_best: bool) -> str:
    job, pair = instance.job, best.run.pair
    if best.option.floor_v <= LEAST_FLOOR_V:
        return _no_voltage_text(best)
    runs = _runs(instance, best.place.id, at_panel=best.at_panel)
    thicker = [run.pair for run in runs if run.pair.mm2 > pair.mm2]
    why = ""
    if thicker and best.option.max_conductor_mm2 < thicker[0].mm2:
        why = f" (the terminals of {best.option.stages[0].label} take no more)"
    elif unusable := [] if is_best else [text for other in thicker if (text := _unusable(instance, best.place, other))]:
        why = f" ({unusable[0]})"
    limit_v = job.drop_pct(best.load) / 100 * job.bus.nominal_v
    lost, allowed = apart(best.lost_v, best.allowed_v, 2)
    what = f"{allowed} V are allowed"
    if best.allowed_v < limit_v - FORGIVEN:
        what = f"{allowed} V are left above the {best.option.floor_v:.2f} V it needs there"
    return (
        f"{best.head}: {best.current_a:.1f} A over {best.place.run_m + job.limits.slack_m:.1f} m loses "
        f"{lost} V even with {pair.mm2:g} mm²{why}, {what}"
    )


def _no_voltage_text(best: _Alone) -> str:
    return f"{best.head}: with the drop that is allowed its voltage may fall to 0 V, where nothing gives it power"


def fuse_misses(instance: Instance) -> list[Miss]:
    """Loads for which even alone no fuse fits between the current and what it protects."""
    found = []
    for tries in _each_load(instance):
        able = [t for t in tries if t.fits_stage and t.holds_drop] or [t for t in tries if t.holds_drop] or tries
        if any(t.has_fuse for t in able):
            continue
        best = max(able, key=lambda t: t.fuse_may_a - t.fuse_needs_a)
        found.append(Miss(best.subject, _fuse_text(instance, best)))
    return found


def _fuse_text(instance: Instance, best: _Alone) -> str:
    if best.option.floor_v <= LEAST_FLOOR_V:
        return _no_voltage_text(best)
    feed_a = _feed_takes_a(instance, best.load, best.option)
    most_a, what = most_fuse_a(instance, best.place, best.run.pair)
    if feed_a < most_a:
        most_a, what = feed_a, f"what hangs on it takes no fuse above {feed_a:g} A"
    needs = f"{best.head} needs a fuse of at least {best.fuse_needs_a:.2f} A (1.25 × its current)"
    if best.fuse_needs_a <= most_a:
        ratings = ", ".join(f"{rating:g}" for rating in instance.ratings_a)
        return f"{needs}, and {what}; on offer are {ratings} A"
    return f"{needs}, but {what}"


def conductor_misses(instance: Instance) -> list[Miss]:
    """Loads whose drop needs a thicker conductor than any converter for them takes."""
    found = []
    for tries in _each_load(instance):
        able = [t for t in tries if t.holds_drop]
        if not able or any(t.fits_stage for t in able):
            continue
        thin = min(able, key=lambda t: (t.run.pair.mm2, t.run.pair.ids))
        most_mm2 = max(t.option.max_conductor_mm2 for t in able)
        text = (
            f"{thin.head}: {thin.run.pair.mm2:g} mm² would hold the drop over {thin.place.run_m:g} m, and no "
            f"converter on offer for it takes more than {most_mm2:g} mm²"
        )
        found.append(Miss(thin.subject, text))
    return found


def few(names: list[str]) -> str:
    """Names of loads in a sentence: the first ones, where they are many."""
    return ", ".join([*names[:_NAMED], *(["…"] if len(names) > _NAMED else [])])


def money(cents: int) -> str:
    """Minor units as an amount with two decimals; no currency, as the catalogue names none."""
    return f"{cents // 100:,}.{cents % 100:02d}"


# -- cuts ---------------------------------------------------------------------------------------------------------


def cut_misses(instance: Instance) -> list[Miss]:
    """Runs and leads longer than any piece of cable to be had."""
    found = []
    longest_mm = max((_longest_mm(instance, pair) for pair in pairs_at_hand(instance)), default=0)
    for load in instance.loads:
        place = instance.job.place_by_id[load.place]
        cuts = [(f"the run to {place.label}", instance.run_mm(place.id))]
        if isinstance(load.lead, CutLead):
            cuts.append((f"the lead of {load.label}", instance.lead_mm(load)))
        for what, mm in cuts:
            if mm > longest_mm and not instance.may_use_ac(load):
                text = f"{what} takes {mm / MM_PER_M:.2f} m in one piece, and the longest piece of a pair on offer is "
                found.append(Miss(f"load {load.id}", f"{text}{longest_mm / MM_PER_M:.2f} m"))
    return found


def limited_parts(instance: Instance) -> list[str]:
    """Parts of which only so many can be bought, with that number."""
    most: dict[str, float] = defaultdict(float)
    for offer in instance.catalogue.offers:
        for content in offer.contents:
            if content.count is not None:
                most[content.part] += math.inf if offer.limit is None else offer.limit * content.count
    return [f"{instance.catalogue.part(p).label} ({n:.0f})" for p, n in sorted(most.items()) if n < math.inf]


def _longest_mm(instance: Instance, pair: Pair) -> float:
    return min(max(_pieces_mm(instance, cable), default=0) for cable in pair.ids)


def _pieces_mm(instance: Instance, cable: str) -> Iterator[float]:
    for owned in instance.job.owned:
        if owned.part == cable and owned.length_m is not None:
            yield stock_mm(owned.length_m)
    for offer, content in instance.catalogue.offers_of(cable):
        if content.length_m is not None:
            yield offer.longest_mm(content)
