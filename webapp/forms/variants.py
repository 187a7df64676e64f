"""What a job could ask for instead: the same job with one thing changed, offered only where that can matter."""

from __future__ import annotations

import copy
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.lasting import hours_on_outlet, may_last
from optimizer.plan import Plan
from optimizer.prices import PriceBounds
from optimizer.solve.banks import bank_options
from webapp import schemas
from webapp.forms import batteries, pointers
from webapp.present.energy import store_of
from webapp.schemas import ranges

Document = dict[str, Any]

NIGHT_H = 12.0
HALF_HOUR_H = 0.5
VOLTS = {12: (24,), 24: (48, 12), 48: (24,)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A job with one thing changed; its title is still that of the job."""

    key: str  # which change
    document: Document


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """What is stated, and what its plan of now has shown."""

    document: Document
    job: Job
    catalogue: Catalogue
    plan: Plan | None

    @property
    def is_impossible(self) -> bool:
        return self.plan is not None and self.plan.status == "infeasible"

    @property
    def answer(self) -> Plan | None:
        return self.plan if self.plan is not None and self.plan.has_answer else None

    @property
    def bricked(self) -> set[str]:
        """The loads that came with a mains adapter."""
        return {load.id for load in self.job.loads if load.brick is not None}

    @property
    def on_outlet(self) -> set[str]:
        """The loads that the plan leaves on the inverter."""
        return {feed.load for feed in self.answer.feeds if feed.source == "ac"} if self.answer else set()

    @property
    def buys_bank(self) -> bool:
        return self.answer is not None and self.answer.bank is not None and not self.answer.bank.keep

    @property
    def lasts_h(self) -> float | None:
        """How long the bank of the plan lasts. [h]"""
        if self.answer is None or self.answer.bank is None or self.answer.energy is None:
            return None
        store = store_of(self.job, self.catalogue, self.answer)
        return store.hours(self.answer.energy.average_w, self.job.limits.bank_derate)


def variants(document: Document, catalogue: Catalogue, plan: Plan | None) -> tuple[Variant, ...]:
    """Every variant that is worth a search, the most telling first; none where the job cannot be planned yet.

    Args:
        plan: Of the job as it stands, where it has one: what it rules out is not offered.
    """
    stated = schemas.read_job(document)
    if stated.value is None:
        return ()
    known = _Known(document=document, job=stated.value, catalogue=catalogue, plan=plan)
    found = (each for offered in OFFERED for each in offered(known))
    return tuple(each for each in found if _is_sound(each, catalogue) and each.document != document)


def _is_sound(variant: Variant, catalogue: Catalogue) -> bool:
    """Whether it can be planned at all: no fault, and a bank that fits its bus."""
    job = schemas.read_job(variant.document).value
    return job is not None and bool(bank_options(job, catalogue, PriceBounds(job, catalogue)))


# -- inverter -----------------------------------------------------------------------------------------------------


def _inverter_kept(known: _Known) -> Iterator[Variant]:
    """Outlets cost nothing, so what takes loads off them is how long the bank must last: ask for what it gives so."""
    job, hours = known.job, hours_on_outlet(known.job)
    if hours is None or hours >= job.limits.autonomy_h or (known.answer and known.bricked <= known.on_outlet):
        return
    rounded_h = math.floor(hours / HALF_HOUR_H) * HALF_HOUR_H or math.floor(hours * 10) / 10
    yield _changed(known, "inverter", {"limits/autonomy_h": rounded_h})


def _inverter_left(known: _Known) -> Iterator[Variant]:
    stays = known.on_outlet if known.answer else known.bricked
    if known.job.ac is not None and stays and not known.is_impossible:
        yield _changed(known, "direct", {"ac": None})


# -- battery ------------------------------------------------------------------------------------------------------


def _other_bank(known: _Known) -> Iterator[Variant]:
    bank = known.job.bank
    if bank.existing is None or (known.is_impossible and bank.may_buy):
        return
    if known.buys_bank:
        if may_last(known.job, bank.existing, known.job.limits.autonomy_h):
            yield _changed(known, "old-bank", {"bank/may_buy": False})
    else:
        yield _changed(known, "new-bank", _new_bank())


def _new_bank() -> dict[str, Any]:
    return {"bank/existing": None, "bank/may_buy": True}


def _other_volts(known: _Known) -> Iterator[Variant]:
    """Another voltage takes another bank, and the inverter there is does not run from it."""
    now_v = known.job.bus.nominal_v
    least, most = ranges.BANK_RATIO
    usual_v = next((volts for volts in VOLTS if least <= now_v / volts <= most), None)
    for volts in VOLTS.get(usual_v or 0, ()):
        offered = (
            _at_volts(known, volts, low, high) for low, high in _windows(known, volts, volts / (usual_v or volts))
        )
        yield from [each for each in offered if _is_sound(each, known.catalogue)][:1]


def _windows(known: _Known, volts: int, ratio: float) -> Iterator[tuple[float, float]]:
    """What the bus may reach at that voltage: with a bank like the one of now, else with a usual one. [V]"""
    bus = known.job.bus
    yield round(bus.low_v * ratio, 3), round(bus.high_v * ratio, 3)
    for kind in ("lithium", "agm"):
        typical = batteries.typical(batteries.BY_KEY[kind], volts, None)
        yield typical["bus/low_v"], typical["bus/high_v"]


def _at_volts(known: _Known, volts: int, low_v: float, high_v: float) -> Variant:
    bus = known.job.bus
    more = max(1.0, volts / bus.nominal_v)  # the same cables let more through at more volts
    changes = {"bus/nominal_v": volts, "bus/low_v": low_v, "bus/high_v": high_v, "ac": None}
    fault_a = round(bus.fault_a * more)
    made = _changed(known, f"volts-{volts}", {**changes, "bus/fault_a": fault_a, **_new_bank()})
    guesses = ["bus/low_v", "bus/high_v", "bus/fault_a"]
    pointers.mark(made.document, [*made.document.get("assumed", []), *guesses])
    return made


# -- how it is fed, and how long it lasts -------------------------------------------------------------------------


def _freedoms(known: _Known) -> Iterator[Variant]:
    """Where no plan exists, its ways out have tried these."""
    if not known.is_impossible:
        yield _changed(known, "freedoms", {"limits/share_stages": True, "limits/boost_at_panel": True})


def _longer(known: _Known) -> Iterator[Variant]:
    hours, bank, lasts_h = known.job.limits.autonomy_h + NIGHT_H, known.job.bank, known.lasts_h
    is_held = lasts_h is not None and lasts_h >= hours
    can_hold = bank.may_buy or (bank.existing is not None and may_last(known.job, bank.existing, hours))
    if can_hold and not is_held and not known.is_impossible:
        yield _changed(known, "longer", {"limits/autonomy_h": hours})


def _shorter(known: _Known) -> Iterator[Variant]:
    """Fewer hours make a plan cheaper where hours made it dearer: a bank is bought, or loads left the inverter.

    Where the inverter can be kept for fewer hours, that says it already.
    """
    hours = known.job.limits.autonomy_h - NIGHT_H
    is_felt = known.answer is None or known.buys_bank or known.bricked - known.on_outlet
    if hours > 0 and is_felt and not list(_inverter_kept(known)):
        yield _changed(known, "shorter", {"limits/autonomy_h": hours})


def _changed(known: _Known, key: str, changes: Mapping[str, Any]) -> Variant:
    """The job with some values stated anew: these are no assumptions any more, nor is what they take with them."""
    document = copy.deepcopy(known.document)
    for pointer, value in changes.items():
        pointers.put_at(document, pointer, value)
    if "assumed" in document:
        document["assumed"] = _still_assumed(document["assumed"], changes)
    return Variant(key=key, document=document)


def _still_assumed(assumed: Sequence[str], changes: Mapping[str, Any]) -> list[str]:
    return [each for each in assumed if not any(f"{each.strip('/')}/".startswith(f"{gone}/") for gone in changes)]


OFFERED = (_inverter_kept, _inverter_left, _other_bank, _other_volts, _freedoms, _longer, _shorter)
