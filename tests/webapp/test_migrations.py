"""Migrations: up, down and up, alone and in a crowd, and never into the unknown."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import CheckConstraint, inspect, text
from sqlalchemy.exc import IntegrityError

from webapp import db, migrate
from webapp.models import Base

ROOT = Path(__file__).parents[2]
UNCHECKED = {"parts", "job_revisions"}
VERSIONS = ROOT / "migrations" / "versions"


@pytest.fixture
def empty(bare_app):
    return bare_app.extensions[db.EXTENSION]


def tables(database):
    return set(inspect(database.engine).get_table_names()) - {"alembic_version"}


def differences(database):
    """What the models say and the database does not, or the other way round."""
    with database.engine.connect() as connection:
        return compare_metadata(MigrationContext.configure(connection), Base.metadata)


def test_the_head_file_names_the_last_step(empty, config):
    migrate.upgrade(empty, config.data_dir)
    with empty.engine.connect() as connection:
        assert (VERSIONS / ".head").read_text().strip() == migrate.stands_at(connection)
    assert max(path.name[:4] for path in VERSIONS.glob("0*.py")) == (VERSIONS / ".head").read_text().strip()


def test_every_step_is_named_by_its_number():
    names = {path.name[:4] for path in VERSIONS.glob("*.py")}
    assert names == migrate.known_revisions()


def test_up_down_and_up_again(empty, config):
    assert migrate.upgrade(empty, config.data_dir)
    assert tables(empty) == set(Base.metadata.tables)
    migrate.downgrade(empty, config.data_dir, "base")
    assert tables(empty) == set()
    assert migrate.upgrade(empty, config.data_dir)
    assert tables(empty) == set(Base.metadata.tables)


def test_models_and_tables_agree(empty, config):
    migrate.upgrade(empty, config.data_dir)
    assert differences(empty) == []


def test_a_column_too_few_would_be_noticed(empty, config):
    migrate.upgrade(empty, config.data_dir)
    with empty.writing() as session:
        session.execute(text("ALTER TABLE parts DROP COLUMN name"))
    assert differences(empty) != []


def test_every_constraint_has_a_name(empty, config):
    migrate.upgrade(empty, config.data_dir)
    seen = inspect(empty.engine)
    for table in tables(empty):
        assert seen.get_pk_constraint(table)["name"]
        found = [*seen.get_foreign_keys(table), *seen.get_unique_constraints(table), *seen.get_check_constraints(table)]
        assert all(constraint["name"] for constraint in found)


def test_checks_of_models_and_tables_agree(empty, config):
    """Alembic compares no check constraints: this does."""
    migrate.upgrade(empty, config.data_dir)
    seen = inspect(empty.engine)
    for name, table in Base.metadata.tables.items():
        declared = {str(each.name) for each in table.constraints if isinstance(each, CheckConstraint)}
        assert name in UNCHECKED or declared
        assert {each["name"] for each in seen.get_check_constraints(name)} == declared


def test_a_second_upgrade_changes_nothing(empty, config):
    migrate.upgrade(empty, config.data_dir)
    assert migrate.upgrade(empty, config.data_dir) is False


def test_data_of_a_newer_version_is_left_alone(empty, config):
    migrate.upgrade(empty, config.data_dir)
    with empty.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(migrate.SchemaTooNew, match="newer Thriftloom"):
        migrate.upgrade(empty, config.data_dir)


def test_a_step_cut_short_leaves_nothing(empty, config, monkeypatch):
    from alembic import op

    def stop(*_args, **_kwargs):
        raise KeyboardInterrupt

    monkeypatch.setattr(op, "execute", stop)  # the triggers come last
    with pytest.raises(KeyboardInterrupt):
        migrate.upgrade(empty, config.data_dir)
    assert tables(empty) == set()


ROW = """
INSERT INTO plans (id, job_id, job_revision, catalogue_revision, time_limit_s, state, created_at, document, message)
VALUES (:id, 'j', 1, 1, 60, :state, '2026-01-01', :document, :message)
"""
PLANS = (
    {"id": "a", "state": "queued", "document": None, "message": None},
    {"id": "b", "state": "done", "document": "{}", "message": None},
    {"id": "c", "state": "failed", "document": None, "message": "Killed."},
)
MADE_FOR = (
    "INSERT INTO jobs (id, title, revision, version_id, created_at, updated_at) VALUES ('j', 'J', 1, 1, '1', '1')",
    "INSERT INTO job_revisions VALUES ('j', 1, 'x', '{}', '1')",
    "INSERT INTO catalogue_revisions VALUES (1, 'x', '{}', 'seed', '1')",
)


@pytest.fixture
def with_plans(empty, config):
    """A database as the first version left it, with plans in it."""
    migrate.upgrade(empty, config.data_dir, "0001")
    with empty.writing() as session:
        for row in MADE_FOR:
            session.execute(text(row))
        session.execute(text(ROW), PLANS)
    return empty


def rows(database):
    with database.reading() as session:
        found = session.execute(text("SELECT id, state, document, message FROM plans ORDER BY id")).mappings()
        return [dict(row) for row in found]


def test_plans_survive_the_way_up_and_down(with_plans, config):
    migrate.upgrade(with_plans, config.data_dir)
    assert rows(with_plans) == list(PLANS)
    with with_plans.writing() as session:
        session.execute(text("UPDATE plans SET state = 'cancelled', message = 'Stopped.' WHERE id = 'a'"))
    migrate.downgrade(with_plans, config.data_dir, "0001")
    assert rows(with_plans) == [{**PLANS[0], "state": "failed", "message": "Stopped."}, *PLANS[1:]]


@pytest.mark.parametrize("ended", ["b", "c", "d"])
def test_what_ended_is_guarded_after_the_step_too(with_plans, config, ended):
    migrate.upgrade(with_plans, config.data_dir)
    with with_plans.writing() as session:
        session.execute(text(ROW), {"id": "d", "state": "cancelled", "document": None, "message": "Stopped."})
        session.execute(text("UPDATE plans SET time_limit_s = 1 WHERE id = 'a'"))
    with pytest.raises(IntegrityError, match="never changes"), with_plans.writing() as session:
        session.execute(text("UPDATE plans SET time_limit_s = 1 WHERE id = :id"), {"id": ended})


UPGRADE = """
import sys
from pathlib import Path
from webapp import migrate
from webapp.config import Config
from webapp.db import Database
config = Config.at(Path(sys.argv[1]))
migrate.upgrade(Database(config.database_url), config.data_dir)
"""


def test_several_servers_may_start_at_once(tmp_path):
    starts = [
        subprocess.Popen([sys.executable, "-c", UPGRADE, str(tmp_path)], cwd=ROOT, stderr=subprocess.PIPE)
        for _ in range(4)
    ]
    for start in starts:
        _, said = start.communicate(timeout=60)
        assert (start.returncode, said) == (0, b"")
