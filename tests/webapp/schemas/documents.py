"""Small valid documents, and ways to spoil them at a pointer."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

CASES = Path(__file__).parents[2] / "cases"
GONE = object()  # as a value: the field is taken out

JOB: dict[str, Any] = {
    "format": "job/1",
    "title": "Reading van",
    "bus": {
        "nominal_v": 12,
        "low_v": 11.5,
        "high_v": 14.6,
        "spare_ways": 4,
        "way_max_a": 30,
        "fuse_style": "blade-regular",
        "fault_a": 900,
        "ambient_c": 30,
    },
    "bank": {
        "existing": {
            "nominal_v": 12.8,
            "capacity_ah": 100,
            "usable_fraction": 0.8,
            "rated_hours": 5,
            "peukert": 1.05,
            "max_discharge_a": 80,
        },
        "may_buy": False,
    },
    "places": [{"id": "desk", "run_m": 4.2, "bundled": 2}, {"id": "roof", "run_m": 6.8, "bundled": 2}],
    "loads": [
        {
            "id": "printer",
            "place": "desk",
            "needs": {"form": "dc-wire", "min_v": 10, "max_v": 15},
            "peak_w": 48,
            "typical_w": 4,
            "hours_per_day": 6,
            "lead": {"kind": "cut", "length_m": 1.5},
            "switch": False,
            "own_circuit": False,
        },
        {
            "id": "radio",
            "place": "roof",
            "needs": {"form": "powered-ethernet", "min_v": 44, "max_v": 57},
            "peak_w": 12,
            "typical_w": 9,
            "hours_per_day": 6.5,
            "lead": {"kind": "supplied", "loop_ohm": 1.2},
            "switch": False,
            "own_circuit": False,
            "brick": {"efficiency": 0.86, "idle_w": 0.4},
        },
    ],
    "limits": {
        "drop_pct": 3,
        "headroom_pct": 20,
        "autonomy_h": 24,
        "bank_derate": 0.8,
        "conductor_c": 50,
        "slack_m": 0.3,
        "wiring_allowance_pct": 3,
    },
    "ac": {"efficiency": 0.87, "idle_w": 12, "on_hours_per_day": 24, "max_w": 400},
    "owned": [{"part": "TWIN-2_5", "length_m": 3.4}, {"part": "FUSE-10", "count": 1}],
}

CATALOGUE: dict[str, Any] = {
    "format": "catalogue/1",
    "sellers": [{"id": "S1", "name": "Brookside", "delivery_cents": 590, "free_over_cents": 9000, "lead_days": 2}],
    "parts": [
        {
            "id": "UP-56",
            "kind": "stage",
            "in_form": "dc-wire",
            "in_min_v": 9,
            "in_max_v": 72,
            "out_form": "powered-ethernet",
            "out_v": 56,
            "max_out_w": 60,
            "efficiency": 0.9,
            "idle_w": 0.5,
        },
        {
            "id": "PLUG",
            "kind": "stage",
            "in_form": "dc-wire",
            "in_min_v": 0,
            "in_max_v": 30,
            "out_form": "dc-plug",
            "out_v": None,
            "max_out_w": 90,
            "efficiency": 1,
            "idle_w": 0,
        },
        {
            "id": "TWIN-2_5",
            "kind": "cable",
            "mm2": 2.5,
            "cores": 2,
            "ohm_per_km_20c": 7.98,
            "ampacity_a": 24,
            "insulation_c": 90,
        },
        {
            "id": "RED-6",
            "kind": "cable",
            "mm2": 6,
            "cores": 1,
            "polarity": "positive",
            "ohm_per_km_20c": 3.3,
            "ampacity_a": 41,
            "insulation_c": 90,
        },
        {"id": "FUSE-10", "kind": "fuse", "style": "blade-regular", "rating_a": 10, "max_v": 32, "interrupt_a": 1000},
        {"id": "HOLD", "kind": "holder", "style": "blade-regular", "max_a": 30, "max_v": 32},
        {"id": "SWITCH", "kind": "switch", "max_a": 10, "max_v": 32},
        {"id": "RING", "kind": "terminal", "mm2_min": 1.5, "mm2_max": 2.5},
        {"id": "SPLIT", "kind": "junction", "max_a": 15, "max_v": 32, "outlets": 3, "mm2_max": 6},
        {"id": "SHRINK", "kind": "consumable", "purpose": "heat-shrink", "per": "termination", "each": 1},
        {"id": "SHRINK-B", "kind": "consumable", "purpose": "heat-shrink", "per": "termination", "each": 1},
        {
            "id": "BAT",
            "kind": "battery",
            "nominal_v": 12.8,
            "capacity_ah": 100,
            "usable_fraction": 0.8,
            "rated_hours": 5,
            "peukert": 1.05,
            "max_discharge_a": 80,
            "low_v": 12,
            "high_v": 14.6,
            "max_parallel": 4,
            "mass_kg": 11.5,
            "chemistry": "lithium",
            "fault_a": 5000,
        },
        {
            "id": "KIT",
            "kind": "bank-kit",
            "max_series": 1,
            "max_parallel": 4,
            "max_a": 200,
            "max_v": 60,
            "interrupt_a": 20000,
        },
    ],
    "offers": [
        {"id": "O1", "seller": "S1", "price_cents": 4500, "contents": [{"part": "UP-56", "count": 1}]},
        {"id": "O2", "seller": "S1", "price_cents": 1900, "contents": [{"part": "TWIN-2_5", "length_m": 10}]},
        {
            "id": "O3",
            "seller": "S1",
            "price_cents": 95,
            "contents": [{"part": "RED-6", "length_m": 0.5}],
            "step_m": 0.5,
            "limit": 40,
        },
    ],
}

PLAN: dict[str, Any] = {
    "format": "plan/1",
    "status": "optimal",
    "total_cents": 4500,
    "bound_cents": 4500,
    "circuits": [
        {
            "id": "C1",
            "place": "desk",
            "loads": ["printer"],
            "cable": ["TWIN-2_5"],
            "cut_mm": 4500,
            "fuse": "FUSE-10",
            "switch": None,
            "holder": None,
            "floor_v": 11.14,
            "design_a": 4.3,
            "settled": {"place_v": 11.2, "current_a": 4.2, "drop_v": 0.3},
        }
    ],
    "feeds": [
        {
            "load": "printer",
            "source": "bus",
            "circuit": "C1",
            "stages": [],
            "lead": {"cable": ["TWIN-2_5"], "cut_mm": 1800},
        },
        {"load": "radio", "source": "ac", "circuit": None, "stages": [], "lead": None},
    ],
    "bank": {"keep": True, "average_w": 12.5, "available_w": 30},
    "orders": [{"offer": "O2", "seller": "S1", "quantity": 1, "cents": 1900}],
    "deliveries": [{"seller": "S1", "goods_cents": 1900, "cents": 590}],
    "cuts": [
        {
            "part": "TWIN-2_5",
            "source": {"offer": "O2", "unit": 0},
            "stock_mm": 10000,
            "pieces": [{"circuit": "C1", "mm": 4500}, {"lead": "printer", "mm": 1800}],
            "left_mm": 3700,
        }
    ],
}


def spoiled(document: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """A copy with other values; double underscores in a name stand for the slashes of a pointer."""
    made = copy.deepcopy(document)
    for name, value in changes.items():
        put(made, name.replace("__", "/"), value)
    return made


def put(document: Any, pointer: str, value: Any) -> None:
    """Set, or with GONE take out, what a pointer leads to; an index just beyond a list appends."""
    *above, last = pointer.split("/")
    target = document
    for step in above:
        target = target[int(step)] if isinstance(target, list) else target[step]
    if isinstance(target, list) and int(last) == len(target):
        target.append(value)
    elif value is GONE:
        del target[last]
    else:
        target[int(last) if isinstance(target, list) else last] = value


def at(document: dict[str, Any], pointer: str, value: Any) -> dict[str, Any]:
    """A copy with another value at a pointer."""
    made = copy.deepcopy(document)
    put(made, pointer, value)
    return made


def leads_somewhere(document: Any, pointer: str) -> bool:
    """Whether a pointer, or at least the object or list that it ends in, exists."""
    if not pointer:
        return True
    target = document
    for raw in pointer.split("/")[:-1]:
        step = raw.replace("~1", "/").replace("~0", "~")
        if isinstance(target, list) and step.isdigit() and int(step) < len(target):
            target = target[int(step)]
        elif isinstance(target, dict) and step in target:
            target = target[step]
        else:
            return False
    return isinstance(target, (dict, list))


def case_documents() -> list[tuple[str, dict[str, Any]]]:
    """Every document of the planning cases, by file name."""
    found = []
    for path in sorted(CASES.glob("*.json")):
        document = json.loads(path.read_text())
        found.append((path.stem, document.get("job", document)))
    return found
