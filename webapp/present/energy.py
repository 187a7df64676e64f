"""What the loads draw from the battery: today through the inverter, and by the plan."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.catalogue import Battery, Catalogue
from optimizer.job import Job
from optimizer.physics.bank import hours_at
from optimizer.plan import Plan
from optimizer.units import HOURS_PER_DAY
from webapp.present.words import as_shown, listed, quantity, signed
from webapp.texts import N_, _, bound

NO_RECHARGE = N_("Hours count no recharge: no sun, no engine, no charger.")


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyRow:
    name: str
    average: str
    per_day: str
    lasts: str
    bar_pct: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyView:
    bank: str
    rows: tuple[EnergyRow, ...]
    difference: str
    needed: str
    why_no_today: str
    no_recharge: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """A bank as the hours it lasts depend on it."""

    words: str
    nominal_v: float
    capacity_ah: float
    usable_fraction: float
    rated_hours: float
    peukert: float

    def hours(self, average_w: float, derate: float) -> float | None:
        """How long it lasts at that draw; None where nothing is drawn. [h]"""
        if average_w <= 0:
            return None
        return hours_at(
            capacity_ah=self.capacity_ah * derate,
            usable_fraction=self.usable_fraction,
            rated_hours=self.rated_hours,
            peukert=self.peukert,
            current_a=average_w / self.nominal_v,
        )


def energy_view(job: Job, catalogue: Catalogue, plan: Plan) -> EnergyView | None:
    if plan.energy is None or plan.bank is None:
        return None
    store = store_of(job, catalogue, plan)
    plan_w, today_w = plan.energy.average_w, plan.energy.today_average_w
    largest_w = max(plan_w, today_w or 0.0) or 1.0
    rows = [_row(_("By this plan"), plan_w, largest_w, store, job)]
    if today_w is not None:
        rows.insert(0, _row(_("Today, through the inverter"), today_w, largest_w, store, job))
    return EnergyView(
        bank=store.words,
        rows=tuple(rows),
        difference=_difference(plan_w, today_w, store, job),
        needed=quantity(job.limits.autonomy_h, "h"),
        why_no_today=_why_no_today(job, today_w),
        no_recharge=_(NO_RECHARGE),
    )


def _row(name: str, average_w: float, largest_w: float, store: Store, job: Job) -> EnergyRow:
    hours = store.hours(average_w, job.limits.bank_derate)
    return EnergyRow(
        name=name,
        average=quantity(average_w, "W"),
        per_day=quantity(average_w * HOURS_PER_DAY, "Wh"),
        lasts="–" if hours is None else quantity(hours, "h"),
        bar_pct=f"{100 * average_w / largest_w:.2f}%",
    )


def _difference(plan_w: float, today_w: float | None, store: Store, job: Job) -> str:
    if today_w is None or today_w <= 0:
        return ""
    if as_shown(plan_w) == as_shown(today_w):
        return _("As much a day as today, and as many hours.")
    energy, share = against_today(plan_w, today_w)
    saved = _("%(energy)s a day (%(share)s)", energy=energy, share=share)
    before, after = store.hours(today_w, job.limits.bank_derate), store.hours(plan_w, job.limits.bank_derate)
    if before is None or after is None:
        return f"{saved}."
    return _("%(saved)s, %(hours)s on the same battery.", saved=saved, hours=signed(after - before, "h"))


def against_today(plan_w: float, today_w: float) -> tuple[str, str]:
    """What a day takes less or more than today, and its share. [W]"""
    percent = quantity(abs(plan_w / today_w - 1) * 100, "%")
    share = _("%(percent)s less", percent=percent) if plan_w <= today_w else _("%(percent)s more", percent=percent)
    return signed((plan_w - today_w) * HOURS_PER_DAY, "Wh"), share


def _why_no_today(job: Job, today_w: float | None) -> str:
    if today_w is not None:
        return ""
    if job.ac is None:
        return _("No inverter stated, so there is nothing to compare with.")
    return _("Today's draw is not known: the inverter could not feed every load that has a mains adapter.")


def store_of(job: Job, catalogue: Catalogue, plan: Plan) -> Store:
    """The bank that a plan rests on, as the hours it lasts depend on it."""
    bank = plan.bank
    assert bank is not None  # guarded by the caller
    if bank.part is None:
        kept = job.bank.existing
        assert kept is not None  # a plan that keeps a bank has one to keep
        return Store(
            words=_(
                "The battery you have: %(volts)s, %(charge)s",
                volts=quantity(kept.nominal_v, "V"),
                charge=quantity(kept.capacity_ah, "Ah"),
            ),
            nominal_v=kept.nominal_v,
            capacity_ah=kept.capacity_ah,
            usable_fraction=kept.usable_fraction,
            rated_hours=kept.rated_hours,
            peukert=kept.peukert,
        )
    battery = catalogue.get(Battery, bank.part)
    return Store(
        words=_bought(battery, bank.series, bank.parallel),
        nominal_v=battery.nominal_v * bank.series,
        capacity_ah=battery.capacity_ah * bank.parallel,
        usable_fraction=battery.usable_fraction,
        rated_hours=battery.rated_hours,
        peukert=battery.peukert,
    )


def _bought(battery: Battery, series: int, parallel: int) -> str:
    what = _("Bought: %(num)s × %(battery)s", num=series * parallel, battery=bound(battery.label))
    return ", ".join(filter(None, (what, arranged(series, parallel))))


def arranged(series: int, parallel: int) -> str:
    """How the batteries of a bank are joined; empty where there is one."""
    in_series, in_parallel = _("%(num)s in series", num=series), _("%(num)s in parallel", num=parallel)
    return listed([in_series] * (series > 1) + [in_parallel] * (parallel > 1))
