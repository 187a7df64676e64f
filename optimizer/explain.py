"""Why there is no plan: loads that nothing can feed, and limits that cannot all hold."""

from __future__ import annotations

from collections.abc import Callable

from ortools.sat.python import cp_model

from optimizer import shortfalls
from optimizer.near_misses import sentence, stuck_loads
from optimizer.plan import Reason
from optimizer.shortfalls import Miss
from optimizer.solve import demands, joined_circuits, rules
from optimizer.solve.engine import new_solver
from optimizer.solve.instance import Instance
from optimizer.solve.outlet import ac_peak_w
from optimizer.solve.purchases import Buying
from optimizer.solve.rules import SCALE, Rule
from optimizer.solve.variables import Term, Var, Variables, total
from optimizer.units import scaled_up

STEP_LIMIT_S = 5.0  # for each question put to the solver

# Limits that a plan can fail on, in the order in which people would rather give them up: the last ones first.
_LIMITS: dict[Rule, str] = {
    joined_circuits.fuse_not_oversized: "no fuse is close enough to what its circuit draws (fuse ratio limit)",
    demands.consumable_parts: "the heat-shrink, labels or other consumables it takes are not on offer",
    demands.terminal_parts: "no terminals on offer fit the conductors it takes",
    demands.junction_parts: "no junction on offer takes the feeds that would share a circuit",
    rules.switch_parts: "no DC switch on offer is rated for the fuse and the voltage",
    rules.ways_and_holders: "it takes more circuits than there are spare fuse ways, and no in-line holder fits",
    rules.outlet_power: "the loads left on the AC outlet ask for more than it gives",
    joined_circuits.conductor_fits_first_stage: "the conductors that hold the drop are too thick for the converters' terminals",
    rules.cut_lead_is_protected: "no lead that fits carries what its converter can put out",
    joined_circuits.fuse_carries_design_current: "no fuse on offer that the panel takes carries what its circuit draws",
    joined_circuits.fuse_within_feed: "the fuse that carries the circuit is larger than what hangs on it allows",
    rules.fuse_within_conductor: "no fuse fits between the current and what the cable carries as installed",
    rules.bank_peak: "everything at peak asks more of the bank than its largest discharge current",
    joined_circuits.drop_at_floor: "the voltage drop limit cannot be held with the cables on offer",
    rules.autonomy: "the bank does not last as long as asked",
}


def reasons_for(instance: Instance) -> tuple[Reason, ...]:
    """What stands in the way, the most telling first. Only for an instance known to have no plan."""
    stuck = tuple(stuck_loads(instance))
    if stuck:
        return stuck
    if not instance.banks:
        return (Reason(subject="bank", text="No battery in the catalogue suits this bus.", rule="bank"),)
    loose = _Loosened(instance)
    blocking = loose.blocking()
    if not blocking:
        return _not_to_be_had(instance)
    return tuple(reason for rule in blocking for reason in _worded(loose, rule, len(blocking)))


def _not_to_be_had(instance: Instance) -> tuple[Reason, ...]:
    """No limit is in the way, so something cannot be bought as it is needed."""
    text = "the parts that would do are not on offer in the number or the lengths it takes"
    if limited := shortfalls.limited_parts(instance):
        text += f"; only so many can be had of {', '.join(limited)}"
    misses = shortfalls.cut_misses(instance) or [Miss("catalogue", text)]
    return tuple(Reason(subject=miss.subject, text=sentence(miss.text), rule="stock") for miss in misses)


