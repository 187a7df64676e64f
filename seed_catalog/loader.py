"""Reads the tables into a catalogue/1 document, or reports every fault with file, row and column."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from seed_catalog.columns import OFFERS, PARTS, SELLERS, TABLES, Column, Table
from seed_catalog.contents import read_contents
from webapp.schemas import read_catalogue

HOME = Path(__file__).parent
_HEADER_ROW = 1
_NUMBER = re.compile(r"-?\d+(\.\d+)?", re.ASCII)

Document = dict[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeedFault:
    """One fault in one table; rows count from 1, the header, as a spreadsheet does."""

    file: str
    row: int | None  # None: the whole file
    column: str | None  # None: the whole row
    message: str

    def __str__(self) -> str:
        where = self.file if self.row is None else f"{self.file} row {self.row}"
        return f"{where}: {self.message}" if self.column is None else f"{where}, {self.column}: {self.message}"


class SeedFaults(Exception):
    """The tables hold faults; none of them was used."""

    def __init__(self, faults: tuple[SeedFault, ...]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = faults


@dataclass(slots=True, kw_only=True)
class Row:
    """One row of a table as it was read."""

    table: Table
    number: int
    values: Document = field(default_factory=dict)
    is_sound: bool = True


def load_catalogue(folder: Path = HOME / "tables") -> Document:
    """The catalogue/1 document of the tables in a folder.

    Raises:
        SeedFaults: With every fault of every table.
    """
    reader = _Reader(folder)
    document = reader.document()
    if reader.faults:
        raise SeedFaults(tuple(sorted(reader.faults, key=_in_file_order)))
    return document


def demo_jobs() -> dict[str, Document]:
    """The demo jobs as job/1 documents, by slug, in the order of their file names."""
    return {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted((HOME / "demo").glob("*.json"))}


def _in_file_order(fault: SeedFault) -> tuple[int, int]:
    files = [table.file for table in TABLES]
    return files.index(fault.file), fault.row or 0


class _Reader:
    """Reads all tables, gathering faults instead of stopping at the first."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.faults: list[SeedFault] = []

    def document(self) -> Document:
        """The document of the sound rows, judged by the schema of catalogue/1 as well."""
        sellers = self._rows(SELLERS)
        parts = [row for table in PARTS for row in self._rows(table)]
        offers = self._rows(OFFERS)
        for rows in (sellers, parts, offers):
            self._refuse_twins(rows)
        self._refuse_strangers(sellers, parts, offers)
        sound = {"sellers": _sound(sellers), "parts": _sound(parts), "offers": _sound(offers)}
        _leave_out_dependants(sound)
        document: Document = {"format": "catalogue/1"}
        document.update({name: [row.values for row in rows] for name, rows in sound.items()})
        self._judge(document, sound)
        return document

    # -- cells --------------------------------------------------------------------------------------------------

    def _rows(self, table: Table) -> list[Row]:
        try:
            text = (self._folder / table.file).read_text(encoding="utf-8-sig")
            lines = list(csv.reader(io.StringIO(text, newline=""), strict=True))
        except FileNotFoundError:
            return self._no_rows(table, "there is no such file")
        except UnicodeDecodeError:
            return self._no_rows(table, "this is not UTF-8 text")
        except csv.Error as error:
            return self._no_rows(table, f"this is not a table of comma-separated values ({error})")
        if not lines:
            return self._no_rows(table, "the file is empty; its first row names the columns")
        header = [name.strip() for name in lines[0]]
        self._check_header(table, header)
        numbered = enumerate(lines[1:], start=_HEADER_ROW + 1)
        return [self._row(table, header, number, cells) for number, cells in numbered if any(cells)]

    def _no_rows(self, table: Table, message: str) -> list[Row]:
        self._fault(table, None, None, message)
        return []

    def _check_header(self, table: Table, header: list[str]) -> None:
        known = [column.name for column in table.columns]
        for name in known:
            if name not in header:
                self._fault(table, _HEADER_ROW, name, "this column is missing")
        for index, name in enumerate(header):
            if name not in known:
                self._fault(table, _HEADER_ROW, name or f"column {index + 1}", "there is no such column here")
            elif name in header[:index]:
                self._fault(table, _HEADER_ROW, name, "this column is there twice")

    def _row(self, table: Table, header: list[str], number: int, cells: list[str]) -> Row:
        row = Row(table=table, number=number, values={} if table.kind is None else {"kind": table.kind})
        if len(cells) != len(header):
            self._condemn(row, None, f"{len(cells)} cells under {len(header)} headers")
            row.values["id"] = cells[0].strip()
            return row
        by_name = dict(zip(header, (cell.strip() for cell in cells), strict=True))
        for column in table.columns:
            if column.name in by_name:
                self._cell(row, column, by_name[column.name])
            else:
                row.is_sound = row.is_sound and column.may_be_blank
        return row

    def _cell(self, row: Row, column: Column, cell: str) -> None:
        if not cell:
            if not column.may_be_blank:
                self._condemn(row, column.name, "this is blank")
            elif column.name == "out_v":  # the one field where nothing means something: it passes its input through
                row.values[column.name] = None
            return
        try:
            row.values[column.name] = _READ[column.holds](cell)
        except ValueError as error:
            self._condemn(row, column.name, str(error))

    # -- between rows -------------------------------------------------------------------------------------------

    def _refuse_twins(self, rows: list[Row]) -> None:
        first: dict[object, Row] = {}
        for row in rows:
            earlier = first.setdefault(row.values.get("id"), row)
            if earlier is not row and row.values.get("id"):
                where = f"row {earlier.number} of {earlier.table.file}"
                self._condemn(row, "id", f"'{row.values['id']}' is already the id of {where}")

    def _refuse_strangers(self, sellers: list[Row], parts: list[Row], offers: list[Row]) -> None:
        seller_ids = {row.values.get("id") for row in sellers}
        part_ids = {row.values.get("id") for row in parts}
        for row in offers:
            seller = row.values.get("seller")
            if seller is not None and seller not in seller_ids:
                self._condemn(row, "seller", f"there is no seller '{seller}' in {SELLERS.file}")
            for part in _contained(row):
                if part not in part_ids:
                    self._condemn(row, "contents", f"there is no part '{part}' in any table")

    # -- the schema ---------------------------------------------------------------------------------------------

    def _judge(self, document: Document, sound: dict[str, list[Row]]) -> None:
        for fault in read_catalogue(document).faults:
            steps = fault.pointer.strip("/").split("/")
            if len(steps) > 1 and steps[0] in sound and steps[1].isdigit():
                row = sound[steps[0]][int(steps[1])]
                self._fault(row.table, row.number, steps[2] if len(steps) > 2 else None, fault.message)
            elif not self.faults:  # a list missing or empty as a whole: the tables behind it have said why, if any did
                table = SELLERS if steps[0] == "sellers" else OFFERS if steps[0] == "offers" else PARTS[0]
                self._fault(table, None, None, fault.message)

    def _condemn(self, row: Row, column: str | None, message: str) -> None:
        row.is_sound = False
        self._fault(row.table, row.number, column, message)

    def _fault(self, table: Table, row: int | None, column: str | None, message: str) -> None:
        self.faults.append(SeedFault(file=table.file, row=row, column=column, message=message))


