"""What the existing AC outlet and its inverter take from the bank."""

from __future__ import annotations

from optimizer.job import Job, Load
from optimizer.units import HOURS_PER_DAY


def ac_average_w(job: Job, load: Load) -> float:
    """What a load takes from the bank on average when fed from the outlet, the inverter's idling left out. [W]"""
    assert job.ac is not None
    assert load.brick is not None
    on_w = load.brick.idle_w + load.typical_w / load.brick.efficiency
    off_w = 0.0 if load.switch else load.brick.idle_w
    hours = load.hours_per_day
    return (on_w * hours + off_w * (HOURS_PER_DAY - hours)) / HOURS_PER_DAY / job.ac.efficiency


def ac_peak_w(load: Load) -> float:
    """What a load takes from the outlet at peak. [W]"""
    assert load.brick is not None
    return load.brick.idle_w + load.peak_w / load.brick.efficiency


def ac_idle_average_w(job: Job) -> float:
    """What the inverter takes for being on, as an average over 24 h. [W]"""
    assert job.ac is not None
    return job.ac.idle_w * job.ac.on_hours_per_day / HOURS_PER_DAY
