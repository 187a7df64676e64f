"""Why a load has no feed, and by how much a limit is missed: numbers for a person, no solver."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from optimizer.catalogue import BUS_FORM, Fuse, Stage
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.feeds import FeedOption, behind_converter
from optimizer.job import CutLead, Job, Load, Place, SuppliedLead
from optimizer.physics.protection import far_fault_a, least_rating_a
from optimizer.plan import Reason
from optimizer.solve.instance import Instance, RunPair, lead_ampacity_a
from optimizer.units import MM_PER_M, stock_mm

_DUST = 1e-9


class Miss(NamedTuple):
    """A limit that is missed: whose, and by how much in words."""

    subject: str  # "load <id>", "bank", "limits" or "catalogue"
    text: str


def stuck_loads(instance: Instance) -> Iterator[Reason]:
    """Loads that no part on offer can feed, each with what comes closest."""
    stuck = [load for load in instance.loads if not instance.options[load.id] and not instance.may_use_ac(load)]
    if stuck and (text := _no_fuse(instance)):
        yield Reason(subject="bank", text=text, rule="fault")
        return
    for load in stuck:
        why = _no_run(instance, load) or f"{load.label} cannot be fed: {_nearest_feed(instance, load)}"
        yield Reason(subject=f"load {load.id}", text=why, rule="feed")


# -- fuses and runs -----------------------------------------------------------------------------------------------


def _no_fuse(instance: Instance) -> str | None:
    if instance.fuses:
        return None
    bus = instance.job.bus
    styled = [f for f in instance.catalogue.of(Fuse) if f.style == bus.fuse_style]
    if not styled:
        return f"No fuse of the panel's style ({bus.fuse_style}) is in the catalogue."
    strongest_a = max(fuse.interrupt_a for fuse in styled)
    if strongest_a < bus.fault_a:
        return (
            f"The battery can push {bus.fault_a:,.0f} A into a short circuit; no {bus.fuse_style} fuse in the "
            f"catalogue interrupts more than {strongest_a:,.0f} A. A fuse that cannot break the fault can burst: use "
            "a panel with fuses of higher breaking capacity, or have the fault current determined."
        )
    return (
        f"No {bus.fuse_style} fuse on offer stands {bus.high_v:g} V DC, breaks {bus.fault_a:,.0f} A and fits a way of "
        f"{bus.way_max_a:g} A."
    )


def _no_run(instance: Instance, load: Load) -> str | None:
    """Why not even the smallest fuse protects any cable to a place; None where one does."""
    if instance.pairs[load.place]:
        return None
    job, place = instance.job, instance.job.place_by_id[load.place]
    pairs = _pairs_at_hand(instance)
    start = f"{load.label} at {place.label}: "
    if not pairs:
        return f"{start}no pair of conductors of {job.limits.min_mm2:g} mm² or more is on offer."
    smallest_a = instance.ratings_a[0]
    best_a, what = max(_most_fuse_a(instance, place, pair) for pair in pairs)
    return f"{start}{what} {best_a:.1f} A at best; the smallest fuse on offer is {smallest_a:g} A."


def _pairs_at_hand(instance: Instance) -> list[Pair]:
    sold = {content.part for offer in instance.catalogue.offers for content in offer.contents}
    at_hand = sold | {owned.part for owned in instance.job.owned}
    return [p for p in pairs_on_offer(instance.catalogue, instance.job.limits.min_mm2) if at_hand.issuperset(p.ids)]


def _most_fuse_a(instance: Instance, place: Place, pair: Pair) -> tuple[float, str]:
    """The largest fuse a pair may stand behind on a run, and what says so. [A]"""
    job = instance.job
    limits, bus = job.limits, job.bus
    run_m = place.run_m + limits.slack_m
    loop_ohm = pair.loop_ohm(run_m, limits.conductor_c) + limits.joint_mohm / 1000
    bundled = instance.bands[place.id][0].bundled
    ampacity_a = pair.ampacity_a(job.ambient_c(place), bundled)
    says = [
        (ampacity_a, f"with {bundled} conductors bundled at {job.ambient_c(place):g} °C, {pair.mm2:g} mm² carries"),
        (pair.max_fuse_a, f"{pair.mm2:g} mm² is fused at"),
        (bus.way_max_a, "a way of the panel takes"),
    ]
    if limits.far_fault_multiple:
        short_a = far_fault_a(bus.nominal_v, bus.fault_a, loop_ohm)
        words = (
            f"a short at the end of {run_m:.1f} m of {pair.mm2:g} mm² pushes {short_a:.1f} A, "
            f"which blows {limits.far_fault_multiple:g} times less:"
        )
        says.append((short_a / limits.far_fault_multiple, words))
    return min(says)


# -- feeds --------------------------------------------------------------------------------------------------------


def _nearest_feed(instance: Instance, load: Load) -> str:
    """What stands against direct feeding, and the part that comes closest with the limits it breaks."""
    said = []
    if load.needs.form == BUS_FORM:
        said.append(_against_direct(instance.job, load))
    ends = [s for s in instance.catalogue.of(Stage) if s.out_form == load.needs.form]
    if ends:
        broken, stage = min(((list(_broken_by(instance, load, s)), s) for s in ends), key=_by_closeness)
        why = "; ".join(broken) or "but no lead and drop hold with it"
        said.append(f"{stage.label} comes closest: {why}")
    elif load.needs.form != BUS_FORM:
        said.append(f"nothing on offer ends in {load.needs.form}")
    return "; ".join(said) + "."


def _by_closeness(miss: tuple[list[str], Stage]) -> tuple[int, str]:
    return (len(miss[0]), miss[1].id)


def _against_direct(job: Job, load: Load) -> str:
    bus = job.bus
    if bus.high_v > load.needs.max_v:
        return f"directly it would see {bus.high_v:g} V on charge and takes {load.needs.max_v:g} V"
    return (
        f"directly it would see less than the {load.needs.min_v:g} V it needs: the bus falls to {bus.low_v:g} V "
        "and its lead and the drop limit take their share"
    )


def _broken_by(instance: Instance, load: Load, stage: Stage) -> Iterator[str]:
    """The limits that one stage alone would break between this bus and this load."""
    job, needs = instance.job, load.needs
    if stage.in_form != BUS_FORM:
        yield f"it takes {stage.in_form}, which nothing on offer turns the bus into for this load"
    else:
        if stage.in_max_v < job.bus.high_v:
            yield f"it takes {stage.in_max_v:g} V and the bus reaches {job.bus.high_v:g} V"
        if stage.in_min_v > job.bus.low_v:
            yield f"it needs {stage.in_min_v:g} V and the bus falls to {job.bus.low_v:g} V"
    if stage.out_v is not None and not needs.min_v <= stage.out_v <= needs.max_v:
        yield f"it puts out {stage.out_v:g} V and the load takes {needs.min_v:g} to {needs.max_v:g} V"
    asked_w = load.peak_w * (1 + job.limits.headroom_pct / 100)
    if stage.max_out_w < asked_w:
        yield f"it puts out {stage.max_out_w:g} W and {asked_w:.0f} W are asked, headroom included"
    elif stage.out_v is not None:
        yield from _lead_loss(instance, load, stage.out_v)


def _lead_loss(instance: Instance, load: Load, out_v: float) -> Iterator[str]:
    """That even the best lead loses too much behind a converter."""
    job = instance.job
    if isinstance(load.lead, SuppliedLead):
        lead_ohm, what = load.lead.loop_ohm, "the lead it came with"
    else:
        length_m = load.lead.length_m + job.limits.slack_m
        loops = [(pair.loop_ohm(length_m, job.limits.conductor_c), pair.mm2) for pair in _pairs_at_hand(instance)]
        if not loops:
            yield "no lead can be cut for it"
            return
        lead_ohm, mm2 = min(loops)
        what = f"{length_m:.1f} m of lead, even of {mm2:g} mm²,"
    peak = behind_converter(load, out_v, lead_ohm, load.peak_w)
    allowed_v = job.drop_pct(load) / 100 * out_v
    if peak is None:
        yield f"{what} cannot carry {load.peak_w:g} W at {out_v:g} V"
    elif out_v - peak[0] > allowed_v:
        yield f"{what} loses {out_v - peak[0]:.2f} V, {allowed_v:.2f} V are allowed"


# -- limits that one load alone misses ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Alone:
    """One feed of one load alone on one pair."""

    load: Load
    place: Place
    option: FeedOption
    run: RunPair
    current_a: float  # at the floor
    lost_v: float
    allowed_v: float
    fuse_needs_a: float
    fuse_may_a: float
    has_fuse: bool

    @property
    def holds_drop(self) -> bool:
        return self.lost_v <= self.allowed_v * (1 + _DUST)

    @property
    def fits_stage(self) -> bool:
        return self.run.pair.mm2 <= self.option.max_conductor_mm2

    @property
    def subject(self) -> str:
        return f"load {self.load.id}"

    @property
    def head(self) -> str:
        return f"{self.load.label} at {self.place.label}"


def _tries(instance: Instance, load: Load) -> Iterator[_Alone]:
    job, place = instance.job, instance.job.place_by_id[load.place]
    for option in instance.options[load.id]:
        current_a = option.draw.current_a(option.floor_v)
        needs_a = least_rating_a(max(current_a, option.draw.current_a(job.bus.high_v)))
        for run in instance.pairs[load.place]:
            may_a = min(run.fuse_cap_a[0], _feed_takes_a(instance, load, option))
            yield _Alone(
                load=load,
                place=place,
                option=option,
                run=run,
                current_a=current_a,
                lost_v=current_a * run.loop_ohm,
                allowed_v=job.bus.low_v - option.floor_v,
                fuse_needs_a=needs_a,
                fuse_may_a=may_a,
                has_fuse=any(needs_a * (1 - _DUST) <= rating <= may_a * (1 + _DUST) for rating in instance.ratings_a),
            )


def _feed_takes_a(instance: Instance, load: Load, option: FeedOption) -> float:
    if not option.is_direct:
        return option.max_fuse_a
    lead_a = lead_ampacity_a(instance.job, load, option, instance.bands[load.place][0])
    return min(option.max_fuse_a, lead_a, option.lead.max_fuse_a if option.lead else math.inf)


def _each_load(instance: Instance) -> Iterator[list[_Alone]]:
    for load in instance.loads:
        if not instance.may_use_ac(load) and (tries := list(_tries(instance, load))):
            yield tries


def drop_misses(instance: Instance) -> list[Miss]:
    """Loads that even alone on their circuit lose too much, with the pair that comes closest."""
    found = []
    for tries in _each_load(instance):
        able = [t for t in tries if t.fits_stage and t.has_fuse] or [t for t in tries if t.fits_stage] or tries
        best = min(able, key=lambda t: t.lost_v - t.allowed_v)
        if not best.holds_drop:
            found.append(Miss(best.subject, _drop_text(instance, best)))
    return found


def _drop_text(instance: Instance, best: _Alone) -> str:
    job, pair = instance.job, best.run.pair
    thickest = max(run.pair.mm2 for run in instance.pairs[best.place.id])
    why = ""
    if pair.mm2 < thickest and best.option.max_conductor_mm2 < thickest:
        why = f" (the terminals of {best.option.stages[0].label} take no more)"
    limit_v = job.drop_pct(best.load) / 100 * job.bus.nominal_v
    what = f"{limit_v:.2f} V are allowed"
    if best.allowed_v < limit_v - _DUST:
        what = f"{best.allowed_v:.2f} V are left above the {best.option.floor_v:.2f} V it needs there"
    return (
        f"{best.head}: {best.current_a:.1f} A over {best.place.run_m + job.limits.slack_m:.1f} m loses "
        f"{best.lost_v:.2f} V even with {pair.mm2:g} mm²{why}, {what}"
    )


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
    feed_a = _feed_takes_a(instance, best.load, best.option)
    most_a, what = _most_fuse_a(instance, best.place, best.run.pair)
    if feed_a < most_a:
        most_a, what = feed_a, "what hangs on it takes no fuse above"
    needs = f"{best.head} needs a fuse of at least {best.fuse_needs_a:.1f} A (1.25 × its current)"
    if best.fuse_needs_a <= most_a:
        ratings = ", ".join(f"{rating:g}" for rating in instance.ratings_a)
        return f"{needs} and no more than {most_a:.1f} A; on offer are {ratings} A"
    return f"{needs}, but {what} {most_a:.1f} A"


def conductor_misses(instance: Instance) -> list[Miss]:
    """Loads whose drop needs a thicker conductor than any converter for them takes."""
    found = []
    for tries in _each_load(instance):
        if any(t.fits_stage and t.holds_drop for t in tries) or not any(t.holds_drop for t in tries):
            continue
        thin = min((t for t in tries if t.holds_drop), key=lambda t: (t.run.pair.mm2, t.run.pair.ids))
        most_mm2 = max(t.option.max_conductor_mm2 for t in tries)
        text = (
            f"{thin.head}: {thin.run.pair.mm2:g} mm² would hold the drop over {thin.place.run_m:g} m, and no "
            f"converter on offer for it takes more than {most_mm2:g} mm²"
        )
        found.append(Miss(thin.subject, text))
    return found


# -- cuts ---------------------------------------------------------------------------------------------------------


def cut_misses(instance: Instance) -> list[Miss]:
    """Runs and leads longer than any piece of cable to be had."""
    found = []
    longest_mm = max((_longest_mm(instance, pair) for pair in _pairs_at_hand(instance)), default=0)
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


def _longest_mm(instance: Instance, pair: Pair) -> float:
    return min(max(_pieces_mm(instance, cable), default=0) for cable in pair.ids)


def _pieces_mm(instance: Instance, cable: str) -> Iterator[float]:
    for owned in instance.job.owned:
        if owned.part == cable and owned.length_m is not None:
            yield stock_mm(owned.length_m)
    for offer in instance.catalogue.offers:
        for content in offer.contents:
            if content.part == cable and content.length_m is not None:
                steps = 1 if offer.step_m is None else offer.limit or math.inf
                yield stock_mm(content.length_m) * steps
