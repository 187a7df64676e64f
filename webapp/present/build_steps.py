"""The order of work: from everything disconnected to every joint felt. Fuses are out until all is made and measured."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.present import cautions
from webapp.present.build_circuit import BuildStep, CircuitSteps, step
from webapp.present.cautions import PlanCautions
from webapp.present.words import quantity
from webapp.texts import _


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildSection:
    """Steps that belong together."""

    id: str
    tag: str  # the circuit; empty for what concerns all of them
    title: str
    steps: tuple[BuildStep, ...]


def build_sections(job: Job, catalogue: Catalogue, plan: Plan, care: PlanCautions) -> tuple[BuildSection, ...]:
    """Everything in the order in which it is done."""
    return tuple(_said_once(_sections(job, catalogue, plan, care)))


def _sections(job: Job, catalogue: Catalogue, plan: Plan, care: PlanCautions) -> Iterator[BuildSection]:
    yield BuildSection(id="before", tag="", title=_("Before anything else"), steps=tuple(_before(plan, care)))
    for circuit in plan.circuits:
        steps = tuple(CircuitSteps(job, catalogue, plan, circuit).made(care))
        place = job.place_by_id[circuit.place].label
        yield BuildSection(
            id=f"make-{circuit.id}", tag=circuit.id, title=_("Make: %(place)s", place=place), steps=steps
        )
    yield BuildSection(id="power", tag="", title=_("First power"), steps=tuple(_power(job)))
    for circuit in plan.circuits:
        steps = tuple(CircuitSteps(job, catalogue, plan, circuit).started())
        place = job.place_by_id[circuit.place].label
        yield BuildSection(
            id=f"start-{circuit.id}", tag=circuit.id, title=_("Start: %(place)s", place=place), steps=steps
        )
    yield BuildSection(id="after", tag="", title=_("Under load"), steps=tuple(_after()))


def _said_once(sections: Iterable[BuildSection]) -> Iterator[BuildSection]:
    """Each caution where it first bites: what is said at every step is read at none."""
    said: set[str] = set()
    for section in sections:
        steps = []
        for one in section.steps:
            fresh = tuple(each for each in one.cautions if each not in said)
            said.update(fresh)
            steps.append(replace(one, cautions=fresh))
        yield BuildSection(id=section.id, tag=section.tag, title=section.title, steps=tuple(steps))


def with_texts_once(sections: Iterable[BuildSection]) -> Iterator[BuildSection]:
    """The same for paper, where all steps are in sight: how it is done stands at the first circuit."""
    said: set[str] = set()
    for section in sections:
        steps = []
        for one in section.steps:
            steps.append(replace(one, text="") if one.text in said else one)
            said.add(one.text)
        yield replace(section, steps=tuple(steps))


def _before(plan: Plan, care: PlanCautions) -> Iterator[BuildStep]:
    yield step(
        "before/isolate",
        _("Take every source off"),
        _(
            "Charger, solar, alternator, shore supply, then the battery: the earthed pole first (in most vehicles that "
            "is −), the other one after it. Cover both terminals."
        ),
        *care.voltage,
        *(cautions.ORDER_OF_WORK, cautions.MAINS_NEARBY),
        *care.bank,
    )
    yield step(
        "before/dead",
        _("Main fuse out, then test for no voltage"),
        _("Measure at the panel, + to − and each to the chassis. It has to read 0 V before you touch anything."),
    )
    yield step(
        "before/fuses",
        _("Put the new fuses away"),
        _("All of them, in a bag. None goes in before its circuit is made and measured."),
        *(cautions.FUSE, cautions.FUSES_LAST),
    )
    if plan.bank is not None and not plan.bank.keep:
        yield step(
            "before/bank",
            _("Put the new battery in its place, not connected"),
            _("Held so that it cannot move, both terminals covered, its vent free, its own fuses out."),
        )


def _power(job: Job) -> Iterator[BuildStep]:
    bus = job.bus
    yield step(
        "power/look",
        _("Look everything over once more"),
        _("Labels at both ends read the same, every fuse is out, every switch off, nothing plugged in."),
    )
    yield step(
        "power/battery",
        _("Connect the battery: the earthed pole last"),
        _("Tighten to the maker's torque. A small spark at the last terminal is normal, a large one means: stop."),
        *(cautions.BANK,),
    )
    yield step(
        "power/main",
        _("Main fuse in"),
        _(
            "Measure at the panel: %(low)s to %(high)s, + where + is marked.",
            low=quantity(bus.low_v, "V"),
            high=quantity(bus.high_v, "V"),
        ),
    )


def _after() -> Iterator[BuildStep]:
    yield step(
        "after/warm-10",
        _("10 minutes, everything on: feel every joint"),
        _("Fuse holders, terminals, plugs, converters. A joint warmer than its cable comes apart and is made again."),
        cautions.COMMISSION,
    )
    yield step("after/warm-30", _("30 minutes: feel them again"), "")
    yield step(
        "after/measured",
        _("Write down what you measured"),
        _("Keep the docket with the installation: whoever comes next needs it."),
    )
