"""What a plan may show but nobody may build before a qualified person, named, answers for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Battery, Cable, Catalogue, Stage
from optimizer.job import Job, Load, Place
from optimizer.plan import Feed, Plan

BOAT_RULES_END_V = 50.0  # DC, nominal: scope of ISO 13297
WET_V = 30.0  # DC: touchable parts in wet places (IEC 60364-4-41 414, from memory); 60 V in dry ones
TESTED_A = 200.0  # all loads at peak: beyond it our rules were not tried
TESTED_MM2 = 95.0
BOAT_LITHIUM_WH = 500.0  # scope of ISO 23625, at second hand
LONG_RUN_M = 10.0  # outdoors: surge protection (our engineering default, no source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Escalation:
    """One reason why a qualified person has to answer for a plan."""

    kind: str
    text: str
    subject: str = ""  # name of the place or load, where it is about one
    blocks: bool = True  # nothing is bought, cut or built before; otherwise it is about a piece of work beside the plan


def escalations(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[Escalation, ...]:
    """Every reason, the system's own first.

    What nobody has said counts against the job where something else that was said makes it a danger: above 50 V and of
    lithium batteries the setting, on a boat and of a bank charged in frost the type of battery. Where neither setting
    nor type was said, and where a flag is the only way to know, a caution says so instead (`cautions`).
    """
    return (
        *_voltage(job, catalogue, plan),
        *_heavy(job, catalogue, plan),
        *_lithium(job, catalogue, plan),
        *_charged_cold(job, plan),
        *_around_the_panel(job),
        *(found for place in job.places for found in _around(job, catalogue, plan, place)),
        *(found for load in job.loads for found in _critical(load)),
        *_outdoors(job),
    )


def _voltage(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[Escalation]:
    """Bus and runs above 50 V on a boat, or where nobody has said what it is."""
    highest_v = max([job.bus.high_v, *(run_v(catalogue, feed) for feed in plan.feeds)])
    if highest_v <= BOAT_RULES_END_V or not may_be_a_boat(job):
        return
    where = "on a boat" if job.setting == "boat" else "and the job does not say whether it is on a boat"
    yield Escalation(
        kind="voltage",
        text=f"The wiring reaches {highest_v:g} V DC, {where}: the usual rules for boats end at 50 V.",
    )


def _heavy(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[Escalation]:
    total_a, widest_mm2 = total_current_a(job, plan), _widest_mm2(catalogue, plan)
    if total_a > TESTED_A:
        yield Escalation(kind="current", text=f"All loads together draw {total_a:.0f} A: we have tested up to 200 A.")
    if widest_mm2 > TESTED_MM2:
        text = f"A conductor of {widest_mm2:g} mm² is laid: we have tested up to 95 mm²."
        yield Escalation(kind="conductor", text=text)


def total_current_a(job: Job, plan: Plan) -> float:
    """What all loads draw from the battery at peak, those behind the inverter included. [A]"""
    own_a = sum(circuit.design_a for circuit in plan.circuits)
    behind = [job.load_by_id[feed.load] for feed in plan.feeds if feed.source == "ac"]
    if not behind or job.ac is None:
        return own_a
    input_w = sum(load.peak_w / load.brick.efficiency + load.brick.idle_w for load in behind if load.brick)
    return own_a + (input_w / job.ac.efficiency + job.ac.idle_w) / job.bus.low_v


def _widest_mm2(catalogue: Catalogue, plan: Plan) -> float:
    laid = [*(circuit.cable for circuit in plan.circuits), *(feed.run.cable for feed in plan.feeds if feed.run)]
    return max((catalogue.get(Cable, part).mm2 for cable in laid for part in cable), default=0.0)


def may_be_a_boat(job: Job) -> bool:
    """Whether the job is on a boat, or nobody has said that it is none."""
    return job.setting in ("boat", None)


def bank_of(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[str | None, float]:
    """Type of the bank, kept or bought, None where nobody has said, and what it holds. [Wh]"""
    if plan.bank is not None and plan.bank.part is not None:
        battery = catalogue.get(Battery, plan.bank.part)
        batteries = plan.bank.series * plan.bank.parallel
        return battery.chemistry, batteries * battery.nominal_v * battery.capacity_ah
    existing = job.bank.existing
    if plan.bank is None or existing is None:
        return None, 0.0
    return existing.chemistry, existing.nominal_v * existing.capacity_ah


def _lithium(job: Job, catalogue: Catalogue, plan: Plan) -> Iterator[Escalation]:
    """On a boat, and wherever one of setting and type was said and the other may be the worse."""
    chemistry, energy_wh = bank_of(job, catalogue, plan)
    if energy_wh <= BOAT_LITHIUM_WH or not may_be_a_boat(job) or chemistry not in ("lithium", None):
        return
    if job.setting == "boat":
        what = "Lithium batteries" if chemistry else "Batteries of unknown type, taken for lithium,"
        text = f"{what} of {energy_wh:.0f} Wh on a boat: above 500 Wh venting and protection must be documented."
        yield Escalation(kind="lithium", text=text)
    elif chemistry:
        where = "and the job does not say whether it is on a boat"
        text = f"Lithium batteries of {energy_wh:.0f} Wh, {where}: there venting and protection must be documented."
        yield Escalation(kind="lithium", text=text)


def _charged_cold(job: Job, plan: Plan) -> Iterator[Escalation]:
    """A kept bank of lithium, or of unknown type; what is bought says for itself how it must be charged."""
    existing = job.bank.existing
    if existing is None or not existing.charged_cold or (plan.bank is not None and plan.bank.part is not None):
        return
    if existing.chemistry in ("lithium", None):
        text = "The battery may be charged below 0 °C and neither heats nor blocks itself: that ruins lithium cells."
        yield Escalation(kind="cold", text=text)


def _around_the_panel(job: Job) -> Iterator[Escalation]:
    if job.bus.wet and job.bus.high_v > WET_V:
        yield _wet("The panel", job.bus.high_v)
    if job.bus.fuel:
        yield _fuel("the panel")


def _around(job: Job, catalogue: Catalogue, plan: Plan, place: Place) -> Iterator[Escalation]:
    feeds = [feed for feed in plan.feeds if job.load_by_id[feed.load].place == place.id]
    if place.wet:
        highest_v = max((v for feed in feeds for v in _volts_at_place(job, catalogue, feed)), default=0.0)
        if highest_v > WET_V:
            yield _wet(place.label, highest_v)
        for feed in feeds:
            if feed.source == "ac":
                name = job.load_by_id[feed.load].label
                text = f"{name} stays on the AC outlet at {place.label}, which is wet: mains there can kill."
                yield Escalation(kind="mains", text=text, subject=name)
    if place.fuel:
        yield _fuel(place.label)


def _outdoors(job: Job) -> Iterator[Escalation]:
    exposed = [place.label for place in job.places if place.above_roof or (place.outdoors and place.run_m > LONG_RUN_M)]
    if exposed:
        text = f"Surge protection and bonding are not part of this plan; runs that go outdoors: {', '.join(exposed)}."
        yield Escalation(kind="outdoors", text=text, blocks=False)


def _wet(where: str, volts: float) -> Escalation:
    text = f"{where} is wet and parts there reach {volts:g} V DC: above 30 V they must be insulated or enclosed."
    return Escalation(kind="wet", text=text, subject=where)


def _fuel(where: str) -> Escalation:
    text = (
        f"Petrol or gas at {where}: every part there must be ignition protected. Some places allow no fuse box at all."
    )
    return Escalation(kind="fuel", text=text, subject=where)


def _volts_at_place(job: Job, catalogue: Catalogue, feed: Feed) -> Iterator[float]:
    """The voltages that parts of a feed reach where its load sits, those of converters at the panel included."""
    if feed.source == "bus":
        yield job.bus.high_v
    for stage in feed.stages:
        yield catalogue.get(Stage, stage).out_v or 0.0


def run_v(catalogue: Catalogue, feed: Feed) -> float:
    """The voltage of the run behind a converter at the panel; 0 where there is none. [V]"""
    if feed.run is None or not feed.panel_stages:
        return 0.0
    return catalogue.get(Stage, feed.stages[feed.panel_stages - 1]).out_v or 0.0


def _critical(load: Load) -> Iterator[Escalation]:
    if load.critical == "health":
        text = (
            f"Somebody's health or life may depend on {load.label}: it needs two independent supplies, and this plan "
            "is one of them."
        )
        yield Escalation(kind="health", text=text, subject=load.label)
    if load.critical == "vehicle":
        text = (
            f"{load.label} is part of what keeps the vehicle or boat safe: feed it beside the supply it has, and "
            "change nothing of that."
        )
        yield Escalation(kind="vehicle", text=text, subject=load.label)
