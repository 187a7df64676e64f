"""What can give in a job, one thing a knob, each in steps from the least given up to the most.

Safety limits are no knobs: fuse ratio, far fault, conductor size and interrupting rating never give.
"""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import Catalogue
from optimizer.drop_knobs import drop_knobs, smaller_drop_knobs
from optimizer.frugal import least_average_w, most_available_w
from optimizer.job import CutLead, ExistingBank, Job, Load, Place
from optimizer.knob import Knob, Step, on_grid
from optimizer.plan import Change, Plan
from optimizer.shortfalls import few
from optimizer.solve.instance import Instance
from optimizer.units import FORGIVEN


def knobs_of(job: Job, instance: Instance) -> Iterator[Knob]:
    """Every knob of a job, the most promising kinds first."""
    yield from _autonomy(job, instance)
    yield from _new_bank(job, instance.catalogue)
    yield from sorted(_hours(job, instance), key=lambda knob: knob.guess or 0)
    yield from _second_string(job)
    yield from drop_knobs(job)
    yield from smaller_drop_knobs(job, instance)
    yield from _ways(job)
    yield from _own_circuits(job)
    yield from _headroom(job)
    yield from _slack(job)
    yield from _switches(job)
    yield from _runs(job)
    yield from _leads(job)
    yield from _freedoms(job)


# -- energy -------------------------------------------------------------------------------------------------------

_ENERGY = frozenset({"autonomy", "budget"})


def _autonomy(job: Job, instance: Instance) -> Iterator[Knob]:
    """Whole and half hours less; how many is known from the energy that the most frugal feeds take."""
    now_h = job.limits.autonomy_h
    hours = on_grid(now_h, 0.5, 0.5) if now_h > 0.5 else []
    least_w = least_average_w(instance)
    fits = [n for n, h in enumerate(hours) if most_available_w(instance, h) >= least_w * (1 - FORGIVEN)]
    if not fits:
        return
    yield Knob(
        limit="autonomy_h",
        eases=_ENERGY,
        steps=tuple(Step(change=(Change(pointer="limits/autonomy_h", value=h),)) for h in hours),
        words=lambda n, _: f"Autonomy of {hours[n]:g} h instead of {now_h:g} h",
        subject="a shorter autonomy",
        guess=fits[0],
        proven=True,
    )


def _hours(job: Job, instance: Instance) -> Iterator[Knob]:
    for index, load in enumerate(job.loads):
        if load.hours_per_day > 0:
            yield from _hours_of(instance, index, load)


def _hours_of(instance: Instance, index: int, load: Load) -> Iterator[Knob]:
    now_h = load.hours_per_day
    hours = on_grid(now_h, 0.5, 0.5) if now_h > 0.5 else []
    available_w = most_available_w(instance)
    fits = [n for n, h in enumerate(hours) if least_average_w(instance, {load.id: h}) <= available_w * (1 + FORGIVEN)]
    if not fits:
        return
    yield Knob(
        limit="hours_per_day",
        eases=_ENERGY,
        steps=tuple(Step(change=(Change(pointer=f"loads/{index}/hours_per_day", value=h),)) for h in hours),
        words=lambda n, _: f"{load.label} off {now_h - hours[n]:g} h more a day: {hours[n]:g} h instead of {now_h:g} h",
        subject=f"{load.label} on for fewer hours",
        guess=fits[0],
    )


def _new_bank(job: Job, catalogue: Catalogue) -> Iterator[Knob]:
    if job.bank.may_buy:
        return
    yield Knob(
        limit="may_buy",
        eases=frozenset({"autonomy", "bank_peak", "bank"}),
        steps=(Step(change=(Change(pointer="bank/may_buy", value=True),)),),
        words=lambda _, plan: _bank_words(plan, catalogue),
        subject="a new bank",
        guess=0,
        proven=True,
    )


def _bank_words(plan: Plan, catalogue: Catalogue) -> str:
    bank = plan.bank
    if bank is None or bank.part is None:
        return "A new bank allowed"
    count = bank.series * bank.parallel
    several = "" if count == 1 else f" ({bank.series} in series × {bank.parallel} in parallel)"
    return f"A new bank: {count} × {catalogue.part(bank.part).label}{several}"


