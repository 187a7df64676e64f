"""Why there is no plan: loads that nothing can feed, and limits that cannot all hold."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from ortools.sat.python import cp_model

from optimizer.catalogue import BUS_FORM, Fuse, Stage
from optimizer.job import Job, Load
from optimizer.plan import Reason
from optimizer.solve import demands, rules
from optimizer.solve.instance import Instance
from optimizer.solve.rules import SCALE, Rule, average_terms
from optimizer.solve.search import build_model
from optimizer.solve.variables import total

STEP_LIMIT_S = 5.0  # for each question put to the solver

# Limits that a plan can fail on, in the order in which people would rather give them up.
_LIMITS: dict[Rule, str] = {
    rules.fuse_not_oversized: "no fuse is close enough to what its circuit draws (fuse ratio limit)",
    demands.consumable_parts: "the heat-shrink, labels or other consumables it takes are not on offer",
    demands.terminal_parts: "no terminals on offer fit the conductors it takes",
    demands.junction_parts: "no junction on offer takes the feeds that would share a circuit",
    rules.switch_parts: "no DC switch on offer is rated for the fuse and the voltage",
    rules.ways_and_holders: "it takes more circuits than there are spare fuse ways, and no in-line holder fits",
    rules.outlet_power: "the loads left on the AC outlet ask for more than it gives",
    rules.conductor_fits_first_stage: "the conductors that hold the drop are too thick for the converters' terminals",
    rules.cut_lead_is_protected: "no lead that fits carries what its converter can put out",
    rules.fuse_within_feed: "the fuse that carries the circuit is larger than what hangs on it allows",
    rules.fuse_within_conductor: "no fuse fits between the current and what the cable carries as installed",
    rules.bank_peak: "everything at peak asks more of the bank than its largest discharge current",
    rules.drop_at_floor: "the voltage drop limit cannot be held with the cables on offer",
    rules.autonomy: "the bank does not last as long as asked",
}


def reasons_for(instance: Instance) -> tuple[Reason, ...]:
    """What stands in the way, the most telling first. Only for an instance known to have no plan."""
    stuck = tuple(_stuck_loads(instance))
    if stuck:
        return stuck
    if not instance.banks:
        return (Reason(subject="bank", text="No battery in the catalogue suits this bus.", rule="bank"),)
    blocking = list(_blocking(instance))
    if not blocking:
        return (Reason(subject="catalogue", text="The parts on offer do not come together to any plan."),)
    return tuple(_worded(instance, rule, len(blocking)) for rule in blocking)


# -- loads --------------------------------------------------------------------------------------------------------


def _stuck_loads(instance: Instance) -> Iterator[Reason]:
    no_fuse = _no_fuse(instance)
    for load in instance.loads:
        if instance.options[load.id] or instance.may_use_ac(load):
            continue
        text = no_fuse or f"{load.label} cannot be fed: {_nearest_miss(instance, load)}"
        yield Reason(subject=f"load {load.id}", text=text, rule="fault" if no_fuse else "feed")


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
    return f"No {bus.fuse_style} fuse on offer stands {bus.high_v:g} V DC and fits a way of {bus.way_max_a:g} A."


def _nearest_miss(instance: Instance, load: Load) -> str:
    """What stands against direct feeding, and the part that comes closest with the limits it breaks."""
    said = []
    if load.needs.form == BUS_FORM:
        said.append(_against_direct(instance.job, load))
    ends = [s for s in instance.catalogue.of(Stage) if s.out_form == load.needs.form]
    if ends:
        broken, stage = min(((list(_broken_by(instance.job, load, s)), s) for s in ends), key=_by_closeness)
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


def _broken_by(job: Job, load: Load, stage: Stage) -> Iterator[str]:
    """The limits that one stage alone would break between this bus and this load."""
    bus, needs = job.bus, load.needs
    if stage.in_form != BUS_FORM:
        yield f"it takes {stage.in_form}, which nothing on offer turns the bus into for this load"
    if stage.in_max_v < bus.high_v:
        yield f"it takes {stage.in_max_v:g} V and the bus reaches {bus.high_v:g} V"
    if stage.in_min_v > bus.low_v:
        yield f"it needs {stage.in_min_v:g} V and the bus falls to {bus.low_v:g} V"
    if stage.out_v is not None and not needs.min_v <= stage.out_v <= needs.max_v:
        yield f"it puts out {stage.out_v:g} V and the load takes {needs.min_v:g} to {needs.max_v:g} V"
    asked_w = load.peak_w * (1 + job.limits.headroom_pct / 100)
    if stage.max_out_w < asked_w:
        yield f"it puts out {stage.max_out_w:g} W and {asked_w:.0f} W are asked, headroom included"


# -- limits that cannot all hold ----------------------------------------------------------------------------------


def _blocking(instance: Instance) -> Iterator[Rule]:
    """A smallest set of limits whose removal leaves a plan: all are dropped, then put back one at a time."""
    dropped = list(_LIMITS)
    if not _has_plan(instance, dropped):
        return
    for rule in list(dropped):
        fewer = [other for other in dropped if other is not rule]
        if _has_plan(instance, fewer):
            dropped = fewer
    yield from dropped


def _has_plan(instance: Instance, without: Iterable[Rule]) -> bool:
    solver = _solver()
    return solver.solve(build_model(instance, without).cp) in (cp_model.OPTIMAL, cp_model.FEASIBLE)


def _solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = STEP_LIMIT_S
    solver.parameters.max_time_in_seconds = 4 * STEP_LIMIT_S
    return solver


def _worded(instance: Instance, rule: Rule, blocking: int) -> Reason:
    words: dict[Rule, Callable[[Instance], str]] = {rules.autonomy: _autonomy_words}
    text = words[rule](instance) if rule in words else _LIMITS[rule]
    together = "" if blocking == 1 else " (one of several limits that cannot all hold)"
    subject = "bank" if rule in (rules.autonomy, rules.bank_peak) else "limits"
    return Reason(subject=subject, text=text[0].upper() + text[1:] + together + ".", rule=rule.__name__)


def _autonomy_words(instance: Instance) -> str:
    """The least that any plan would draw, against the most that a bank gives."""
    built = build_model(instance, [rules.autonomy])
    built.cp.minimize(total(average_terms(built.v)))
    solver = _solver()
    if solver.solve(built.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return _LIMITS[rules.autonomy]
    least_w = solver.objective_value / SCALE
    best = max(instance.banks, key=lambda bank: bank.available_w)
    hours = instance.job.limits.autonomy_h
    name = "the bank you have" if best.battery is None else f"the largest bank on offer ({best.battery.label})"
    return (
        f"{hours:g} h without charging need {least_w * hours:,.0f} Wh even with the most frugal feeds "
        f"({least_w:.1f} W on average); {name} gives {best.available_w * hours:,.0f} Wh over that time"
    )
