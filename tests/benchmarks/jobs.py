"""Made-up planning jobs of any size, from a seed: what the benchmarks and the tests of speed plan.

`made_up_job` gives values, `made_up_documents` the same as job/1 and catalogue/1. `safer_job` plans over the seed
catalogue with every safer limit of planning rules 10 on. The jobs have plans: a load is never stronger than some
conductor to its place can carry within the allowed drop, and the banks on sale are large enough.
"""

from __future__ import annotations

import random
from functools import cache
from typing import Any, NamedTuple

import seed_catalog
from optimizer.catalogue import Catalogue
from optimizer.job import Job
from tests.benchmarks.made_up_parts import FUSE_STYLE, SIZES, Record, made_up_catalogue
from webapp import schemas


class Size(NamedTuple):
    """A size of job the benchmarks run."""

    loads: int
    places: int
    parts: int

    @property
    def label(self) -> str:
        return f"{self.loads} loads, {self.places} place{'s' if self.places > 1 else ''}"


SIZES_OF_JOBS = (
    Size(4, 2, 90),
    Size(6, 3, 120),
    Size(12, 4, 300),
    Size(24, 8, 300),
    Size(50, 12, 300),
    Size(200, 1, 300),
)

# form, lowest and highest voltage of the load, watts, loop of its own lead [Ω] (None: cut from a spool), brick
KINDS = (
    ("usb-c", 19.0, 21.0, (28, 82), 0.06, 0.88),
    ("dc-plug", 18.0, 20.5, (38, 84), 0.08, 0.88),
    ("dc-plug", 11.0, 30.0, (8, 18), 0.05, 0.84),
    ("dc-wire", 10.5, 15.5, (10, 68), None, None),
    ("dc-wire", 22.0, 29.0, (15, 98), None, None),
    ("powered-ethernet", 44.0, 57.0, (12, 73), 1.2, 0.86),
)
BUSES = {12: (11.5, 14.7), 24: (23.0, 29.4)}
SAFER = {
    "min_mm2": 1.5,
    "far_fault_multiple": 5,
    "count_circuits": True,
    "fuse_ratio_max": 2,
    "joint_mohm": 5,
    "count_joints": True,
}
DROP_WARM = 1 + 0.00393 * 30  # copper at 50 °C
THICKEST_MM2 = 4  # what every converter takes
MOST_LOADS_OF_A_BOUGHT_BANK = 24


def made_up_job(loads: int, places: int, parts: int, seed: int) -> tuple[Job, Catalogue]:
    """A job of so many loads and places over a catalogue of about so many parts; equal seeds give equal jobs."""
    return read(*made_up_documents(loads, places, parts, seed))


def made_up_documents(loads: int, places: int, parts: int, seed: int) -> tuple[Record, Record]:
    """The same as job/1 and catalogue/1 documents."""
    dice = random.Random(f"job {loads} {places} {seed}")
    return _Jobs(dice, safer=False).document(loads, places), made_up_catalogue(parts, seed)


def safer_job(loads: int, places: int, seed: int) -> tuple[Job, Catalogue]:
    """A job over the seed catalogue with all the safer limits of planning rules 10."""
    return read(*safer_documents(loads, places, seed))


def safer_documents(loads: int, places: int, seed: int) -> tuple[Record, Record]:
    dice = random.Random(f"safer {loads} {places} {seed}")
    return _Jobs(dice, safer=True).document(loads, places), _seed_catalogue()


def read(job: Record, catalogue: Record) -> tuple[Job, Catalogue]:
    """Both documents as values."""
    read_job, read_catalogue = schemas.read_job(job), schemas.read_catalogue(catalogue)
    assert read_job.value is not None, read_job.faults
    assert read_catalogue.value is not None, read_catalogue.faults
    return read_job.value, read_catalogue.value


@cache
def _seed_catalogue() -> Record:
    return seed_catalog.load_catalogue()


