"""The cases of tests/cases changed at random: limits, panel, runs, loads, prices, stock, deliveries; by seed."""

from __future__ import annotations

import copy
import json
import random
from typing import Any

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from tests.benchmarks.jobs import read
from tests.optimizer.cases import CASES

Record = dict[str, Any]

LIMITS = {
    "drop_pct": (1.5, 2, 3, 5, 8),
    "headroom_pct": (0, 10, 20, 35),
    "autonomy_h": (4, 10, 24, 48),
    "bank_derate": (0.6, 0.8, 1.0),
    "conductor_c": (30, 50, 70),
    "slack_m": (0, 0.3, 0.7),
    "wiring_allowance_pct": (0, 3),
}


def changed_case(seed: int) -> tuple[Job, Catalogue]:
    """One of the cases, changed."""
    dice = random.Random(seed)
    stated = json.loads(dice.choice(sorted(CASES.glob("case-*.json"))).read_text(encoding="utf-8"))
    job: Record = copy.deepcopy(stated["job"])
    catalogue: Record = json.loads((CASES / stated["catalogue"]).read_text(encoding="utf-8"))
    _change_limits(job["limits"], dice)
    _change_panel(job["bus"], dice)
    _change_places(job["places"], dice)
    _change_loads(job, dice)
    _change_shops(catalogue, dice)
    return read(job, catalogue)


def _change_limits(limits: Record, dice: random.Random) -> None:
    for name, values in LIMITS.items():
        if dice.random() < 0.4:
            limits[name] = dice.choice(values)


def _change_panel(bus: Record, dice: random.Random) -> None:
    if dice.random() < 0.4:
        bus["spare_ways"] = max(1, bus["spare_ways"] + dice.choice((-3, -2, -1, 1, 2)))
    if dice.random() < 0.4:
        bus["fault_a"] = dice.choice((300, 800, 1500, 3000))
    if dice.random() < 0.3:
        bus["way_max_a"] = dice.choice((10, 15, 20, 30))
    if dice.random() < 0.3:
        bus["ambient_c"] = dice.choice((20, 30, 45))


def _change_places(places: list[Record], dice: random.Random) -> None:
    for place in places:
        if dice.random() < 0.5:
            place["run_m"] = round(dice.uniform(0.4, 9), 2)
        if dice.random() < 0.3:
            place["bundled"] = dice.choice((2, 4, 8))
        if dice.random() < 0.3:
            place["ambient_c"] = dice.choice((20, 30, 45))


def _change_loads(job: Record, dice: random.Random) -> None:
    for load in job["loads"]:
        if dice.random() < 0.4:
            load["peak_w"] = round(load["peak_w"] * dice.uniform(0.4, 1.6), 1)
            load["typical_w"] = min(load["typical_w"], load["peak_w"])
        if dice.random() < 0.3:
            load["hours_per_day"] = dice.choice((1, 4, 12, 24))
        if dice.random() < 0.25:
            load["switch"] = not load.get("switch", False)
        if dice.random() < 0.15:
            load["own_circuit"] = True
        if dice.random() < 0.2:
            load["place"] = dice.choice(job["places"])["id"]
    if len(job["loads"]) > 2 and dice.random() < 0.4:
        job["loads"].pop(dice.randrange(len(job["loads"])))


def _change_shops(catalogue: Record, dice: random.Random) -> None:
    for offer in catalogue["offers"]:
        if dice.random() < 0.3:
            offer["price_cents"] = max(1, round(offer["price_cents"] * dice.uniform(0.6, 1.5)))
        if dice.random() < 0.08:
            offer["limit"] = dice.choice((1, 2, 3))
    catalogue["offers"] = [offer for offer in catalogue["offers"] if dice.random() < 0.9]
    for seller in catalogue["sellers"]:
        if dice.random() < 0.5:
            seller["delivery_cents"] = dice.choice((0, 300, 590, 1200))
        if dice.random() < 0.5:
            seller["free_over_cents"] = dice.choice((None, 3000, 9000, 20000))
