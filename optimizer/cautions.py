"""What every plan must say besides its numbers. Wording is our own; the reasons are common practice."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import Catalogue, Stage
from optimizer.escalations import BOAT_LITHIUM_WH, WET_V, bank_of, escalations, run_v
from optimizer.feeds import ASSUMED_DIRECT_FUSE_A, reached_by_bus
from optimizer.job import Job, SuppliedLead
from optimizer.plan import Circuit, Plan

INRUSH_FACTOR = 1.5  # a fuse closer than this to a converter's rated input may open at switch-on (planning rules 10)
GUARDED_ABOVE_V = 50.0  # DC; many codes ask for covered live parts from here (common practice)

ALWAYS = (
    "This is a design aid. Local rules and the makers' instructions come first. If you are not sure, or the rules "
    "where you are require it, have a qualified person check or do the work.",
    "A battery can push thousands of amps. Take off rings, insulate tools, cover the terminals you are not working on.",
    "Every fuse belongs at the battery end of its run, within the distance your rules allow. Fit it last, after "
    "polarity and voltage have been measured.",
    "Copper cable only, of the full cross-section named here. Protect every edge and hold the cable near each end.",
    "Autonomy counts no recharge: it is how long the bank lasts with no charger, alternator or solar at work.",
)
INVERTER_KEPT = (
    "What stays on the AC outlet runs on mains voltage, which can kill even from a small battery. Use the outlet as "
    "it stands: changes to it are work for a qualified electrician."
)
INRUSH = (
    "If a fuse so close opens at switch-on, ask the maker about inrush; never fit a larger fuse than the cable allows."
)
SWITCHES = "Direct current arcs. Use only switches with a DC rating at this voltage."
OVER_30_V = (
    "Parts here pass 30 V DC. The job names no wet place; where one gets wet, such parts must be insulated or enclosed."
)
BOAT_OR_LITHIUM = (
    "The job says neither whether it is on a boat nor of what type the batteries are. Lithium of more than 500 Wh on a "
    "boat is for a qualified person to answer for."
)
UNTIL_NAMED = "Before anything is bought, cut or built, a qualified person must answer for this plan by name."
OVER_50_V = "This bus passes 50 V DC: keep live parts covered, and check what your rules ask for above that voltage."


def cautions_for(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str, ...]:
    """All cautions of one plan, the general ones first."""
    return (*ALWAYS, *_of_this_plan(job, catalogue, plan))


def _of_this_plan(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[str]:
    raised = escalations(job, catalogue, plan)
    if any(each.blocks for each in raised):
        yield UNTIL_NAMED
    yield from (each.text for each in raised)
    if job.bus.high_v > GUARDED_ABOVE_V:
        yield OVER_50_V
    if _passes_30_v(job, catalogue, plan) and not (job.bus.wet or any(place.wet for place in job.places)):
        yield OVER_30_V
    chemistry, energy_wh = bank_of(job, catalogue, plan)
    if job.setting is None and chemistry is None and energy_wh > BOAT_LITHIUM_WH:
        yield BOAT_OR_LITHIUM
    if any(feed.source == "ac" for feed in plan.feeds):
        yield INVERTER_KEPT
    if any(circuit.switch for circuit in plan.circuits):
        yield SWITCHES
    yield from _raised(job, catalogue, plan)
    close = [line for circuit in plan.circuits for line in _inrush(job, catalogue, plan, circuit)]
    yield from close
    if close:
        yield INRUSH
    yield from _assumed_fuse(job, catalogue, plan)
    if job.assumed:
        yield f"Assumed, and to be confirmed before you buy: {', '.join(job.assumed)}."


def _passes_30_v(job: Job, catalogue: Catalogue, plan: Plan) -> bool:
    stages = (catalogue.get(Stage, stage) for feed in plan.feeds for stage in feed.stages)
    return job.bus.high_v > WET_V or any((stage.out_v or 0.0) > WET_V for stage in stages)


def _raised(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[str]:
    """Runs on more than the battery's voltage: whoever opens one later does not expect that."""
    for feed in plan.feeds:
        if feed.run is None or not feed.panel_stages:
            continue
        volts = run_v(catalogue, feed)
        load = job.load_by_id[feed.load]
        covered = " It passes 50 V DC: keep live parts covered." if volts > GUARDED_ABOVE_V else ""
        yield (
            f"The run to {job.place_by_id[load.place].label} for {load.label} carries {volts:g} V, not the "
            f"{job.bus.nominal_v:g} V of the panel. Mark both ends so, and connect nothing else to it.{covered}"
        )


def _inrush(job: Job, catalogue: Catalogue, plan: Plan, circuit: Circuit) -> Iterator[str]:
    rated_a = 0.0
    for feed in plan.feeds:
        if feed.circuit != circuit.id or feed.shares is not None:  # a shared chain is one converter
            continue
        chain = tuple(catalogue.get(Stage, stage) for stage in feed.stages)
        converter = next((stage for stage in reached_by_bus(chain) if stage.out_v is not None), None)
        if converter is not None:
            rated_a += (converter.max_out_w / converter.efficiency + converter.idle_w) / job.bus.low_v
    rating_a = _rating_a(catalogue, circuit)
    if rated_a and rating_a < INRUSH_FACTOR * rated_a:
        yield (
            f"Circuit {circuit.id}: its converters can take {rated_a:.1f} A at full output, and more for a moment at "
            f"switch-on; its fuse is {rating_a:g} A."
        )


def _rating_a(catalogue: Catalogue, circuit: Circuit) -> float:
    return float(getattr(catalogue.part(circuit.fuse), "rating_a", 0.0))


def _assumed_fuse(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[str]:
    if job.limits.fuse_ratio_max is None:
        return
    for feed in plan.feeds:
        load = job.load_by_id[feed.load]
        is_direct = all(catalogue.get(Stage, stage).out_v is None for stage in feed.stages)
        is_silent = isinstance(load.lead, SuppliedLead) and load.max_fuse_a is None
        if feed.source == "bus" and is_direct and is_silent:
            yield (
                f"{load.label} is fed directly through its own lead and states no largest fuse: "
                f"{ASSUMED_DIRECT_FUSE_A:g} A was assumed."
            )
