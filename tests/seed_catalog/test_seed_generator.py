"""The committed tables are what the generator writes."""

from seed_catalog.columns import TABLES
from seed_catalog.generate import write_tables
from seed_catalog.loader import HOME


def test_generator_reproduces_the_committed_tables_byte_for_byte(tmp_path):
    write_tables(tmp_path)
    written = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    committed = {path.name: path.read_bytes() for path in (HOME / "tables").iterdir()}
    assert written == committed
    assert set(written) == {table.file for table in TABLES}