class _Loosened:
    """The model with a switch on every limit: off, its rows bind nothing."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.cp = cp_model.CpModel()
        self.v = Variables(self.cp, instance, most_by_sets=0)
        self._held: dict[Rule, Var] = {}
        for rule in (*joined_circuits.JOINED_CIRCUIT_RULES, *rules.RULES, *demands.DEMANDS):
            self._add(rule)
        self.v.needs.clear()  # they follow from rows that may be off
        Buying(self.cp, self.v).build()

    def _add(self, rule: Rule) -> None:
        rows = self.cp.proto.constraints
        before = len(rows)
        rule(self.cp, self.v)
        if rule not in _LIMITS:
            return
        held = self._held[rule] = self.cp.new_bool_var(f"held[{rule.__name__}]")
        for n in range(before, len(rows)):
            rows[n].enforcement_literal.append(held.index)

    def blocking(self) -> list[Rule]:
        """The limits to give up for a plan to exist, such that people would rather give up none of the others."""
        worth = [(2**n, self._held[rule]) for n, rule in enumerate(reversed(_LIMITS))]
        self.cp.maximize(total(worth))
        solver = _solver()
        if solver.solve(self.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return []
        given_up = [rule for rule in _LIMITS if not solver.value(self._held[rule])]
        for rule, held in self._held.items():
            self.cp.add(held == (rule not in given_up))
        return given_up

    def least(self, terms: list[Term]) -> float | None:
        """The least that some terms can come to in a plan that gives up the blocking limits only."""
        self.cp.minimize(total(terms))
        solver = _solver()
        if solver.solve(self.cp) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        return solver.best_objective_bound


def _solver() -> cp_model.CpSolver:
    return new_solver(limit_s=4 * STEP_LIMIT_S, deterministic_limit=STEP_LIMIT_S)


# -- words --------------------------------------------------------------------------------------------------------


def _worded(loose: _Loosened, rule: Rule, blocking: int) -> list[Reason]:
    together = "" if blocking == 1 else " (one of several limits that cannot all hold)"
    subject = "bank" if rule in (rules.autonomy, rules.bank_peak) else "limits"
    misses = (_NUMBERS[rule](loose) if rule in _NUMBERS else []) or [Miss(subject, _LIMITS[rule])]
    return [Reason(subject=m.subject, text=sentence(m.text + together), rule=rule.__name__) for m in misses]


def _autonomy_words(loose: _Loosened) -> list[Miss]:
    """The least that any plan would draw, against the most that a bank gives."""
    least = loose.least(rules.average_terms(loose.v))
    if least is None:
        return []
    least_w, hours = least / SCALE, loose.instance.job.limits.autonomy_h
    best = max(loose.instance.banks, key=lambda bank: bank.available_w)
    name = "the bank you have" if best.battery is None else f"the largest bank on offer ({best.battery.label})"
    text = (
        f"{hours:g} h without charging need {least_w * hours:,.0f} Wh even with the most frugal feeds "
        f"({least_w:.1f} W on average); {name} gives {best.available_w * hours:,.0f} Wh over that time"
    )
    return [Miss("bank", text)]


def _peak_words(loose: _Loosened) -> list[Miss]:
    least = loose.least(_peak_terms(loose.v))
    if least is None:
        return []
    best = max(loose.instance.banks, key=lambda bank: bank.max_discharge_a)
    name = "the bank you have" if best.battery is None else f"the strongest bank on offer ({best.battery.label})"
    text = f"everything at peak draws at least {least / SCALE:.1f} A at {loose.instance.job.bus.low_v:g} V; "
    return [Miss("bank", f"{text}{name} gives {best.max_discharge_a:g} A")]


def _peak_terms(v: Variables) -> list[Term]:
    """What everything at peak asks of the bank. [1/SCALE A]"""
    job = v.instance.job
    low_v = job.bus.low_v
    terms: list[Term] = []
    for load in v.instance.loads:
        terms += [(scaled_up(option.draw.current_a(low_v), SCALE), var) for option, var in v.all_feeds(load)]
        if job.ac is not None:
            terms += [(scaled_up(ac_peak_w(load) / job.ac.efficiency / low_v, SCALE), var) for var in v.ac(load)]
    if job.ac is not None:
        terms.append((scaled_up(job.ac.idle_w / low_v, SCALE), v.ac_used))
    return terms


def _outlet_terms(v: Variables) -> list[Term]:
    """What the loads left on the AC outlet take from it at peak. [1/SCALE W]"""
    return [(scaled_up(ac_peak_w(load), SCALE), var) for load in v.instance.loads for var in v.ac(load)]


def _ways_words(loose: _Loosened) -> list[Miss]:
    """The fewest circuits that any plan takes, against the ways there are."""
    least = loose.least([(1, var) for circuit in loose.v.circuits for var in loose.v.opened(circuit)])
    if least is None:
        return []
    bus = loose.instance.job.bus
    text = (
        f"it takes at least {least:.0f} circuits, spare fuse ways in the panel are {bus.spare_ways}, and not enough "
        f"in-line holders for {bus.fuse_style} fuses of {bus.way_max_a:g} A and {bus.high_v:g} V are on offer"
    )
    return [Miss("limits", text)]


def _outlet_words(loose: _Loosened) -> list[Miss]:
    ac, least = loose.instance.job.ac, loose.least(_outlet_terms(loose.v))
    if least is None or ac is None:
        return []
    text = f"the loads left on the AC outlet ask for {least / SCALE:.0f} W at peak and it gives {ac.max_w:g} W"
    return [Miss("limits", text)]


def _switch_words(loose: _Loosened) -> list[Miss]:
    names = ", ".join(load.label for load in loose.instance.loads if load.switch)
    high_v = loose.instance.job.bus.high_v
    return [Miss("limits", f"no DC switch on offer for {names} stands {high_v:g} V and the fuse it needs")]


_NUMBERS: dict[Rule, Callable[[_Loosened], list[Miss]]] = {
    rules.autonomy: _autonomy_words,
    rules.bank_peak: _peak_words,
    rules.ways_and_holders: _ways_words,
    rules.outlet_power: _outlet_words,
    rules.switch_parts: _switch_words,
    joined_circuits.drop_at_floor: lambda loose: shortfalls.drop_misses(loose.instance),
    joined_circuits.conductor_fits_first_stage: lambda loose: shortfalls.conductor_misses(loose.instance),
    joined_circuits.fuse_carries_design_current: lambda loose: shortfalls.fuse_misses(loose.instance),
    rules.fuse_within_conductor: lambda loose: shortfalls.fuse_misses(loose.instance),
    joined_circuits.fuse_within_feed: lambda loose: shortfalls.fuse_misses(loose.instance),
}
