"""Writes the seed tables: `python -m seed_catalog.generate [FOLDER]`. The same tables every time.

The tables in the repository are what it wrote. Whoever edits a table by hand changes the invention here as well, or
a test says that the two differ.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterable
from pathlib import Path

from seed_catalog.columns import OFFERS, PARTS, SELLERS, Table
from seed_catalog.invented import banks, offers, stages, wiring
from seed_catalog.invented.part import Invented

HOME = Path(__file__).parent


def invented_parts() -> list[Invented]:
    """Every part of the seed catalogue."""
    sources = (
        stages.stages,
        wiring.cables,
        wiring.fuses,
        wiring.holders,
        wiring.switches,
        wiring.terminals,
        wiring.junctions,
        banks.bank_kits,
        wiring.consumables,
        banks.batteries,
    )
    return [part for source in sources for part in source()]


def write_tables(folder: Path) -> None:
    """Write every table into a folder, over what is there."""
    folder.mkdir(parents=True, exist_ok=True)
    parts = invented_parts()
    _write(folder, SELLERS, (seller.row for seller in offers.SELLERS))
    for table in PARTS:
        _write(folder, table, (part.row for part in parts if part.kind == table.kind))
    _write(folder, OFFERS, offers.offers(parts))


def _write(folder: Path, table: Table, rows: Iterable[dict[str, object]]) -> None:
    names = [column.name for column in table.columns]
    text = io.StringIO(newline="")
    writer = csv.DictWriter(text, names, lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: _cell(value) for name, value in row.items()} for row in rows)
    (folder / table.file).write_text(text.getvalue(), encoding="utf-8", newline="\n")


def _cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.10g}" if isinstance(value, float) else str(value)


if __name__ == "__main__":
    write_tables(Path(sys.argv[1]) if len(sys.argv) > 1 else HOME / "tables")
