"""The database: the version gate, its settings, and what happens when two write or one is killed."""

from __future__ import annotations

import dataclasses
import os
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from sqlalchemy import event, func, select, text
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlalchemy.orm.exc import StaleDataError

from tests.said import line_of
from webapp import db, migrate
from webapp.app import create_app
from webapp.files import BadInput
from webapp.models import Job, JobRevision
from webapp.services import jobs

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("version", "affected"),
    [
        # SQLite release notes: 3.7.0 to 3.51.2; mended in 3.51.3, 3.50.7, 3.44.6
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),  # Debian 12
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 53, 4), False),
    ],
)
def test_versions_that_can_lose_commits_are_known(version, affected):
    assert db.can_lose_commits(version) is affected


class AsIfOld:
    """Python's own SQLite, saying that it is a version with the race."""

    sqlite_version_info = (3, 40, 1)
    sqlite_version = "3.40.1"

    def __getattr__(self, name):
        return getattr(sqlite3, name)


class AsIfMended(AsIfOld):
    sqlite_version_info = (3, 51, 3)
    sqlite_version = "3.51.3"


def settings(database):
    names = ("journal_mode", "synchronous", "foreign_keys", "busy_timeout", "trusted_schema", "cell_size_check")
    with database.engine.connect() as connection:
        return {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in names}


def test_a_mended_sqlite_writes_ahead_and_waits_for_the_disk(tmp_path, caplog):
    database = db.Database(f"sqlite:///{tmp_path / 'a.db'}", driver=AsIfMended())
    assert settings(database) == {
        "journal_mode": "wal",
        "synchronous": 2,  # FULL
        "foreign_keys": 1,
        "busy_timeout": 5000,
        "trusted_schema": 0,
        "cell_size_check": 1,
    }
    assert not caplog.records
    database.close()


def test_an_affected_sqlite_falls_back_loudly_to_one_connection(tmp_path, caplog):
    database = db.Database(f"sqlite:///{tmp_path / 'a.db'}", driver=AsIfOld())
    assert settings(database)["journal_mode"] == "delete"
    assert database.engine.pool.size() == 1
    assert database.engine.pool._max_overflow == 0
    assert "3.40.1 can lose committed writes" in caplog.text
    database.close()


def test_an_affected_sqlite_takes_a_database_out_of_wal(tmp_path):
    url = f"sqlite:///{tmp_path / 'a.db'}"
    for driver, mode in ((AsIfMended(), "wal"), (AsIfOld(), "delete")):
        database = db.Database(url, driver=driver)
        assert settings(database)["journal_mode"] == mode
        database.close()


def test_a_start_waits_for_another_program_that_writes(tmp_path):
    """While the other holds its first write, SQLite refuses to write ahead without waiting."""
    path = tmp_path / "a.db"
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("CREATE TABLE t (x)")
    other.execute("BEGIN IMMEDIATE")
    database = db.Database(f"sqlite:///{path}", driver=AsIfMended())
    ending = threading.Timer(0.3, other.execute, ["COMMIT"])
    ending.start()
    assert settings(database)["journal_mode"] == "wal"
    ending.join()
    other.close()
    database.close()


def test_an_affected_sqlite_refuses_a_database_others_keep_in_wal(tmp_path, monkeypatch):
    monkeypatch.setattr(db, "BUSY_S", 0)
    url = f"sqlite:///{tmp_path / 'a.db'}"
    mended, old = db.Database(url, driver=AsIfMended()), db.Database(url, driver=AsIfOld())
    with mended.engine.connect() as holding:
        holding.exec_driver_sql("CREATE TABLE t (x)")
        holding.commit()
        holding.exec_driver_sql("SELECT * FROM t")
        with pytest.raises(OperationalError, match="locked"), old.engine.connect():
            pass
    mended.close()
    old.close()


def test_the_sqlite_of_our_dependencies_is_mended(database):
    if sys.platform == "linux":
        assert not db.can_lose_commits(db.sqlite_driver().sqlite_version_info)
    assert settings(database)["journal_mode"] == "wal"


