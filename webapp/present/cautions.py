"""Cautions at the step where they bite. Our own words; each defers to local rules and the makers' instructions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from optimizer import cautions as optimizer_cautions
from optimizer.catalogue import Catalogue, Stage
from optimizer.escalations import Escalation, escalations
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.present.told import told
from webapp.texts import N_, _

ALWAYS = N_(
    "This is a design aid. Local rules and the makers' instructions come first. If you are not sure, or the rules "
    "where you are require it, have a qualified person check or do the work."
)
BANK = N_(
    "A battery can push thousands of amps. A slipped spanner can weld, burn and blind. Take off rings, insulate "
    "tools, cover the terminals you are not working on."
)
LEAD_ACID = N_(
    "Lead-acid: charging gives off gas that explodes. Vent to outside. Eye protection. Acid: rinse with lots of water."
)
LITHIUM = N_(
    "Lithium: charge only with a charger meant for it, and never below 0 °C unless the battery heats or blocks itself. "
    "Use a management system that can disconnect. Do not mix with other types."
)
FUSE = N_(
    "The fuse protects the cable. It belongs at the battery end, within the distance your rules allow. "
    "No fuse, no connection. The cable from battery to panel needs its own main fuse; it is not part of this plan."
)
INTERRUPT = N_(
    "A fuse that cannot break the fault current can burst. Check the breaking-capacity figure, not only the amps."
)
FUSES_LAST = N_(
    "Fuses go in last: when every joint is made, every plug measured and everything switched off. "
    "Before that, leave the main fuse out."
)
POLARITY = N_("Measure polarity at the plug before the device goes on. Centre + and centre − look the same.")
CABLE = N_(
    "Copper only, full size, right temperature class. Protect every edge with a grommet, hold the cable near each "
    "end, no joint hidden in a wall."
)
SWITCH = N_("Direct current arcs. Use switches and breakers with a DC rating at this voltage.")
CONVERTER = N_("A converter runs hot: leave the air gap its maker asks for. Fuse both sides if the maker says so.")
INVERTER = N_(
    "Inverter output is mains and can kill, even from a small battery. Earthing and shock protection need a "
    "qualified person. Never back-feed a socket. We use existing outlets as they stand, and draw no mains wiring."
)
MAINS_NEARBY = N_("Isolate and lock off shore or generator supply first. Keep mains and battery cables apart.")
FUEL = N_(
    "Near petrol or LPG use ignition-protected parts and route away from lockers; some places allow no fuse box at all."
)
OUTDOORS = N_(
    "A long run that goes outdoors or up a mast needs surge protection and bonding, which this plan does not size. "
    "Do not work on a mast in thunder."
)
THUNDER = N_("Do not work on a mast or a roof in thunder.")
MEDICAL = N_("If someone's health depends on a load, keep the maker's own supply and a second source.")
ORDER_OF_WORK = N_(
    "Disconnect first: earthed pole off first, on last; chargers, solar and alternator count as sources. "
    "The last link is the fuse. Test for no voltage before you touch."
)
COMMISSION = N_(
    "Feel every joint after 10 and 30 minutes under load. "
    "One that gets warm is failing: take it apart and make it again."
)
NEAR_CEILING = N_(
    "This bus passes 50 V DC. Cover live parts: some rules guard them from 50 V, and our ceiling is 60 V. "
    "On a boat a qualified person has to answer for it."
)
# What stands of a caution while the hands are at work, once it was read; the whole is one tap away, and prints.
GISTS = {
    FUSE: N_("No fuse, no connection."),
    INTERRUPT: N_("Breaking capacity, not only amps."),
    FUSES_LAST: N_("Fuses go in last."),
    CABLE: N_("Copper only, full size. Protect every edge."),
    OUTDOORS: N_("Surge protection and bonding are not planned here."),
    ORDER_OF_WORK: N_("Disconnect first. Test for no voltage before you touch."),
    NEAR_CEILING: N_("Above 50 V DC: cover live parts."),
    MAINS_NEARBY: N_("Shore and generator locked off."),
    COMMISSION: N_("Feel joints after 10 and 30 minutes."),
}
# General cautions of the optimizer that the page says in its own words, each at its step.
SAID = frozenset(
    (
        *optimizer_cautions.ALWAYS,
        optimizer_cautions.INVERTER_KEPT,
        optimizer_cautions.SWITCHES,
        optimizer_cautions.OVER_50_V,
        optimizer_cautions.UNTIL_NAMED,
    )
)
ASSUMED_LIST = "Assumed, and to be confirmed"  # the page lists these values with their names instead
LONG_RUN_M = 10  # may go outdoors although nobody has said so
GUARDED_V = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanCautions:
    """Cautions of a plan in the reader's language, by the part of the page they stand in."""

    top: tuple[str, ...]
    voltage: tuple[str, ...]  # of those, what the voltage asks for
    circuits: tuple[str, ...]
    parts: tuple[str, ...]
    cuts: tuple[str, ...]
    fuses: tuple[str, ...]
    bank: tuple[str, ...]
    work: tuple[str, ...]