def _second_string(job: Job) -> Iterator[Knob]:
    bank = job.bank.existing
    if bank is None:
        return
    yield Knob(
        limit="second_string",
        eases=frozenset({"autonomy", "bank_peak"}),
        steps=(Step(change=_doubled(job, bank)),),
        words=lambda _, __: (
            f"A second string like the bank you have: {2 * bank.capacity_ah:g} Ah instead of {bank.capacity_ah:g} Ah"
        ),
        subject="a second string of the bank you have",
        guess=0,
        proven=True,
        uncounted="the second string itself, its string fuses and its links",
    )


def _doubled(job: Job, bank: ExistingBank) -> tuple[Change, ...]:
    """Two strings also drive twice the fault current: fuses have to break it."""
    return (
        Change(pointer="bank/existing/capacity_ah", value=2 * bank.capacity_ah),
        Change(pointer="bank/existing/max_discharge_a", value=2 * bank.max_discharge_a),
        Change(pointer="bus/fault_a", value=2 * job.bus.fault_a),
    )


# -- panel, converters, cuts --------------------------------------------------------------------------------------


def _ways(job: Job) -> Iterator[Knob]:
    now = job.bus.spare_ways
    more = range(1, len(job.loads) - now + 1)
    yield Knob(
        limit="spare_ways",
        eases=frozenset({"ways_and_holders", "budget"}),
        steps=tuple(Step(change=(Change(pointer="bus/spare_ways", value=now + n),)) for n in more),
        words=lambda n, _: f"{n + 1} more fuse {'way' if n == 0 else 'ways'}: {now + n + 1} instead of {now}",
        subject="more fuse ways",
    )


def _own_circuits(job: Job) -> Iterator[Knob]:
    for index, load in enumerate(job.loads):
        mates = [other for other in job.loads if other.place == load.place and other.switch == load.switch]
        if load.own_circuit and len(mates) > 1:
            label = load.label
            yield Knob(
                limit="own_circuit",
                eases=frozenset({"ways_and_holders", "budget"}),
                steps=(Step(change=(Change(pointer=f"loads/{index}/own_circuit", value=False),)),),
                words=lambda _, __, label=label: f"{label} may share its circuit",  # type: ignore[misc]
                subject=f"a shared circuit for {label}",
                guess=0,
                proven=True,
            )


def _headroom(job: Job) -> Iterator[Knob]:
    now_pct = job.limits.headroom_pct
    pcts = on_grid(now_pct, 0.0, 1.0)
    yield Knob(
        limit="headroom_pct",
        eases=frozenset({"feed", "budget"}),
        steps=tuple(Step(change=(Change(pointer="limits/headroom_pct", value=pct),)) for pct in pcts),
        words=lambda n, _: f"{pcts[n]:g} % room to spare in converters instead of {now_pct:g} %",
        subject="less room to spare in converters",
    )


def _slack(job: Job) -> Iterator[Knob]:
    now_m = job.limits.slack_m
    lengths_m = [round(length_m, 2) for length_m in on_grid(now_m, 0.0, 0.05)]
    yield Knob(
        limit="slack_m",
        eases=frozenset({"stock"}),
        steps=tuple(Step(change=(Change(pointer="limits/slack_m", value=m),)) for m in lengths_m),
        words=lambda n, _: f"{lengths_m[n]:g} m added to every cut instead of {now_m:g} m",
        subject="less added to every cut",
    )


def _switches(job: Job) -> Iterator[Knob]:
    for index, load in enumerate(job.loads):
        if load.switch:
            yield Knob(
                limit="switch",
                eases=frozenset({"switch_parts"}),
                steps=(Step(change=(Change(pointer=f"loads/{index}/switch", value=False),)),),
                words=lambda _, __, label=load.label: f"{label} without a switch of its own",  # type: ignore[misc]
                subject=f"{load.label} without a switch",
            )
    yield from _no_switches(job)


