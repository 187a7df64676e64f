"""Rules of planning rules 4 (and 10): bank, energy and the AC outlet."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.catalogue import BankKit, Battery
from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.verdict import at_least, at_most, claim, num, same, unchecked
from optimizer.plan import Check

_BANK = "bank"
_SERIES = (1, 2, 4)
_PRINTED = 1e-3  # documents print three or four decimals


def check_bank(facts: PlanFacts) -> Iterator[Check]:
    """Every rule about the bank and what is drawn from it."""
    yield _choice(facts)
    if facts.battery is not None:
        yield from _bought(facts, facts.battery)
    yield from _autonomy(facts)
    yield from _peaks(facts)
    yield from _energy(facts)


def _choice(facts: PlanFacts) -> Check:
    bank, job = facts.bank, facts.job
    if bank.part is None:
        kept = bank.keep and (bank.series, bank.parallel, bank.kit) == (1, 1, None)
        return claim(rules.BANK_CHOICE, _BANK, kept and job.bank.existing is not None, "the existing bank is kept")
    text = f"{bank.series} in series × {bank.parallel} parallel of {bank.part} bought"
    return claim(rules.BANK_CHOICE, _BANK, job.bank.may_buy and not bank.keep, text)


def _bought(facts: PlanFacts, battery: Battery) -> Iterator[Check]:
    bank, bus = facts.bank, facts.job.bus
    s, p = bank.series, bank.parallel
    text = f"{s} in series; 1, 2 or 4, and at most {battery.series_limit}"
    most = battery.series_limit if s in _SERIES else 0
    yield at_most(rules.SERIES, _BANK, s, most, text)
    text = f"{p} strings; at most {battery.max_parallel}"
    yield at_most(rules.PARALLEL, _BANK, p, battery.max_parallel if p >= 1 else 0, text)
    text = f"{s} × {num(battery.low_v)} V = {num(s * battery.low_v)} V; bus down to {num(bus.low_v)} V"
    yield at_least(rules.BANK_LOW, _BANK, s * battery.low_v, bus.low_v, text)
    text = f"{s} × {num(battery.high_v)} V = {num(s * battery.high_v)} V; bus up to {num(bus.high_v)} V"
    yield at_most(rules.BANK_HIGH, _BANK, s * battery.high_v, bus.high_v, text)
    if battery.charge_v is not None:
        limit_v = s * battery.charge_v
        text = f"bus up to {num(bus.high_v)} V; {s} × {num(battery.charge_v)} V = {num(limit_v)} V"
        yield at_most(rules.BANK_CHARGE, _BANK, bus.high_v, limit_v, text)
    yield from _kit(facts, battery)


def _kit(facts: PlanFacts, battery: Battery) -> Iterator[Check]:
    bank, kit = facts.bank, facts.kit
    known = (battery.fault_a, battery.max_series, battery.charge_v, battery.chemistry)
    if bank.series * bank.parallel > 1 and any(value is not None for value in known):
        text = f"{bank.series * bank.parallel} batteries: string fuses, links and a main disconnect are needed"
        yield claim(rules.KIT, _BANK, kit is not None, text)
    if kit is not None:
        yield from _kit_ratings(facts, kit)


def _kit_ratings(facts: PlanFacts, kit: BankKit) -> Iterator[Check]:
    bank, high_v = facts.bank, facts.job.bus.high_v
    yield at_least(rules.KIT_SERIES, _BANK, kit.max_series, bank.series, f"kit for {kit.max_series} in series")
    yield at_least(rules.KIT_PARALLEL, _BANK, kit.max_parallel, bank.parallel, f"kit for {kit.max_parallel} strings")
    text = f"kit {num(kit.max_a)} A; peak {num(facts.bank_peak_a)} A"
    yield at_least(rules.KIT_CURRENT, _BANK, kit.max_a, facts.bank_peak_a, text)
    text = f"kit {num(kit.max_v)} V; bus up to {num(high_v)} V"
    yield at_least(rules.KIT_VOLTAGE, _BANK, kit.max_v, high_v, text)
    if facts.bank_fault_a is None:
        yield unchecked(rules.KIT_INTERRUPT, _BANK, "the battery states no fault current", kit.interrupt_a)
        return
    text = f"kit breaks {num(kit.interrupt_a)} A; {bank.parallel} strings deliver {num(facts.bank_fault_a)} A"
    yield at_least(rules.KIT_INTERRUPT, _BANK, kit.interrupt_a, facts.bank_fault_a, text)


def _autonomy(facts: PlanFacts) -> Iterator[Check]:
    bank = facts.bank
    text = f"average {num(facts.average_w)} W; {_current_text(facts)}, × {num(facts.bank_v)} V"
    text += f" = {num(facts.available_w)} W"
    yield at_most(rules.AUTONOMY, _BANK, facts.average_w, facts.available_w, text)
    for rule, stated, value in (
        (rules.AVERAGE_RECORDED, bank.average_w, facts.average_w),
        (rules.AVAILABLE_RECORDED, bank.available_w, facts.available_w),
    ):
        text = f"plan states {num(stated)} W, worked out again {num(value)} W"
        yield same(rule, _BANK, stated, value, text, tolerance=_PRINTED)


def _current_text(facts: PlanFacts) -> str:
    """Largest average current as a builder works it out: by capacity, or by Peukert where that is less."""
    store, limits = facts.battery or facts.job.bank.existing, facts.job.limits
    if store is None:
        return "no bank"
    used, hours = num(store.usable_fraction), num(limits.autonomy_h)
    capacity_ah = facts.bank.parallel * store.capacity_ah * limits.bank_derate
    counted = f"{facts.bank.parallel} × {num(store.capacity_ah)} Ah × {num(limits.bank_derate)}"
    if facts.bank_current_a == store.usable_fraction * capacity_ah / limits.autonomy_h:
        return f"{used} × {counted} / {hours} h = {num(facts.bank_current_a)} A"
    rated, root = num(store.rated_hours), num(store.peukert)
    return f"({counted} / {rated} h) × ({used} × {rated} / {hours})^(1/{root}) = {num(facts.bank_current_a)} A"


def _peaks(facts: PlanFacts) -> Iterator[Check]:
    store, ac = facts.battery or facts.job.bank.existing, facts.job.ac
    limit_a = facts.bank.parallel * store.max_discharge_a if store else 0.0
    text = f"{num(facts.bank_peak_a)} A at {num(facts.job.bus.low_v)} V, every load at peak; bank {num(limit_a)} A"
    yield at_most(rules.BANK_PEAK, _BANK, facts.bank_peak_a, limit_a, text)
    if facts.ac_feeds and ac is not None:
        text = f"mains adapters {num(facts.outlet_peak_w)} W at peak; outlet {num(ac.max_w)} W"
        yield at_most(rules.AC_PEAK, "AC outlet", facts.outlet_peak_w, ac.max_w, text)


def _energy(facts: PlanFacts) -> Iterator[Check]:
    energy, average_w, today_w = facts.plan.energy, facts.average_w, facts.today_average_w
    if energy is None:
        text = f"the plan states no energy; worked out {num(average_w)} W"
        yield unchecked(rules.ENERGY_RECORDED, "plan", text, average_w)
        return
    text = f"plan states {num(energy.average_w)} W, worked out again {num(average_w)} W"
    yield same(rules.ENERGY_RECORDED, "plan", energy.average_w, average_w, text, tolerance=_PRINTED)
    text = "every load that has a mains adapter fed from the AC outlet: "
    text += "the outlet cannot" if today_w is None else f"{num(today_w)} W"
    yield same(rules.TODAY_RECORDED, "plan", energy.today_average_w, today_w, text, tolerance=_PRINTED)
