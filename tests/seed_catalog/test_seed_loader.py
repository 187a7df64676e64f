"""Every kind of fault in the tables is reported with file, row and column."""

import csv
import shutil

import pytest

from seed_catalog import SeedFaults, load_catalogue
from seed_catalog.loader import HOME


class Tables:
    """A copy of the seed tables that a test may spoil."""

    def __init__(self, folder):
        self.folder = folder

    def lines(self, file):
        return (self.folder / file).read_text(encoding="utf-8").splitlines()

    def write(self, file, lines):
        (self.folder / file).write_text("\n".join(lines) + "\n", encoding="utf-8")

    def set(self, file, row, **cells):
        """Overwrite cells of a row, counted from the header as row 1."""
        rows = list(csv.reader(self.lines(file)))
        for column, value in cells.items():
            rows[row - 1][rows[0].index(column)] = value
        with (self.folder / file).open("w", encoding="utf-8", newline="") as out:
            csv.writer(out, lineterminator="\n").writerows(rows)

    def faults(self):
        with pytest.raises(SeedFaults) as raised:
            load_catalogue(self.folder)
        return [str(fault) for fault in raised.value.faults]


@pytest.fixture
def tables(tmp_path):
    shutil.copytree(HOME / "tables", tmp_path / "tables")
    return Tables(tmp_path / "tables")


def test_an_untouched_copy_is_the_seed_catalogue(tables):
    assert load_catalogue(tables.folder) == load_catalogue()


@pytest.mark.parametrize(
    ("file", "cells", "says"),
    [
        pytest.param(
            "stages.csv", {"efficiency": "good"}, "stages.csv row 17, efficiency: 'good' is not a number", id="word"
        ),
        pytest.param("stages.csv", {"max_out_w": "60 W"}, "stages.csv row 17, max_out_w: '60 W' is not", id="unit"),
        pytest.param("stages.csv", {"idle_w": "nan"}, "stages.csv row 17, idle_w: 'nan' is not a number", id="nan"),
        pytest.param("stages.csv", {"idle_w": "1_0"}, "stages.csv row 17, idle_w: '1_0' is not a number", id="under"),
        pytest.param("stages.csv", {"idle_w": "9" * 400}, "stages.csv row 17, idle_w: ", id="infinite"),
        pytest.param("stages.csv", {"in_min_v": ""}, "stages.csv row 17, in_min_v: this is blank", id="blank"),
        pytest.param(
            "stages.csv",
            {"limits_output": "maybe"},
            "row 17, limits_output: 'maybe' is neither yes nor no",
            id="yes-no",
        ),
        pytest.param("stages.csv", {"outlets": "2.5"}, "stages.csv row 17, outlets: '2.5' is not a", id="half-outlet"),
        pytest.param(
            "offers.csv", {"price_cents": "9.5"}, "offers.csv row 17, price_cents: '9.5' is not a", id="whole"
        ),
        pytest.param(
            "offers.csv", {"seller": "nobody"}, "offers.csv row 17, seller: there is no seller 'nobody'", id="seller"
        ),
        pytest.param(
            "offers.csv", {"contents": "1 x gone"}, "offers.csv row 17, contents: there is no part 'gone'", id="part"
        ),
        pytest.param(
            "offers.csv", {"contents": "ten of it"}, "row 17, contents: 'ten of it' is neither", id="contents"
        ),
        pytest.param("offers.csv", {"contents": "0 x fuse-cyl10-3a"}, "row 17, contents: '0 x fuse", id="none-of-it"),
        pytest.param("offers.csv", {"contents": "1.5 x fuse-cyl10-3a"}, "row 17, contents: '1.5 x fuse", id="half"),
    ],
)
def test_a_cell_that_cannot_be_read_is_named(tables, file, cells, says):
    tables.set(file, 17, **cells)
    (fault,) = tables.faults()
    assert says in fault


