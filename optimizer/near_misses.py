"""Why a load has no feed at all, in numbers for a person."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from optimizer.catalogue import BUS_FORM, Fuse, Stage
from optimizer.conductors import Pair, pairs_on_offer
from optimizer.converted import ConvertedFeeds, fits_in_current
from optimizer.feed_option import behind_converter, place_v_for
from optimizer.job import Load, Place, SuppliedLead
from optimizer.physics.protection import far_fault_a
from optimizer.plan import Reason
from optimizer.prices import PriceBounds
from optimizer.solve.instance import Instance
from optimizer.units import is_within

_NEAREST = 3  # parts named for a load that nothing feeds
_MOST_DECIMALS = 9


def stuck_loads(instance: Instance) -> Iterator[Reason]:
    """Loads that no part on offer can feed, each with what comes closest."""
    stuck = [load for load in instance.loads if instance.is_stuck(load)]
    if stuck and (text := _no_fuse(instance)):
        yield Reason(subject="bank", text=text, rule="fault")
        return
    for load in stuck:
        why = _no_run(instance, load) or f"{load.label} cannot be fed: {_nearest_feed(instance, load)}"
        yield Reason(subject=f"load {load.id}", text=sentence(why), rule="feed")


def sentence(text: str) -> str:
    """Words that begin with a capital and end with a full stop."""
    return f"{text[0].upper()}{text[1:]}."


def apart(one: float, other: float, decimals: int) -> tuple[str, str]:
    """Two figures with so many decimals, and with more where they would read the same."""
    while f"{one:.{decimals}f}" == f"{other:.{decimals}f}" and decimals < _MOST_DECIMALS:
        decimals += 1
    return f"{one:,.{decimals}f}", f"{other:,.{decimals}f}"


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
    pairs = pairs_at_hand(instance)
    start = f"{load.label} at {place.label}: "
    if not pairs:
        return f"{start}no pair of conductors of {job.limits.min_mm2:g} mm² or more is on offer"
    _, what = max(most_fuse_a(instance, place, pair) for pair in pairs)
    return f"{start}at best {what}; the smallest fuse on offer is {instance.ratings_a[0]:g} A"


def pairs_at_hand(instance: Instance) -> list[Pair]:
    """Conductor pairs that can be had, thinnest first."""
    known = at_hand(instance)
    return [p for p in pairs_on_offer(instance.catalogue, instance.job.limits.min_mm2) if known.issuperset(p.ids)]


def at_hand(instance: Instance) -> set[str]:
    """Parts that somebody sells or that are owned."""
    sold = {content.part for offer in instance.catalogue.offers for content in offer.contents}
    return sold | {owned.part for owned in instance.job.owned}


def most_fuse_a(instance: Instance, place: Place, pair: Pair, bundled: int | None = None) -> tuple[float, str]:
    """The largest fuse a pair may stand behind on a run, and what says so. [A]

    Args:
        bundled: Loaded conductors along the run; None: as few as any plan may lay there.
    """
    job = instance.job
    limits, bus = job.limits, job.bus
    run_m = place.run_m + limits.slack_m
    loop_ohm = pair.loop_ohm(run_m, limits.conductor_c) + limits.joint_mohm / 1000
    bundled = instance.bands[place.id][0].bundled if bundled is None else bundled
    ambient_c = job.ambient_c(place)
    ampacity_a = pair.ampacity_a(ambient_c, bundled)
    lies = f"with {bundled} conductors bundled at {ambient_c:g} °C"
    says = [
        (ampacity_a, f"{pair.mm2:g} mm² carries {ampacity_a:.2f} A {lies}"),
        (pair.max_fuse_a, f"{pair.mm2:g} mm² is fused at no more than {pair.max_fuse_a:g} A"),
        (bus.way_max_a, f"a way of the panel takes {bus.way_max_a:g} A"),
    ]
    if limits.far_fault_multiple:
        short_a = far_fault_a(bus.nominal_v, bus.fault_a, loop_ohm)
        most_a = short_a / limits.far_fault_multiple
        words = f"a short at the end of {run_m:.1f} m of {pair.mm2:g} mm² pushes {short_a:.1f} A"
        says.append((most_a, f"{words}, {limits.far_fault_multiple:g} times a fuse of {most_a:.2f} A"))
    return min(says)


class Broken(NamedTuple):
    """A limit that a part breaks, how far off it is (0-1), and the figure of the part that it is about."""

    text: str
    off: float
    figure: str = ""


class _Miss(NamedTuple):
    stage: Stage
    broken: list[Broken]


# -- feeds --------------------------------------------------------------------------------------------------------


def _nearest_feed(instance: Instance, load: Load) -> str:
    """What stands against direct feeding, and the part that comes closest with the limits it breaks."""
    said = []
    if load.needs.form == BUS_FORM:
        said.append(_against_direct(instance, load))
    nearest: dict[str, Stage] = {}  # by what is said of it: a second part of which the same is said is no news
    for miss in _misses(instance, load):
        why = ", besides ".join(broken.text for broken in miss.broken) or "no lead and drop hold with it"
        nearest.setdefault(why, miss.stage)
    for n, (why, stage) in enumerate(list(nearest.items())[:_NEAREST]):
        head = f"{stage.label} comes closest" if n == 0 else f"next {stage.label}"
        said.append(f"{head}: {why}")
    if not nearest and load.needs.form != BUS_FORM:
        said.append(f"nothing on offer ends in {load.needs.form}")
    return "; ".join(said)


def _misses(instance: Instance, load: Load) -> list[_Miss]:
    """Every part on offer that ends in the form that a load needs, those that break least first."""
    known = at_hand(instance)
    ends = [s for s in instance.catalogue.of(Stage) if s.out_form == load.needs.form and s.id in known]
    misses = [_Miss(s, list(broken_by(instance, load, s))) for s in ends]
    return sorted(misses, key=lambda miss: (len(miss.broken), sum(b.off for b in miss.broken), miss.stage.id))


def _against_direct(instance: Instance, load: Load) -> str:
    bus, needs = instance.job.bus, load.needs
    if bus.high_v > needs.max_v:
        return f"directly it would see {bus.high_v:g} V on charge and takes {needs.max_v:g} V"
    lead = _best_lead(instance, load)
    assert lead is not None  # what can be laid as a run can be cut as a lead
    return f"directly {_short_of_volts(instance, load, lead[0])}"


def _short_of_volts(instance: Instance, load: Load, lead_ohm: float) -> str:
    """What a load on the bus voltage lacks behind its lead where the bus is lowest; empty where nothing."""
    bus = instance.job.bus
    load_v = max(load.needs.min_v, bus.low_v - instance.job.drop_pct(load) / 100 * bus.nominal_v)
    place_v = place_v_for(load, load_v, lead_ohm)
    if load_v <= 0 or place_v == math.inf:
        return "the drop that is allowed leaves it no voltage"
    if place_v <= bus.low_v:
        return ""
    needed, _ = apart(place_v, bus.low_v, 2)
    return f"it needs {needed} V at its place, lead included, and the bus falls to {bus.low_v:g} V"


def broken_by(instance: Instance, load: Load, stage: Stage) -> Iterator[Broken]:
    """The limits that one stage would break between this bus and this load, alone or behind another on offer."""
    bus, needs = instance.job.bus, load.needs
    if not _is_fed_by_another(instance, load, stage):
        yield from _input_broken(instance, stage)
    if stage.out_v is None and stage.in_form == BUS_FORM:
        passes = "it passes the bus on, which"
        if bus.high_v > needs.max_v:
            text = f"{passes} reaches {bus.high_v:g} V, and the load takes {needs.max_v:g} V"
            yield Broken(text, 1 - needs.max_v / bus.high_v, "passes")
        if bus.low_v < needs.min_v:
            text = f"{passes} falls to {bus.low_v:g} V, and the load needs {needs.min_v:g} V"
            yield Broken(text, 1 - bus.low_v / needs.min_v, "passes")
    yield from _output_broken(instance, load, stage)


def _is_fed_by_another(instance: Instance, load: Load, stage: Stage) -> bool:
    """Whether another converter on offer takes the bus and gives a stage what it takes, and enough of it."""
    bus, known = instance.job.bus, at_hand(instance)
    lead_ohm, _ = _best_lead(instance, load, stage) or (0.0, "")
    out_w = load_asks_w(instance, load, seen_v(load, stage), lead_ohm)
    asked_w = stage.idle_w * _headroom(instance) + out_w / stage.efficiency
    return any(
        first.out_form == stage.in_form
        and first.in_form == BUS_FORM
        and first.in_min_v <= bus.low_v
        and first.in_max_v >= bus.high_v
        and first.out_v is not None
        and stage.in_min_v <= first.out_v <= stage.in_max_v
        and first.max_out_w >= asked_w
        and first.id in known - {stage.id}
        and fits_in_current((first,), stage)
        for first in instance.catalogue.of(Stage)
    )


def _input_broken(instance: Instance, stage: Stage) -> Iterator[Broken]:
    """What is wrong with a stage on the bus itself."""
    bus = instance.job.bus
    if stage.in_form != BUS_FORM:
        yield Broken(f"it takes {stage.in_form}, which nothing on offer turns the bus into for this load", math.inf)
        return
    if stage.in_max_v < bus.high_v:
        text = f"it takes {stage.in_max_v:g} V and the bus reaches {bus.high_v:g} V"
        yield Broken(text, 1 - stage.in_max_v / bus.high_v, "in_max_v")
    if stage.in_min_v > bus.low_v:
        text = f"it needs {stage.in_min_v:g} V and the bus falls to {bus.low_v:g} V"
        yield Broken(text, 1 - bus.low_v / stage.in_min_v, "in_min_v")


def _output_broken(instance: Instance, load: Load, stage: Stage) -> Iterator[Broken]:
    """What is wrong behind a stage: voltage, power, what the lead loses, or what guards it."""
    needs, out_v = load.needs, stage.out_v
    if out_v is not None and not needs.min_v <= out_v <= needs.max_v:
        text = f"it puts out {out_v:g} V and the load takes {needs.min_v:g} to {needs.max_v:g} V"
        yield Broken(text, 1 - needs.max_v / out_v if out_v > needs.max_v else 1 - out_v / needs.min_v, "out_v")
    lead, out_v = _best_lead(instance, load, stage), seen_v(load, stage)
    against = _against_lead(instance, load, stage, lead)
    lead_ohm = 0.0 if lead is None or against is not None else lead[0]  # one that will not do tells no power
    asked_w = load_asks_w(instance, load, out_v, lead_ohm)
    if not is_within(asked_w, stage.max_out_w):
        included = "lead and headroom included" if lead_ohm and out_v is not None else "headroom included"
        yield _too_weak(stage, asked_w, included)
    if against is not None:
        yield against
    if not _is_guarded(instance, replace(stage, out_v=out_v), asked_w / _headroom(instance)):
        yield Broken("it does not limit its output, and no fuse with a holder on offer guards that", 0.0)


def _against_lead(instance: Instance, load: Load, stage: Stage, lead: tuple[float, str] | None) -> Broken | None:
    """What even the best lead leaves too little of behind a stage; None where it does."""
    if lead is None:
        most = f"its terminals take no more than {stage.max_conductor_mm2:g} mm², and no lead so thin is on offer"
        return Broken("no lead can be cut for it" if stage.max_conductor_mm2 is None else most, 0.0)
    lead_ohm, what = lead
    needs, out_v = load.needs, seen_v(load, stage)
    if out_v is None:
        is_on_bus = stage.in_form == BUS_FORM and instance.job.bus.low_v >= needs.min_v
        text = _short_of_volts(instance, load, lead_ohm) if is_on_bus else ""
        return Broken(f"it passes the bus on, and {text}", 0.0, "passes") if text else None
    peak = behind_converter(load, out_v, lead_ohm, load.peak_w)
    if peak is None:
        return Broken(f"{what} cannot carry {load.peak_w:g} W at {out_v:g} V", 0.0)
    load_v, _ = peak
    allowed_v = instance.job.drop_pct(load) / 100 * out_v
    if not is_within(out_v - load_v, allowed_v):
        lost, allowed = apart(out_v - load_v, allowed_v, 2)
        return Broken(f"{what} loses {lost} V, {allowed} V are allowed", 0.0)
    if not is_within(needs.min_v, load_v):
        sees, least = apart(load_v, needs.min_v, 2)
        return Broken(f"{what} leaves {sees} V, and the load needs {least} V", 0.0)
    return None


def _too_weak(stage: Stage, asked_w: float, included: str) -> Broken:
    said_w, _ = apart(asked_w, stage.max_out_w, 0)
    text = f"it puts out {stage.max_out_w:g} W and {said_w} W are asked, {included}"
    return Broken(text, 1 - stage.max_out_w / asked_w, "max_out_w")


def seen_v(load: Load, stage: Stage) -> float | None:
    """What a stage puts out; where a load must not see that, what it may see with least current and power. [V]"""
    needs, out_v = load.needs, stage.out_v
    if out_v is None or needs.min_v <= out_v <= needs.max_v:
        return out_v
    return min(max(out_v, needs.min_v), needs.max_v) if load.behaviour == "resistive" else needs.max_v or out_v


def load_asks_w(instance: Instance, load: Load, out_v: float | None, lead_ohm: float = 0.0) -> float:
    """What a load and its lead ask of a converter with room to spare; at a voltage where one is named. [W]"""
    peak = None if out_v is None else behind_converter(load, out_v, lead_ohm, load.peak_w)
    return (load.peak_w if peak is None else peak[1]) * _headroom(instance)


def _headroom(instance: Instance) -> float:
    return 1 + instance.job.limits.headroom_pct / 100


def _is_guarded(instance: Instance, stage: Stage, head_w: float) -> bool:
    """Whether a stage guards its output itself, or some fuse on offer does. [W]"""
    if stage.limits_output or stage.out_v is None:
        return True
    job, catalogue = instance.job, instance.catalogue
    feeds = ConvertedFeeds(job, catalogue, PriceBounds(job, catalogue))
    return any(True for _ in feeds.protections((stage,), stage, head_w))


def _best_lead(instance: Instance, load: Load, stage: Stage | None = None) -> tuple[float, str] | None:
    """Loop of the lead at hand that loses least, and what it is; None where none can be cut. [Ω]"""
    if isinstance(load.lead, SuppliedLead):
        return load.lead.loop_ohm, "the lead it came with"
    limits = instance.job.limits
    most_mm2 = math.inf if stage is None or stage.max_conductor_mm2 is None else stage.max_conductor_mm2
    length_m = load.lead.length_m + limits.slack_m
    pairs = pairs_at_hand(instance)
    loops = [(pair.loop_ohm(length_m, limits.conductor_c), pair.mm2) for pair in pairs if pair.mm2 <= most_mm2]
    if not loops:
        return None
    lead_ohm, mm2 = min(loops)
    most = "" if all(pair.mm2 <= most_mm2 for pair in pairs) else " the most that its terminals take,"
    return lead_ohm, f"{length_m:.1f} m of lead, even of {mm2:g} mm²,{most}"
