"""What a battery type and a voltage let us assume until somebody looks closer.

Every value is common practice for its type, or our own caution where it says so; all of them land in `assumed`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from webapp.texts import N_


@dataclass(frozen=True, slots=True, kw_only=True)
class Chemistry:
    """Typical figures of one battery type, voltages per 12 V of nominal."""

    key: str
    label: str
    low_v: float  # at the panel while loads run
    high_v: float  # highest while charging
    usable_fraction: float
    rated_hours: float
    peukert: float
    discharge_per_ah: float  # lasting amps per Ah: our caution, half the usual figure for lithium
    fault_a: float  # our assumption where nobody knows (safety matrix, row 6)


CHEMISTRIES = (
    Chemistry(
        key="lithium",
        label=N_("Lithium (LiFePO4)"),
        low_v=12.0,
        high_v=14.6,
        usable_fraction=0.8,
        rated_hours=5,
        peukert=1.05,
        discharge_per_ah=0.5,
        fault_a=20_000,
    ),
    Chemistry(
        key="agm",
        label=N_("AGM or gel (sealed lead-acid)"),
        low_v=11.5,
        high_v=14.7,
        usable_fraction=0.5,
        rated_hours=20,
        peukert=1.15,
        discharge_per_ah=0.5,
        fault_a=5_000,
    ),
    Chemistry(
        key="flooded",
        label=N_("Flooded lead-acid (with caps)"),
        low_v=11.5,
        high_v=15.6,  # equalising at 2.6 V a cell
        usable_fraction=0.5,
        rated_hours=20,
        peukert=1.25,
        discharge_per_ah=0.3,
        fault_a=5_000,
    ),
    Chemistry(
        key="unsure",
        label=N_("Not sure: take the worse of each"),
        low_v=11.5,
        high_v=15.6,  # it may be flooded lead-acid
        usable_fraction=0.45,
        rated_hours=20,
        peukert=1.3,
        discharge_per_ah=0.3,
        fault_a=20_000,
    ),
)
BY_KEY = {each.key: each for each in CHEMISTRIES}
STATED_AS = {"lithium": "lithium", "agm": "agm", "flooded": "lead-acid"}  # as a document names the type
AS_STATED = "stated"  # the choice that stands for figures entered by hand


def typical(chemistry: Chemistry, nominal_v: float, capacity_ah: float | None) -> dict[str, Any]:
    """Pointer and value of everything the type fills in."""
    blocks = nominal_v / 12
    values: dict[str, Any] = {
        "bus/low_v": round(chemistry.low_v * blocks, 3),
        "bus/high_v": round(chemistry.high_v * blocks, 3),
        "bus/fault_a": chemistry.fault_a,
    }
    if capacity_ah:
        values |= {
            "bank/existing/usable_fraction": chemistry.usable_fraction,
            "bank/existing/rated_hours": chemistry.rated_hours,
            "bank/existing/peukert": chemistry.peukert,
            "bank/existing/max_discharge_a": round(chemistry.discharge_per_ah * capacity_ah, 3),
        }
    return values


def spans() -> dict[str, tuple[float, float]]:
    """Volts of each type when nearly down and on charge, per 12 V of nominal."""
    return {each.key: (each.low_v, each.high_v) for each in CHEMISTRIES}


def known_of(document: Mapping[str, Any]) -> str:
    """The type that somebody has said of the bank there is, whatever its figures; else the worst of all."""
    said = (document.get("bank", {}).get("existing") or {}).get("chemistry")
    return next((key for key, stated in STATED_AS.items() if stated == said), "unsure")


def recognised(document: dict[str, Any]) -> str:
    """The type whose figures a stated bank still carries; AS_STATED where they are its own."""
    bus, existing = document["bus"], document.get("bank", {}).get("existing")
    if existing:
        figures = (existing["usable_fraction"], existing["peukert"])
        return next((c.key for c in CHEMISTRIES if figures == (c.usable_fraction, c.peukert)), AS_STATED)
    blocks = bus["nominal_v"] / 12
    span = (bus["low_v"] / blocks, bus["high_v"] / blocks)
    alike = [c for c in CHEMISTRIES if span == (c.low_v, c.high_v)]
    if not alike:
        return AS_STATED
    return next((c for c in alike if c.fault_a == bus.get("fault_a")), alike[-1]).key  # the last is the most careful