@pytest.mark.parametrize(
    ("file", "cells", "where"),
    [
        pytest.param("stages.csv", {"efficiency": "1.4"}, "stages.csv row 9, efficiency: ", id="efficiency"),
        pytest.param("stages.csv", {"out_v": "72"}, "stages.csv row 9, out_v: ", id="above-60-v"),
        pytest.param("stages.csv", {"outlets": "0"}, "stages.csv row 9, outlets: ", id="no-outlet"),
        pytest.param("stages.csv", {"in_min_v": "59", "in_max_v": "36"}, "stages.csv row 9, in_min_v: ", id="order"),
        pytest.param("cables.csv", {"ohm_per_km_20c": "0.1"}, "cables.csv row 9, ohm_per_km_20c: ", id="not-copper"),
        pytest.param("consumables.csv", {"each": "7"}, "consumables.csv row 9, each: ", id="purpose-disagrees"),
        pytest.param("offers.csv", {"price_cents": "-5"}, "offers.csv row 9, price_cents: ", id="price"),
        pytest.param("offers.csv", {"contents": "2 x cable-twin-4-70c"}, "offers.csv row 9, contents: ", id="counted"),
        pytest.param("offers.csv", {"contents": "2 m fuse-cyl10-3a"}, "offers.csv row 9, contents: ", id="measured"),
    ],
)
def test_what_the_document_schema_refuses_is_traced_to_its_cell(tables, file, cells, where):
    tables.set(file, 9, **cells)
    faults = tables.faults()
    assert any(fault.startswith(where) for fault in faults), faults


def test_a_twin_id_is_named_with_the_row_of_the_first(tables):
    tables.set("fuses.csv", 5, id="fuse-blade32-2a")
    assert "fuses.csv row 5, id: 'fuse-blade32-2a' is already the id of row 2 of fuses.csv" in tables.faults()


def test_a_part_of_one_table_may_not_take_an_id_of_another(tables):
    tables.set("switches.csv", 3, id="fuse-blade32-2a")
    assert "switches.csv row 3, id: 'fuse-blade32-2a' is already the id of row 2 of fuses.csv" in tables.faults()


def test_a_missing_column_is_reported_once(tables):
    tables.write("fuses.csv", [line.rsplit(",", 1)[0] for line in tables.lines("fuses.csv")])
    assert tables.faults() == ["fuses.csv row 1, interrupt_a: this column is missing"]


def test_unknown_and_repeated_columns_are_reported(tables):
    lines = tables.lines("fuses.csv")
    tables.write("fuses.csv", [lines[0] + ",colour,style", *(line + ",red,x" for line in lines[1:])])
    assert tables.faults()[:2] == [
        "fuses.csv row 1, colour: there is no such column here",
        "fuses.csv row 1, style: this column is there twice",
    ]


def test_a_row_with_too_few_cells_is_reported(tables):
    lines = tables.lines("holders.csv")
    tables.write("holders.csv", [*lines[:3], lines[3].rsplit(",", 1)[0], *lines[4:]])
    assert tables.faults() == ["holders.csv row 4: 4 cells under 5 headers"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param(None, "there is no such file", id="missing"),
        pytest.param(b"", "the file is empty", id="empty"),
        pytest.param(b"id,name\n\xff\xfe", "not UTF-8", id="encoding"),
        pytest.param(b'id,name\n"open', "not a table of comma-separated values", id="quote"),
    ],
)
def test_a_file_that_is_no_table_is_reported(tables, content, says):
    path = tables.folder / "switches.csv"
    path.unlink() if content is None else path.write_bytes(content)
    assert any(fault.startswith("switches.csv: ") and says in fault for fault in tables.faults())


def test_every_fault_of_every_table_comes_at_once_in_file_order(tables):
    tables.set("offers.csv", 3, price_cents="free")
    tables.set("sellers.csv", 2, lead_days="soon")
    tables.set("stages.csv", 4, efficiency="1.5")
    tables.set("stages.csv", 3, idle_w="low")
    starts = [fault.split(": ")[0] for fault in tables.faults()]
    assert starts == [
        "sellers.csv row 2, lead_days",
        "stages.csv row 3, idle_w",
        "stages.csv row 4, efficiency",
        "offers.csv row 3, price_cents",
    ]


def test_blank_lines_and_a_byte_order_mark_do_no_harm(tables):
    path = tables.folder / "switches.csv"
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes() + b"\n,,,\n")
    assert load_catalogue(tables.folder) == load_catalogue()
