"""Bounds on energy that need no solver: the least that any plan draws, and the most that a bank gives."""

from __future__ import annotations

import math

from optimizer.feeds import FeedOption, input_w
from optimizer.job import Job, Load
from optimizer.physics.bank import average_current_a
from optimizer.solve.banks import BankOption
from optimizer.solve.instance import Instance
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.units import HOURS_PER_DAY


def least_average_w(instance: Instance, hours: dict[str, float] | None = None) -> float:
    """Less than no plan draws on average: every load on its most frugal feed. Infinite where one has none. [W]

    Args:
        hours: Loads by id that are on for other hours a day than the job says: then an estimate, as feeds that
            another beats at the hours of the job are not looked at. [h]
    """
    job = instance.job
    allowance = 1 + job.limits.wiring_allowance_pct / 100
    bus_w = dict.fromkeys((load.id for load in instance.loads), math.inf)
    outlet_w = dict(bus_w)
    for load in instance.loads:
        on_h = (hours or {}).get(load.id, load.hours_per_day)
        averages_w = (average_w(load, option, on_h) for option in instance.feeds_of(load))
        bus_w[load.id] = allowance * min(averages_w, default=math.inf)
        if instance.may_use_ac(load):
            outlet_w[load.id] = _outlet_w(job, load, on_h)
    bare_w = math.fsum(bus_w.values())
    if job.ac is None:
        return bare_w
    return min(bare_w, ac_idle_average_w(job) + math.fsum(min(bus_w[name], outlet_w[name]) for name in bus_w))


def _outlet_w(job: Job, load: Load, on_h: float) -> float:
    shift = 0.0 if on_h == load.hours_per_day else (on_h - load.hours_per_day) * _on_minus_off_w(job, load)
    return ac_average_w(job, load) + shift / HOURS_PER_DAY


def _on_minus_off_w(job: Job, load: Load) -> float:
    assert job.ac is not None
    assert load.brick is not None
    on_w = load.typical_w / load.brick.efficiency + (load.brick.idle_w if load.switch else 0.0)
    return on_w / job.ac.efficiency


def average_w(load: Load, option: FeedOption, on_h: float) -> float:
    """Average power of a feed if its load is on for so many hours a day; of a shared one what it surely adds. [W]

    What a shared chain idles while a load plugged into it is on may be counted for another load's hours already.
    """
    if option.host is not None:
        assert option.share is not None
        return option.share.average_w * (on_h / load.hours_per_day if load.hours_per_day > 0 else 1.0)
    if on_h == load.hours_per_day or load.hours_per_day <= 0:
        return option.average_w
    off_w = 0.0 if load.switch or option.is_direct else input_w(option.stages, 0.0)
    off_h = HOURS_PER_DAY - load.hours_per_day
    on_w = (option.average_w * HOURS_PER_DAY - off_w * off_h) / load.hours_per_day
    return (on_w * on_h + off_w * (HOURS_PER_DAY - on_h)) / HOURS_PER_DAY


def least_peak_a(instance: Instance) -> float:
    """Less than no plan asks of the bank with everything at peak and the bus at its lowest. [A]"""
    job = instance.job
    low_v = job.bus.low_v
    least_a = 0.0
    for load in instance.loads:
        currents_a = [option.draw.current_a(low_v) for option in instance.feeds_of(load)]
        if job.ac is not None and instance.may_use_ac(load):
            currents_a.append(ac_peak_w(load) / job.ac.efficiency / low_v)
        least_a += min(currents_a, default=math.inf)
    return least_a


def most_available_w(instance: Instance, autonomy_h: float | None = None) -> float:
    """The most that any bank on the list gives on average, also for another autonomy. [W]"""
    job = instance.job
    if autonomy_h is None:
        return max((bank.available_w for bank in instance.banks), default=0.0)
    return max((_available_w(job, bank, autonomy_h) for bank in instance.banks), default=0.0)


def _available_w(job: Job, bank: BankOption, autonomy_h: float) -> float:
    store = bank.battery or job.bank.existing
    assert store is not None
    current_a = average_current_a(
        capacity_ah=bank.parallel * store.capacity_ah * job.limits.bank_derate,
        usable_fraction=store.usable_fraction,
        rated_hours=store.rated_hours,
        peukert=store.peukert,
        autonomy_h=autonomy_h,
    )
    return current_a * bank.series * store.nominal_v
