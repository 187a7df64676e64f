"""The banks a plan can rest on: the one there is, or series and parallel of one battery."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import BankKit, Battery, Catalogue
from optimizer.job import Job
from optimizer.physics.bank import average_current_a
from optimizer.prices import PriceBounds


@dataclass(frozen=True, slots=True, kw_only=True)
class BankOption:
    """Keep the bank (no battery), or buy series x parallel of one battery."""

    battery: Battery | None
    series: int
    parallel: int
    kit: BankKit | None
    available_w: float  # on average over the autonomy
    max_discharge_a: float
    fault_a: float  # prospective short-circuit current it brings

    @property
    def key(self) -> tuple[str, int, int, str]:
        return (self.battery.id if self.battery else "", self.series, self.parallel, self.kit.id if self.kit else "")


def bank_options(job: Job, catalogue: Catalogue, prices: PriceBounds) -> list[BankOption]:
    """The existing bank and, where one may be bought, every series x parallel of one battery."""
    options = []
    existing = job.bank.existing
    if existing is not None:
        current_a = average_current_a(
            capacity_ah=existing.capacity_ah * job.limits.bank_derate,
            usable_fraction=existing.usable_fraction,
            rated_hours=existing.rated_hours,
            peukert=existing.peukert,
            autonomy_h=job.limits.autonomy_h,
        )
        options.append(
            BankOption(
                battery=None,
                series=1,
                parallel=1,
                kit=None,
                available_w=current_a * existing.nominal_v,
                max_discharge_a=existing.max_discharge_a,
                fault_a=job.bus.fault_a,
            )
        )
    if job.bank.may_buy:
        for battery in catalogue.of(Battery):
            if prices.is_sold_or_owned(battery.id):
                options += _bought(job, catalogue, prices, battery)
    return options


def _bought(job: Job, catalogue: Catalogue, prices: PriceBounds, battery: Battery) -> list[BankOption]:
    bus = job.bus
    options = []
    for series in (1, 2, 4):
        fits = series * battery.low_v >= bus.low_v and series * battery.high_v <= bus.high_v
        if battery.charge_v is not None and bus.high_v > series * battery.charge_v:
            fits = False
        if not fits or series > battery.series_limit:
            continue
        for parallel in range(1, battery.max_parallel + 1):
            kits = _kits(job, catalogue, prices, battery, series, parallel)
            options += [_bank_option(job, battery, series, parallel, kit) for kit in kits]
    return options


def states_fault_data(battery: Battery) -> bool:
    """Whether a battery is described by the safer limits of rules 10."""
    return any(x is not None for x in (battery.fault_a, battery.max_series, battery.charge_v, battery.chemistry))


def _kits(
    job: Job, catalogue: Catalogue, prices: PriceBounds, battery: Battery, series: int, parallel: int
) -> list[BankKit | None]:
    """Sets of string fuses, links and disconnect for a bank of several batteries; [None] where none is asked for."""
    if series * parallel == 1 or not states_fault_data(battery):
        return [None]
    return [
        kit
        for kit in catalogue.of(BankKit)
        if kit.max_series >= series
        and kit.max_parallel >= parallel
        and kit.max_v >= job.bus.high_v
        and kit.interrupt_a >= parallel * (battery.fault_a or 0)
        and prices.is_sold_or_owned(kit.id)
    ]


def _bank_option(job: Job, battery: Battery, series: int, parallel: int, kit: BankKit | None) -> BankOption:
    current_a = average_current_a(
        capacity_ah=parallel * battery.capacity_ah * job.limits.bank_derate,
        usable_fraction=battery.usable_fraction,
        rated_hours=battery.rated_hours,
        peukert=battery.peukert,
        autonomy_h=job.limits.autonomy_h,
    )
    peak_a = parallel * battery.max_discharge_a
    return BankOption(
        battery=battery,
        series=series,
        parallel=parallel,
        kit=kit,
        available_w=current_a * series * battery.nominal_v,
        max_discharge_a=peak_a if kit is None else min(peak_a, kit.max_a),
        fault_a=max(job.bus.fault_a, parallel * (battery.fault_a or 0)),
    )
