"""How long the bank there is lasts, told without a plan: about, with loads on the outlet; at most, without any loss."""

from __future__ import annotations

import math

from optimizer.job import ExistingBank, Job
from optimizer.physics.bank import average_current_a, hours_at
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.units import HOURS_PER_DAY

_LEAST_EFFICIENCY = 0.7  # of a feed of a load without a mains adapter (common practice), idling included


def hours_on_outlet(job: Job) -> float | None:
    """About how long the bank lasts with every load that came with a mains adapter on the outlet. [h]

    None where not all of them can be there, or there is no outlet, no bank or no such load.
    """
    bank, kept = job.bank.existing, [load for load in job.loads if load.brick is not None]
    if job.ac is None or bank is None or not kept or math.fsum(map(ac_peak_w, kept)) > job.ac.max_w:
        return None
    others_w = math.fsum(load.typical_w * load.hours_per_day / HOURS_PER_DAY for load in job.loads if not load.brick)
    wiring = 1 + job.limits.wiring_allowance_pct / 100
    average_w = ac_idle_average_w(job) + math.fsum(ac_average_w(job, load) for load in kept)
    average_w += others_w * wiring / _LEAST_EFFICIENCY
    if average_w <= 0:
        return None
    return hours_at(
        capacity_ah=bank.capacity_ah * job.limits.bank_derate,
        usable_fraction=bank.usable_fraction,
        rated_hours=bank.rated_hours,
        peukert=bank.peukert,
        current_a=average_w / bank.nominal_v,
    )


def may_last(job: Job, bank: ExistingBank, autonomy_h: float) -> bool:
    """Whether the loads by themselves, without any loss, leave room for so many hours. [h]"""
    current_a = average_current_a(
        capacity_ah=bank.capacity_ah * job.limits.bank_derate,
        usable_fraction=bank.usable_fraction,
        rated_hours=bank.rated_hours,
        peukert=bank.peukert,
        autonomy_h=autonomy_h,
    )
    needed_w = math.fsum(load.typical_w * load.hours_per_day / HOURS_PER_DAY for load in job.loads)
    return needed_w <= current_a * bank.nominal_v
