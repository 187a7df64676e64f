"""Twins of planning rules 4 (and 10): bank, energy, AC outlet."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import BankKit
from optimizer.job import Bank
from optimizer.plan import Energy
from tests.builders import EXISTING, a_catalogue, a_job, a_plan

from .circuits import AGM, TWO_STRINGS
from .twin import AC_PLAN, OUTLET, WITH_OUTLET, System, Twin, by_job, by_plan

MAY_BUY = a_job(bank=Bank(existing=EXISTING, may_buy=True))


def battery(rule: str, what: str, obeys: dict[str, object], breaks: dict[str, object], **bank: object) -> Twin:
    """Twins that differ in the battery that is bought, two strings of it unless said otherwise."""
    plan = a_plan(bank={"keep": False, "part": "agm", "parallel": 2, **bank})
    return Twin(
        rule=rule,
        what=what,
        obeys=System(job=MAY_BUY, catalogue=a_catalogue(replace(AGM, **obeys)), plan=plan),
        breaks=System(job=MAY_BUY, catalogue=a_catalogue(replace(AGM, **breaks)), plan=plan),
    )


OPTIONS = (
    by_job(
        "bank_choice",
        "buying not allowed",
        {"bank": Bank(existing=EXISTING, may_buy=True)},
        {"bank": Bank(existing=EXISTING, may_buy=False)},
        catalogue=a_catalogue(AGM),
        plan=TWO_STRINGS,
    ),
    by_plan("bank_choice", "kept but not kept", {}, {"bank": {"keep": False}}),
    battery("bank_series", "limit of the battery", {"max_series": 2}, {"max_series": 1}, series=2),
    battery("bank_series", "default of lithium", {}, {"chemistry": "lithium"}, series=2),
    by_plan(
        "bank_series",
        "three in series",
        {"bank": {"keep": False, "part": "agm", "series": 2}},
        {"bank": {"keep": False, "part": "agm", "series": 3}},
        job=MAY_BUY,
        catalogue=a_catalogue(AGM),
    ),
    battery("bank_parallel", "two strings", {"max_parallel": 2}, {"max_parallel": 1}),
    battery("bank_low_voltage", "bus down to 11.7 V", {"low_v": 11.7}, {"low_v": 11.6}),
    battery("bank_low_voltage", "two in series", {"low_v": 5.85}, {"low_v": 5.84}, series=2),
    battery("bank_high_voltage", "bus up to 14 V", {"high_v": 14}, {"high_v": 14.1}),
    battery("bank_charge_voltage", "bus up to 14 V", {"charge_v": 14}, {"charge_v": 13.9}),
)

DRAWN = (
    # 14.7 W / 12 V × 24 h / (0.5 × 0.8) = 73.5 Ah
    by_job("autonomy", "capacity", {"existing": {"capacity_ah": 73.5}}, {"existing": {"capacity_ah": 73.4}}),
    # in 5 h, 0.5 × 20 h rated: 0.8 C / 20 h × (10 / 5)^(1/1.25) × 12 V = 14.7 W at C = 17.59 Ah; without Peukert 15.3
    by_job(
        "autonomy",
        "Peukert",
        {"existing": {"capacity_ah": 17.6, "peukert": 1.25}, "limits": {"autonomy_h": 5}},
        {"existing": {"capacity_ah": 17.5, "peukert": 1.25}, "limits": {"autonomy_h": 5}},
    ),
    # 100 Ah of two strings of 50 Ah hold 20 W as before
    battery("autonomy", "strings", {"capacity_ah": 36.75}, {"capacity_ah": 36.7}),
    by_plan("average_recorded", "14.7 W", {"bank": {"average_w": 14.7009}}, {"bank": {"average_w": 14.702}}),
    by_plan("available_recorded", "20 W", {"bank": {"available_w": 19.9991}}, {"bank": {"available_w": 19.998}}),
    # 42 W / 11.7 V + 21 W behind 0.08 Ω from 11.7 V, 11.5546 V: 3.5897 A + 1.8175 A
    by_job("bank_peak", "kept", {"existing": {"max_discharge_a": 5.408}}, {"existing": {"max_discharge_a": 5.406}}),
    battery("bank_peak", "two strings", {"max_discharge_a": 2.704}, {"max_discharge_a": 2.703}),
    # the router at the outlet: (46 W / 0.875 + 6 W) / 11.7 V + 1.8175 A = 6.8236 A
    by_job(
        "bank_peak",
        "through the outlet",
        {**WITH_OUTLET, "existing": {"max_discharge_a": 6.824}},
        {**WITH_OUTLET, "existing": {"max_discharge_a": 6.823}},
        plan=a_plan(**AC_PLAN),
    ),
    by_job(
        "ac_peak",
        "1 W + 36 W / 0.8",
        {**WITH_OUTLET, "ac": replace(OUTLET, max_w=46)},
        {**WITH_OUTLET, "ac": replace(OUTLET, max_w=45.9)},
        plan=a_plan(**AC_PLAN),
    ),
    by_plan(
        "energy_recorded",
        "14.7 W",
        {"energy": Energy(average_w=14.7, today_average_w=None)},
        {"energy": Energy(average_w=14.6, today_average_w=None)},
    ),
    # 2.1 W + ((1 + 18 / 0.8) W × 12 h + 1 W × 12 h) / 24 h / 0.875 + 6 W × 12 h / 24 h
    by_plan(
        "today_recorded",
        "19.1 W",
        {"energy": Energy(average_w=14.7, today_average_w=19.1)},
        {"energy": Energy(average_w=14.7, today_average_w=19.0)},
        job=a_job(**WITH_OUTLET),
    ),
    by_plan(
        "today_recorded",
        "the outlet cannot",
        {"energy": Energy(average_w=14.7, today_average_w=None)},
        {"energy": Energy(average_w=14.7, today_average_w=19.1)},
        job=a_job(**{**WITH_OUTLET, "ac": replace(OUTLET, max_w=45.9)}),
    ),
)

KIT = BankKit(id="kit", max_series=1, max_parallel=2, max_a=5.408, max_v=14, interrupt_a=1000)
WITH_KIT = a_plan(bank={"keep": False, "part": "agm", "parallel": 2, "kit": "kit"})


def kit(rule: str, what: str, **breaks: float) -> Twin:
    """Twins that differ in the bank kit, which just serves two strings of 500 A."""
    return Twin(
        rule=rule,
        what=what,
        obeys=System(job=MAY_BUY, catalogue=a_catalogue(AGM, KIT), plan=WITH_KIT),
        breaks=System(job=MAY_BUY, catalogue=a_catalogue(AGM, replace(KIT, **breaks)), plan=WITH_KIT),
    )


KITS = (
    by_plan(
        "bank_kit",
        "two strings",
        {"bank": {"keep": False, "part": "agm", "parallel": 2, "kit": "kit"}},
        {"bank": {"keep": False, "part": "agm", "parallel": 2}},
        job=MAY_BUY,
        catalogue=a_catalogue(AGM, KIT),
    ),
    kit("bank_kit_series", "one in series", max_series=0),
    kit("bank_kit_parallel", "two strings", max_parallel=1),
    kit("bank_kit_current", "peak 5.407 A", max_a=5.406),
    kit("bank_kit_voltage", "bus up to 14 V", max_v=13.9),
    kit("bank_kit_interrupt", "2 × 500 A", interrupt_a=999),
)

TWINS = (*OPTIONS, *DRAWN, *KITS)
