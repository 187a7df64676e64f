"""Which tables there are, and what each column holds. The loader reads by it, the generator writes by it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Holds = Literal["text", "number", "whole", "yes_no", "contents"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column: its header is the field of catalogue/1 it becomes."""

    name: str
    holds: Holds = "number"
    may_be_blank: bool = False  # blank: the document leaves the field out


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One file. `kind` is the kind of part in it; none for sellers and offers."""

    file: str
    kind: str | None
    columns: tuple[Column, ...]


def _columns(described: str) -> tuple[Column, ...]:
    """Columns from `name:holds` words; a question mark at the end: may be blank; no colon: a number."""
    return tuple(_column(word) for word in described.split())


def _column(word: str) -> Column:
    name, _, holds = word.removesuffix("?").partition(":")
    return Column(name=name, holds=holds or "number", may_be_blank=word.endswith("?"))  # type: ignore[arg-type]


def _parts(file: str, kind: str, described: str) -> Table:
    return Table(file=file, kind=kind, columns=_columns(f"id:text name:text {described}"))


SELLERS = Table(
    file="sellers.csv",
    kind=None,
    columns=_columns("id:text name:text delivery_cents:whole free_over_cents:whole? lead_days:whole"),
)
PARTS = (
    _parts(
        "stages.csv",
        "stage",
        "in_form:text in_min_v in_max_v out_form:text out_v? max_out_w efficiency idle_w "
        "max_fuse_a? max_conductor_mm2? max_in_a? limits_output:yes_no? outlets:whole?",
    ),
    _parts("cables.csv", "cable", "mm2 cores:whole polarity:text? ohm_per_km_20c ampacity_a insulation_c max_fuse_a?"),
    _parts("fuses.csv", "fuse", "style:text rating_a max_v interrupt_a"),
    _parts("holders.csv", "holder", "style:text max_a max_v"),
    _parts("switches.csv", "switch", "max_a max_v"),
    _parts("terminals.csv", "terminal", "mm2_min mm2_max"),
    _parts("junctions.csv", "junction", "max_a max_v outlets:whole mm2_max"),
    _parts("bank_kits.csv", "bank-kit", "max_series:whole max_parallel:whole max_a max_v interrupt_a"),
    _parts("consumables.csv", "consumable", "purpose:text per:text each"),
    _parts(
        "batteries.csv",
        "battery",
        "chemistry:text? nominal_v capacity_ah usable_fraction rated_hours peukert max_discharge_a low_v high_v "
        "charge_v? fault_a? max_series:whole? max_parallel:whole? mass_kg?",
    ),
)
OFFERS = Table(
    file="offers.csv",
    kind=None,
    columns=_columns("id:text seller:text price_cents:whole contents:contents step_m? limit:whole?"),
)
TABLES = (SELLERS, *PARTS, OFFERS)