class _Jobs:
    """Rolls one job."""

    def __init__(self, dice: random.Random, *, safer: bool) -> None:
        self._dice = dice
        self._safer = safer
        self._nominal_v = dice.choice((12, 24))
        self._low_v, self._high_v = BUSES[self._nominal_v]
        self._drop_pct = dice.choice((3, 5))

    def document(self, loads: int, places: int) -> Record:
        dice = self._dice
        places_made = [self._place(n, crowded=loads > 20 * places) for n in range(places)]
        made = [self._load(n, dice.choice(places_made), loads) for n in range(loads)]
        limits = self._limits()
        has_ac = dice.random() < 0.6
        if not has_ac:
            for load in made:
                load.pop("brick", None)
        job: Record = {"format": "job/1", "title": f"Made up, {loads} loads", "bus": self._bus(loads)}
        job |= {"bank": self._bank(made, limits), "places": places_made, "loads": made, "limits": limits}
        if has_ac:
            job["ac"] = {"efficiency": 0.87, "idle_w": 12, "on_hours_per_day": 24, "max_w": 60 + 15 * loads}
        job["owned"] = [] if self._safer or dice.random() < 0.5 else _stock_on_hand()
        return job

    def _bus(self, loads: int) -> Record:
        return {
            "nominal_v": self._nominal_v,
            "low_v": self._low_v,
            "high_v": self._high_v,
            "spare_ways": max(1, round(loads * self._dice.choice((0.3, 0.5, 0.8)))),
            "way_max_a": 30,
            "fuse_style": "cylinder-10x38" if self._safer else FUSE_STYLE,
            "fault_a": self._dice.choice((600, 900)),
            "ambient_c": 30,
        }

    def _place(self, number: int, *, crowded: bool) -> Record:
        dice = self._dice
        run_m = round(dice.uniform(1.0, 3.0 if crowded else 9.0), 2)
        place = {"id": f"P{number}", "run_m": run_m, "bundled": 2 if self._safer else dice.choice((2, 2, 4, 8))}
        return place | {"ambient_c": dice.choice((30, 30, 45))}

    def _load(self, number: int, place: Record, loads: int) -> Record:
        dice = self._dice
        form, min_v, max_v, (least_w, most_w), lead_ohm, brick = dice.choice(KINDS)
        peak_w = round(min(dice.uniform(least_w, most_w), self._carried_w(place)), 1)
        load: Record = {
            "id": f"L{number}",
            "place": place["id"],
            "needs": {"form": form, "min_v": min_v, "max_v": max_v},
        }
        load |= {"peak_w": peak_w, "typical_w": round(peak_w * dice.uniform(0.4, 0.7), 1)}
        load["hours_per_day"] = dice.choice((2, 4, 8, 12, 24) if loads <= 24 else (1, 2, 4, 8))
        if lead_ohm is None:
            load["lead"] = {"kind": "cut", "length_m": round(dice.uniform(0.4, 3.7), 2)}
        else:
            load["lead"] = {"kind": "supplied", "loop_ohm": lead_ohm}
        load |= {"switch": dice.random() < 0.3, "own_circuit": dice.random() < 0.12}
        if brick is not None and dice.random() < 0.8:
            load["brick"] = {"efficiency": brick, "idle_w": 0.4}
        return load

    def _carried_w(self, place: Record) -> float:
        """What a conductor that every converter takes brings to a place within the drop, its losses off. [W]"""
        loop_ohm = 2 * (place["run_m"] + 0.3) * SIZES[THICKEST_MM2][0] / 1000 * DROP_WARM
        drop_v = self._drop_pct / 100 * self._nominal_v
        return max(5.0, 0.8 * (self._low_v - drop_v) * drop_v / (loop_ohm + 0.005))

    def _limits(self) -> Record:
        dice = self._dice
        limits: Record = {"drop_pct": self._drop_pct, "headroom_pct": 20, "autonomy_h": dice.choice((10, 18, 24))}
        limits |= {"bank_derate": 0.8, "conductor_c": 50, "slack_m": 0.3, "wiring_allowance_pct": 3}
        if self._safer:
            return limits | SAFER
        return limits | ({"far_fault_multiple": 5, "min_mm2": 1.0} if dice.random() < 0.4 else {})

    def _bank(self, loads: list[Record], limits: Record) -> Record:
        """A bank that carries everything about half of the time; large jobs, beyond any bank on sale, have enough."""
        average_w = sum(load["typical_w"] * load["hours_per_day"] / 24 for load in loads)
        peak_a = sum(load["peak_w"] for load in loads) / self._low_v
        needed_ah = 1.35 * average_w * limits["autonomy_h"] / (0.5 * 0.8 * self._nominal_v)
        share = self._dice.uniform(0.6 if len(loads) <= MOST_LOADS_OF_A_BOUGHT_BANK else 1.3, 1.6)
        steps = share * needed_ah / 20
        capacity_ah = 20 * max(2, round(steps))
        existing = {"nominal_v": self._nominal_v, "capacity_ah": capacity_ah, "usable_fraction": 0.5}
        existing |= {"rated_hours": 20, "peukert": 1.15, "max_discharge_a": max(60, round(1.4 * peak_a))}
        return {"existing": existing, "may_buy": True}


def _stock_on_hand() -> list[dict[str, Any]]:
    return [{"part": "CBL-2_5-TW", "length_m": 3.4}, {"part": "FUS-10", "count": 1}]