class Spoken:
    """This module's constants by name, in the reader's language: for templates."""

    def __getattr__(self, name: str) -> Any:
        value = globals()[name]
        return _(value) if isinstance(value, str) else value


def gists(texts: Sequence[str]) -> tuple[str, ...]:
    """Cautions in the reader's language, each in a few words; whole where there are no fewer."""
    short = {_(whole): _(few) for whole, few in GISTS.items()}
    return tuple(short.get(text, text) for text in texts)


def bank_cautions(chemistry: str) -> tuple[str, ...]:
    """By type of battery; both kinds where the type is not known."""
    if chemistry == "lithium":
        return _all(BANK, LITHIUM)
    if chemistry in ("agm", "flooded"):
        return _all(BANK, LEAD_ACID)
    return _all(BANK, LEAD_ACID, LITHIUM)


def plan_cautions(job: Job, catalogue: Catalogue, plan: Plan, chemistry: str) -> PlanCautions:
    """Everything to say with this plan, by where it bites."""
    stages = [catalogue.part(stage) for feed in plan.feeds for stage in feed.stages]
    converts = any(isinstance(stage, Stage) and stage.out_v is not None for stage in stages)
    plugs = any(isinstance(stage, Stage) and "plug" in stage.out_form for stage in stages)
    switched = any(circuit.switch for circuit in plan.circuits)
    exposed = any(place.run_m > LONG_RUN_M or place.outdoors or place.above_roof for place in job.places)
    raised = escalations(job, catalogue, plan)
    # what stands on every page anyway is not said again beside the cable
    outdoors = THUNDER if any(each.kind == "outdoors" for each in raised) else OUTDOORS
    near_ceiling = _all(*_if(job.bus.high_v > GUARDED_V, NEAR_CEILING))
    return PlanCautions(
        top=(*_all(ALWAYS), *near_ceiling),
        voltage=near_ceiling,
        circuits=(
            *_beyond_the_page(plan, raised),
            *_all(*_if(converts, CONVERTER), *_if(plugs, POLARITY), *_if(job.ac is not None, INVERTER)),
        ),
        parts=_all(*_if(switched, SWITCH), FUEL, MEDICAL),
        cuts=_all(CABLE, *_if(exposed, outdoors)),
        fuses=_all(FUSE, INTERRUPT, FUSES_LAST),
        bank=bank_cautions(chemistry),
        work=(*_all(ORDER_OF_WORK), *near_ceiling, *_all(MAINS_NEARBY, COMMISSION)),
    )


def _beyond_the_page(plan: Plan, raised: Sequence[Escalation]) -> tuple[str, ...]:
    """What the optimizer warns of and no part of the page says anyway: inrush, an assumed fuse of a load."""
    said = SAID | {each.text for each in raised}
    beyond = (each for each in plan.cautions if each not in said and not each.startswith(ASSUMED_LIST))
    return tuple(told(each) for each in beyond)


def _all(*constants: str) -> tuple[str, ...]:
    """Constants of this module in the reader's language."""
    return tuple(_(constant) for constant in constants)


def _if(holds: bool, caution: str) -> tuple[str, ...]:
    return (caution,) if holds else ()