def test_two_who_read_and_then_write_lose_nothing(database, monkeypatch):
    monkeypatch.setattr(db, "BUSY_S", 120)  # on a slow disk one of four may wait for most of the others' commits
    database.close()  # connections keep the time they began with
    with database.writing() as session:
        session.execute(text("CREATE TABLE tally (n INTEGER)"))
        session.execute(text("INSERT INTO tally VALUES (0)"))

    def count_up():
        for _ in range(25):
            with database.writing() as session:
                seen = session.scalar(text("SELECT n FROM tally"))
                session.execute(text("UPDATE tally SET n = :n"), {"n": seen + 1})

    threads = [threading.Thread(target=count_up) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with database.reading() as session:
        assert session.scalar(text("SELECT n FROM tally")) == 100


def test_a_row_changed_under_somebody_is_not_overwritten(in_app, database, job):
    job_id = jobs.start_job(job).id
    with database.reading() as session:
        mine = session.get_one(Job, job_id)
        session.expunge(mine)
    jobs.save_job(job_id, 1, {**job, "title": "Theirs"})
    mine.title = "Mine"
    with pytest.raises(StaleDataError):
        write(database, mine)
    assert jobs.get_job(job_id).title == "Theirs"


def test_what_fails_half_way_leaves_nothing(in_app, database):
    dangling = JobRevision(job_id="no such job", number=1, sha256="", document="{}")
    with pytest.raises(IntegrityError):
        write(database, Job(id="half", title="Half", revision=1), dangling)
    assert database_is_without_jobs(database)


def write(database, *rows):
    with database.writing() as session:
        for row in rows:
            session.add(row)
            session.flush()


def database_is_without_jobs(database):
    with database.reading() as session:
        return session.scalar(select(func.count()).select_from(Job)) == 0


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE job_revisions SET document = '{}'",
        "UPDATE catalogue_revisions SET document = '{}'",
    ],
)
def test_revisions_never_change_even_by_hand(in_app, database, job, statement):
    jobs.start_job(job)
    with pytest.raises(IntegrityError, match="never change"), database.writing() as session:
        session.execute(text(statement))


def test_text_in_a_column_of_numbers_is_refused(database):
    with pytest.raises(IntegrityError, match="cannot store TEXT"), database.writing() as session:
        session.execute(text("INSERT INTO sellers VALUES ('s', 'S', 'a lot', NULL, NULL)"))


WRITER = """
import sys
from pathlib import Path
from webapp.app import create_app
from webapp.config import Config
from webapp.services import jobs
import json
app = create_app(Config.at(Path(sys.argv[1])))
document = json.loads(Path(sys.argv[2]).read_text())["job"]
with app.app_context():
    while True:
        print(jobs.start_job(document).id, flush=True)
"""


@pytest.mark.parametrize("lines_before", [1, 7, 23])
def test_kill_nine_loses_nothing_that_was_acknowledged(app, config, database, case, lines_before):
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(config.data_dir), str(ROOT / "tests/cases/case-062.json")],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    )
    with writer:
        acknowledged = [line_of(writer).strip() for _ in range(lines_before)]
        os.kill(writer.pid, signal.SIGKILL)
        acknowledged += [line.strip() for line in writer.stdout if line.endswith("\n")]
    with app.app_context():
        stored = {summary.id for summary in jobs.list_jobs()}
        assert set(acknowledged) <= stored
        assert all(jobs.get_job(job_id).document == case("case-062")["job"] for job_id in stored)
    with database.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []


def test_a_full_disk_is_one_sentence_and_the_next_save_works(app, database, client, job):
    with database.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
    big = {**job, "places": [{**job["places"][0], "id": f"P{n}", "name": "n" * 200} for n in range(200)]}
    big["loads"] = [{**job["loads"][0], "place": "P0"}]
    cap = _cap_pages(database, pages)
    answer = client.post("/api/jobs", json=big)
    assert answer.status_code == 503
    assert "disk may be full" in answer.json["faults"][0]["message"]
    assert answer.headers["Retry-After"] == "30"
    assert client.get("/api/jobs").json == {"jobs": []}
    cap(2**30)
    assert client.post("/api/jobs", json=big).status_code == 201


def _cap_pages(database, pages):
    """Lets the file grow no further, on every connection."""
    limit = {"pages": pages}

    @event.listens_for(database.engine, "checkout")
    def cap(connection, _record, _proxy):
        connection.execute(f"PRAGMA max_page_count = {limit['pages']}")

    def change(pages):
        limit["pages"] = pages

    return change


def test_a_database_made_by_hand_gets_its_folder(tmp_path):
    database = db.Database(f"sqlite:///{tmp_path / 'deep' / 'down' / 'a.db'}")
    assert migrate.upgrade(database, tmp_path)
    database.close()


def test_without_our_sqlite_pythons_own_is_used(monkeypatch):
    monkeypatch.setitem(sys.modules, "pysqlite3", None)  # as on systems it has no wheel for
    assert db.sqlite_driver() is sqlite3


@pytest.mark.parametrize(
    "url", ["postgresql+psycopg://localhost/thriftloom", "mysql://localhost/x", "thriftloom.db", ""]
)
def test_other_databases_are_refused_in_one_sentence(config, url):
    with pytest.raises(BadInput, match="must be SQLite"):
        create_app(dataclasses.replace(config, database_url=url))