def _no_switches(job: Job) -> Iterator[Knob]:
    """All of them at once, where no single one is enough."""
    switched = [n for n, load in enumerate(job.loads) if load.switch]
    names = few([job.loads[n].label for n in switched])
    if len(switched) > 1:
        yield Knob(
            limit="switch",
            eases=frozenset({"switch_parts"}),
            steps=(Step(change=tuple(Change(pointer=f"loads/{n}/switch", value=False) for n in switched)),),
            words=lambda _, __: f"No switches of their own for {names}",
            subject="no switches",
            last_resort=True,
        )


_RUN = frozenset(
    {
        "stock",
        "drop_at_floor",
        "conductor_fits_first_stage",
        "terminal_parts",
        "fuse_within_conductor",
        "outlet_power",  # what the bus cannot feed over such a run may be what stays on the outlet
        "feed",
    }
)


def _runs(job: Job) -> Iterator[Knob]:
    """A shorter run: what stands nearer to the panel. That eases no safety limit, it obeys them."""
    for index, place in enumerate(job.places):
        scope = frozenset(load.id for load in job.loads if load.place == place.id)
        if scope:
            yield from _run(index, place, scope)


def _run(index: int, place: Place, scope: frozenset[str]) -> Iterator[Knob]:
    now_m, label = place.run_m, place.label
    lengths_m = [round(length_m, 1) for length_m in on_grid(now_m, 0.1, 0.1)] if now_m > 0.1 else []
    yield Knob(
        limit="run_m",
        eases=_RUN,
        steps=tuple(Step(change=(Change(pointer=f"places/{index}/run_m", value=m),)) for m in lengths_m),
        words=lambda n, _: f"A run to {label} of {lengths_m[n]:g} m instead of {now_m:g} m",
        subject=f"a shorter run to {label}",
        scope=scope,
    )


def _leads(job: Job) -> Iterator[Knob]:
    """A shorter lead: the last converter, or the end of the run, nearer to the load."""
    for index, load in enumerate(job.loads):
        if isinstance(load.lead, CutLead):
            yield from _lead(index, load, load.lead.length_m)


def _lead(index: int, load: Load, now_m: float) -> Iterator[Knob]:
    lengths_m = [round(length_m, 1) for length_m in on_grid(now_m, 0.1, 0.1)] if now_m > 0.1 else []
    yield Knob(
        limit="length_m",
        eases=frozenset({"stock", "drop_at_floor", "cut_lead_is_protected", "feed"}),
        steps=tuple(Step(change=(Change(pointer=f"loads/{index}/lead/length_m", value=m),)) for m in lengths_m),
        words=lambda n, _: f"A lead of {lengths_m[n]:g} m for {load.label} instead of {now_m:g} m",
        subject=f"a shorter lead for {load.label}",
        scope=frozenset({load.id}),
    )


def _freedoms(job: Job) -> Iterator[Knob]:
    """What is off unless somebody asks for it: a converter at the panel, several loads on one."""
    if not job.limits.boost_at_panel:
        yield _freedom(
            "boost_at_panel",
            frozenset({"drop_at_floor", "conductor_fits_first_stage", "fuse_within_conductor", "feed", "budget"}),
            "Allow a converter at the panel, so that a run carries more than the bus voltage",
            "a converter at the panel",
        )
    if not job.limits.share_stages:
        words = "Allow one converter to feed several loads"
        yield _freedom("share_stages", _ENERGY, words, "one converter for several loads")


def _freedom(limit: str, eases: frozenset[str], words: str, subject: str) -> Knob:
    return Knob(
        limit=limit,
        eases=eases,
        steps=(Step(change=(Change(pointer=f"limits/{limit}", value=True),)),),
        words=lambda _, __: words,
        subject=subject,
    )


def without_knobs(job: Job) -> Iterator[Knob]:
    """The job without one of its loads: what is left where nothing else gives."""
    for index, load in enumerate(job.loads):
        if len(job.loads) > 1:
            yield Knob(
                limit="without",
                eases=frozenset(),
                steps=(Step(change=(Change(pointer=f"loads/{index}", value=None),)),),
                words=lambda _, __, label=load.label: f"Without {label}",  # type: ignore[misc]
                subject=f"the job without {load.label}",
            )
