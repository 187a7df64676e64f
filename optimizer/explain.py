"""Why there is no plan: loads that nothing can feed, and limits that cannot all hold."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from optimizer import shortfalls
from optimizer.frugal import least_average_w, least_peak_a, most_available_w
from optimizer.loosened import Conflict, Loosened
from optimizer.near_misses import apart, sentence, stuck_loads
from optimizer.plan import Reason
from optimizer.shortfalls import Miss
from optimizer.solve import demands, joined_circuits, rules
from optimizer.solve.fits import SCALE
from optimizer.solve.instance import Instance
from optimizer.solve.outlet import ac_peak_w
from optimizer.solve.rules import Rule
from optimizer.solve.variables import Term, Variables
from optimizer.solving import Clock
from optimizer.units import AGAINST_US, FORGIVEN, WITH_US, scaled_up

_FEW_LOADS = 24  # up to so many, the model is asked for more even where bounds already tell
MOST_S = 10.0  # for all of it; less where the caller has less

# Limits that a plan can fail on, in the order in which people would rather give them up: the last ones first.
_LIMITS: dict[Rule, str] = {
    joined_circuits.fuse_not_oversized: "no fuse is close enough to what its circuit draws (fuse ratio limit)",
    demands.consumable_parts: "the heat-shrink, labels or other consumables it takes are not on offer",
    demands.terminal_parts: "no terminals on offer fit the conductors it takes",
    demands.junction_parts: "no junction on offer takes the feeds that would share a circuit",
    rules.switch_parts: "no DC switch on offer is rated for the fuse and the voltage",
    rules.ways_and_holders: "it takes more circuits than there are spare fuse ways, and no in-line holder fits",
    rules.outlet_power: "the loads left on the AC outlet ask for more than it gives",
    joined_circuits.conductor_fits_first_stage: (
        "the conductors that hold the drop are too thick for the converters' terminals"
    ),
    rules.cut_lead_is_protected: "no lead that fits carries what its converter can put out",
    joined_circuits.fuse_carries_design_current: "no fuse on offer that the panel takes carries what its circuit draws",
    joined_circuits.fuse_within_feed: "the fuse that carries the circuit is larger than what hangs on it allows",
    rules.fuse_within_conductor: "no fuse fits between the current and what the cable carries as installed",
    rules.bank_peak: "everything at peak asks more of the bank than its largest discharge current",
    joined_circuits.drop_at_floor: "the voltage drop limit cannot be held with the cables on offer",
    rules.autonomy: "the bank does not last as long as asked",
}


# The same limits as a list names them.
_NAMES: dict[Rule, str] = {
    joined_circuits.fuse_not_oversized: "fuses close to the current",
    demands.consumable_parts: "consumables on offer",
    demands.terminal_parts: "terminals on offer",
    demands.junction_parts: "junctions on offer",
    rules.switch_parts: "switches on offer",
    rules.ways_and_holders: "the spare fuse ways",
    rules.outlet_power: "what the AC outlet gives",
    joined_circuits.conductor_fits_first_stage: "the conductors that converters take",
    rules.cut_lead_is_protected: "leads that carry what their converter puts out",
    joined_circuits.fuse_carries_design_current: "fuses that carry the current",
    joined_circuits.fuse_within_feed: "the fuses that converters and loads allow",
    rules.fuse_within_conductor: "fuses that protect the cable",
    rules.bank_peak: "what the bank gives at peak",
    joined_circuits.drop_at_floor: "the drop allowed",
    rules.autonomy: "the autonomy asked for",
}


def rules_in_the_way(reasons: Iterable[Reason]) -> set[str]:
    """Rules by name that reasons are about, all those of a set included: giving any of them up resolves the set."""
    by_name = {name: rule.__name__ for rule, name in _NAMES.items()}
    return {rule for each in reasons for rule in (each.rule, *(by_name[name] for name in each.together))}


def reasons_for(instance: Instance, clock: Clock | None = None) -> tuple[Reason, ...]:
    """What stands in the way, the most telling first. Only for an instance known to have no plan.

    Args:
        clock: What the caller has left; not more than MOST_S is used.
    """
    clock = Clock(MOST_S) if clock is None else Clock(min(clock.left_s, MOST_S), clock.stop)
    if stuck := tuple(stuck_loads(instance)):
        return stuck
    if not instance.banks:
        return (Reason(subject="bank", text="No battery in the catalogue suits this bus.", rule="bank"),)
    for rounding in (WITH_US, AGAINST_US):  # against us only where a plan would break a limit by a hair
        cases, in_time = _found(replace(instance, rounding=rounding), clock)
        if cases:
            return (*_in_words(cases), *_stock(shortfalls.cut_misses(instance)))
        if not in_time:
            text = "It is proven that no plan holds all limits; which of them are in the way was not found in the time."
            return (Reason(subject="limits", text=text, rule="time"),)
    return _not_to_be_had(instance)


def _found(instance: Instance, clock: Clock) -> tuple[list[_Case], bool]:
    """Limits in the way, and whether the time did for finding out."""
    cases = _of_parts(instance, clock)
    if cases and len(instance.loads) > _FEW_LOADS:
        return cases, True
    more = _of_the_whole(instance, clock, {rule for case in cases for rule in case.conflict.limits})
    return [*cases, *(more or [])], more is not None


def _of_parts(instance: Instance, clock: Clock) -> list[_Case]:
    """What fails by itself: a load alone on its circuit, or the energy of all. Empty where nothing does."""
    found = []
    for load in instance.loads:
        if shortfalls.fails_alone(instance, load) and clock.left_s > 0:
            loose = Loosened(replace(instance, loads=(load,)), _LIMITS, clock)
            found += _cases(loose, loose.conflicts() or [])
    of_all = {rules.autonomy, rules.bank_peak}
    found = [case for case in found if not of_all & set(case.conflict.limits)]
    plain = [] if _lasts(instance) else [rules.autonomy]
    plain += [] if _peaks(instance) else [rules.bank_peak]
    return found + [_Case(instance, Conflict(limits=(rule,), is_minimal=True), None) for rule in plain]


def _lasts(instance: Instance) -> bool:
    """Whether the energy may do: no plan draws less than every load on its most frugal feed."""
    return least_average_w(instance) <= most_available_w(instance) * (1 + FORGIVEN)


def _peaks(instance: Instance) -> bool:
    """Whether some bank may do for every load at peak."""
    return least_peak_a(instance) <= max(bank.max_discharge_a for bank in instance.banks) * (1 + FORGIVEN)


def _of_the_whole(instance: Instance, clock: Clock, given_up: set[Rule]) -> list[_Case] | None:
    """Limits that fail only together with others, once some are given up; None where time did not do."""
    loose = Loosened(instance, _LIMITS, clock)
    conflicts = loose.conflicts(given_up)
    return None if conflicts is None else _cases(loose, conflicts, given_up)


def _cases(loose: Loosened, conflicts: list[Conflict], given_up: Iterable[Rule] = ()) -> list[_Case]:
    off = frozenset(given_up).union(*(conflict.limits for conflict in conflicts))
    # of a set all but the last are held: only so does that one fail
    return [_Case(loose.instance, each, loose, off.difference(each.limits[:-1])) for each in conflicts]


def _not_to_be_had(instance: Instance) -> tuple[Reason, ...]:
    """No limit is in the way, so something cannot be bought as it is needed."""
    text = "the parts that would do are not on offer in the number or the lengths it takes"
    if limited := shortfalls.limited_parts(instance):
        text += f"; only so many can be had of {', '.join(limited)}"
    return _stock(shortfalls.cut_misses(instance) or [Miss("catalogue", text)])


def _stock(misses: list[Miss]) -> tuple[Reason, ...]:
    return tuple(Reason(subject=miss.subject, text=sentence(miss.text), rule="stock") for miss in misses)


# -- words --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Case:
    """A conflict with the instance and the model that show it; without a model a bound shows it."""

    instance: Instance
    conflict: Conflict
    loose: Loosened | None
    given_up: frozenset[Rule] = frozenset()  # so that there is a plan to take numbers from

    def least(self, terms: Callable[[Variables], list[Term]]) -> float | None:
        """The least that some terms can come to, with given up what is in the way of the others. [1/SCALE]"""
        if self.loose is None:
            return None
        return self.loose.least(terms(self.loose.v), self.given_up)


def _in_words(cases: list[_Case]) -> tuple[Reason, ...]:
    """The conflicts in the order in which people would rather give their limits up; nothing said twice."""
    order = list(_LIMITS)
    cases = sorted(cases, key=lambda case: max(order.index(rule) for rule in case.conflict.limits))
    several = len({case.conflict.limits for case in cases}) > 1
    reasons = [reason for case in cases for reason in _worded(case, several=several)]
    return tuple(dict.fromkeys(reasons))


def _worded(case: _Case, *, several: bool) -> list[Reason]:
    *others, rule = case.conflict.limits
    subject = "bank" if rule in (rules.autonomy, rules.bank_peak) else "limits"
    misses = (_NUMBERS[rule](case) if rule in _NUMBERS else []) or [Miss(subject, _LIMITS[rule])]
    suffix = f"; it cannot hold together with {' and '.join(_NAMES[other] for other in others)}" if others else ""
    suffix += " (one of several limits that stand in the way)" if several else ""
    together = tuple(_NAMES[other] for other in (*others, rule)) if others else ()
    return [
        Reason(subject=m.subject, text=sentence(m.text + suffix), rule=rule.__name__, together=together) for m in misses
    ]


def _autonomy_words(case: _Case) -> list[Miss]:
    """The least that any plan would draw, against the most that a bank gives."""
    least = case.least(rules.average_terms)
    least_w = least_average_w(case.instance) if least is None else least / SCALE
    hours = case.instance.job.limits.autonomy_h
    best = max(case.instance.banks, key=lambda bank: bank.available_w)
    if least_w <= best.available_w:  # not the least that it takes, where other limits are in the set
        return []
    needs_wh, gives_wh = apart(least_w * hours, best.available_w * hours, 0)
    name = "the bank you have" if best.battery is None else f"the largest bank on offer ({best.battery.label})"
    text = (
        f"{hours:g} h without charging need {needs_wh} Wh even with the most frugal feeds "
        f"({least_w:.1f} W on average); {name} gives {gives_wh} Wh over that time"
    )
    return [Miss("bank", text)]


def _peak_words(case: _Case) -> list[Miss]:
    least = case.least(_peak_terms)
    least_a = least_peak_a(case.instance) if least is None else least / SCALE
    best = max(case.instance.banks, key=lambda bank: bank.max_discharge_a)
    name = "the bank you have" if best.battery is None else f"the strongest bank on offer ({best.battery.label})"
    if least_a <= best.max_discharge_a:
        return []
    draws_a, _ = apart(least_a, best.max_discharge_a, 1)
    text = f"everything at peak draws at least {draws_a} A at {case.instance.job.bus.low_v:g} V; "
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


def _circuit_terms(v: Variables) -> list[Term]:
    return [(1, var) for first in v.circuits for var in v.opened(first)]


def _outlet_terms(v: Variables) -> list[Term]:
    """What the loads left on the AC outlet take from it at peak. [1/SCALE W]"""
    return [(scaled_up(ac_peak_w(load), SCALE), var) for load in v.instance.loads for var in v.ac(load)]


def _ways_words(case: _Case) -> list[Miss]:
    """The fewest circuits that any plan takes, against the ways there are."""
    least, bus = case.least(_circuit_terms), case.instance.job.bus
    if least is None or least <= bus.spare_ways:
        return []
    circuits = "1 circuit" if round(least) == 1 else f"{least:.0f} circuits"
    text = (
        f"it takes at least {circuits}, spare fuse ways in the panel are {bus.spare_ways}, and not enough "
        f"in-line holders for {bus.fuse_style} fuses of {bus.way_max_a:g} A and {bus.high_v:g} V are on offer"
    )
    return [Miss("limits", text)]


def _outlet_words(case: _Case) -> list[Miss]:
    ac, least = case.instance.job.ac, case.least(_outlet_terms)
    if least is None or ac is None or least / SCALE <= ac.max_w:
        return []
    asked_w, _ = apart(least / SCALE, ac.max_w, 0)
    text = f"the loads left on the AC outlet ask for {asked_w} W at peak and it gives {ac.max_w:g} W"
    return [Miss("limits", text)]


def _switch_words(case: _Case) -> list[Miss]:
    names = shortfalls.few([load.label for load in case.instance.loads if load.switch])
    high_v = case.instance.job.bus.high_v
    return [Miss("limits", f"no DC switch on offer for {names} stands {high_v:g} V and the fuse it needs")]


def _terminal_words(case: _Case) -> list[Miss]:
    sizes = ", ".join(f"{mm2:g}" for mm2 in shortfalls.sizes_without_terminals(case.instance))
    return [Miss("limits", f"{_LIMITS[demands.terminal_parts]}: there are none for {sizes} mm²")] if sizes else []


_NUMBERS: dict[Rule, Callable[[_Case], list[Miss]]] = {
    rules.autonomy: _autonomy_words,
    rules.bank_peak: _peak_words,
    rules.ways_and_holders: _ways_words,
    rules.outlet_power: _outlet_words,
    rules.switch_parts: _switch_words,
    demands.terminal_parts: _terminal_words,
    joined_circuits.drop_at_floor: lambda case: shortfalls.drop_misses(case.instance),
    joined_circuits.conductor_fits_first_stage: lambda case: shortfalls.conductor_misses(case.instance),
    joined_circuits.fuse_carries_design_current: lambda case: shortfalls.fuse_misses(case.instance),
    rules.fuse_within_conductor: lambda case: shortfalls.fuse_misses(case.instance),
    joined_circuits.fuse_within_feed: lambda case: shortfalls.fuse_misses(case.instance),
}
