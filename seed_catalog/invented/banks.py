"""Batteries and what banks of several of them need.

Voltages per chemistry are common practice without a source: lead-acid 11.5 to 14.7 V and LiFePO4 12.0 to 14.4 V for
each 12 V block while loads run, charged at up to 15.0 V (cold compensation) and 14.6 V.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from seed_catalog.invented.part import Invented, slug


@dataclass(frozen=True, slots=True, kw_only=True)
class Chemistry:
    """Figures of one 12 V block (six lead-acid or four lithium cells) for each ampere-hour."""

    word: str  # as the catalogue writes it
    slug: str
    says: str
    block_v: float
    low_v: float
    high_v: float
    charge_v: float
    usable_fraction: float
    rated_hours: float
    peukert: float
    discharge_per_h: float
    fault_a_per_ah: float
    kg_per_ah: float
    cents_per_ah: float
    max_series: int


AGM = Chemistry(
    word="agm",
    slug="agm",
    says="AGM lead-acid",
    block_v=12,
    low_v=11.5,
    high_v=14.7,
    charge_v=15.0,
    usable_fraction=0.5,
    rated_hours=20,
    peukert=1.12,
    discharge_per_h=0.5,
    fault_a_per_ah=21,
    kg_per_ah=0.29,
    cents_per_ah=185,
    max_series=4,
)
GEL = Chemistry(
    word="gel",
    slug="gel",
    says="Gel lead-acid",
    block_v=12,
    low_v=11.5,
    high_v=14.4,
    charge_v=14.7,
    usable_fraction=0.5,
    rated_hours=20,
    peukert=1.15,
    discharge_per_h=0.35,
    fault_a_per_ah=17,
    kg_per_ah=0.31,
    cents_per_ah=225,
    max_series=4,
)
FLOODED = Chemistry(
    word="lead-acid",
    slug="flooded",
    says="Flooded lead-acid",
    block_v=12,
    low_v=11.5,
    high_v=14.7,
    charge_v=15.0,
    usable_fraction=0.5,
    rated_hours=20,
    peukert=1.25,
    discharge_per_h=0.3,
    fault_a_per_ah=16,
    kg_per_ah=0.24,
    cents_per_ah=118,
    max_series=4,
)
LITHIUM = Chemistry(
    word="lithium",
    slug="lfp",
    says="Lithium iron phosphate",
    block_v=12.8,
    low_v=12.0,
    high_v=14.4,
    charge_v=14.6,
    usable_fraction=0.85,
    rated_hours=5,
    peukert=1.04,
    discharge_per_h=1.0,
    fault_a_per_ah=32,
    kg_per_ah=0.12,
    cents_per_ah=335,
    max_series=1,
)

# chemistry, blocks in one battery, capacities in Ah
RANGE = (
    (AGM, 1, (45, 60, 80, 100, 130, 160, 200)),
    (GEL, 1, (70, 100, 150)),
    (FLOODED, 1, (75, 95, 115, 140, 225)),
    (AGM, 2, (60, 100)),
    (LITHIUM, 1, (50, 100, 150, 200, 300)),
    (LITHIUM, 2, (50, 100, 200)),
    (LITHIUM, 4, (50, 100, 150)),
)


def batteries() -> Iterator[Invented]:
    for chemistry, blocks, capacities_ah in RANGE:
        for capacity_ah in capacities_ah:
            yield _battery(chemistry, blocks, capacity_ah)


def _battery(kind: Chemistry, blocks: int, capacity_ah: float) -> Invented:
    nominal_v = round(kind.block_v * blocks, 1)
    return Invented(
        kind="battery",
        family=f"battery-{kind.slug}-{blocks}",
        grade="fine" if kind is LITHIUM else "good",
        list_cents=2200 + kind.cents_per_ah * capacity_ah * blocks,
        row={
            "id": f"bat-{kind.slug}-{blocks * 12}v-{slug(capacity_ah)}ah",
            "name": f"{kind.says} battery {nominal_v:g} V, {capacity_ah:g} Ah",
            "chemistry": kind.word,
            "nominal_v": nominal_v,
            "capacity_ah": capacity_ah,
            "usable_fraction": kind.usable_fraction,
            "rated_hours": kind.rated_hours,
            "peukert": kind.peukert,
            "max_discharge_a": round(kind.discharge_per_h * capacity_ah, 1),
            "low_v": kind.low_v * blocks,
            "high_v": round(kind.high_v * blocks, 1),
            "charge_v": round(kind.charge_v * blocks, 1),
            "fault_a": round(kind.fault_a_per_ah * capacity_ah),
            "max_series": kind.max_series // blocks or 1,
            "max_parallel": 4,
            "mass_kg": round(kind.kg_per_ah * capacity_ah * blocks, 1),
        },
    )


def bank_kits() -> Iterator[Invented]:
    """String fuses, links and main disconnect."""
    for series, parallel, max_a, interrupt_a, cents in (
        (2, 1, 60, 10_000, 3900),
        (2, 1, 125, 10_000, 5400),
        (4, 1, 60, 10_000, 5200),
        (4, 1, 125, 20_000, 7600),
        (1, 2, 125, 20_000, 6200),
        (1, 2, 250, 20_000, 9400),
        (1, 4, 250, 50_000, 13900),
        (2, 2, 125, 20_000, 8900),
        (2, 4, 250, 50_000, 17900),
        (4, 4, 250, 50_000, 23900),
    ):
        yield Invented(
            kind="bank-kit",
            family="bank-kit",
            grade="fine",
            list_cents=cents,
            row={
                "id": f"bank-kit-{series}s{parallel}p-{max_a}a",
                "name": f"Bank kit: string fuses, links and main disconnect, up to {series} in series, "
                f"{parallel} strings, {max_a} A",
                "max_series": series,
                "max_parallel": parallel,
                "max_a": max_a,
                "max_v": 60,
                "interrupt_a": interrupt_a,
            },
        )