def _sound(rows: list[Row]) -> list[Row]:
    return [row for row in rows if row.is_sound]


def _contained(row: Row) -> Iterator[object]:
    contents = row.values.get("contents")
    if isinstance(contents, list):
        yield from (entry["part"] for entry in contents)


def _leave_out_dependants(sound: dict[str, list[Row]]) -> None:
    """Offers of a faulty seller or part would only repeat that fault in the eyes of the schema."""
    sellers = {row.values["id"] for row in sound["sellers"]}
    parts = {row.values["id"] for row in sound["parts"]}
    sound["offers"] = [
        row for row in sound["offers"] if row.values["seller"] in sellers and all(p in parts for p in _contained(row))
    ]


# -- what a cell says ---------------------------------------------------------------------------------------------


def _number(cell: str) -> float:
    if not _NUMBER.fullmatch(cell):
        raise ValueError(f"'{cell}' is not a number; write it like 2.5, without its unit")
    number = float(cell)
    if not math.isfinite(number):
        raise ValueError(f"'{cell}' is too large a number")
    return int(number) if number == int(number) else number


def _whole(cell: str) -> int:
    number = _number(cell)
    if number != int(number):
        raise ValueError(f"'{cell}' is not a whole number")
    return int(number)


def _yes_no(cell: str) -> bool:
    if cell not in ("yes", "no"):
        raise ValueError(f"'{cell}' is neither yes nor no")
    return cell == "yes"


_READ: dict[str, Callable[[str], object]] = {
    "text": str,
    "number": _number,
    "whole": _whole,
    "yes_no": _yes_no,
    "contents": read_contents,
}
