"""The app around the routes: headers, failures, the key, seeding and serving."""

from __future__ import annotations

import errno
import os
import signal
import socket
import stat
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from flask import url_for
from sqlalchemy import select, text

from tests.said import line_of
from webapp import assets, cli, seeding, serve
from webapp.app import create_app
from webapp.config import Config
from webapp.locks import only_one
from webapp.models import Base
from webapp.services import catalogue, jobs, plans

ROOT = Path(__file__).parents[2]
STRICT = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "strict-origin-when-cross-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def every_get(app, job_id, plan_id):
    """A path for every route that is fetched."""
    values = {
        "job_id": job_id,
        "plan_id": plan_id,
        "place": f"{assets.version()}/{assets.STYLES}",
        "revision": 1,
        "index": 0,
    }
    with app.test_request_context():
        return {
            rule.rule: url_for(rule.endpoint, **{name: values.get(name, "nothing") for name in rule.arguments})
            for rule in app.url_map.iter_rules()
            if "GET" in rule.methods
        }


@pytest.fixture
def paths(app, job):
    with app.app_context():
        job_id = jobs.start_job(job).id
        return every_get(app, job_id, plans.start_plan(job_id))


@pytest.fixture
def answers(client, paths):
    """Status and headers of every page, and of every way to be refused."""
    fetched = {rule: client.get(path) for rule, path in paths.items()}
    fetched["unknown page"] = client.get("/nowhere")
    fetched["unknown in API"] = client.get("/api/nowhere")
    fetched["wrong method"] = client.put("/")
    fetched["no token"] = client.post("/jobs/new", data={"title": "x"})
    fetched["too large"] = client.post("/api/jobs", data=b"x" * 5_000_001)
    fetched["foreign name"] = client.get("/", headers={"Host": "evil.example"})
    for answer in fetched.values():
        answer.close()
    return fetched


def dump(database):
    with database.engine.connect() as connection:
        return {name: connection.execute(select(table)).all() for name, table in Base.metadata.tables.items()}


def test_fetching_changes_nothing(client, paths, database):
    before = dump(database)
    for path in paths.values():
        client.get(path).close()
        client.head(path).close()
    assert dump(database) == before
    assert before["jobs"]


def test_every_answer_carries_the_strict_headers(answers):
    for rule, answer in answers.items():
        assert {name: answer.headers.get(name) for name in STRICT} == STRICT, rule
        assert "Cache-Control" in answer.headers, rule
        assert "Strict-Transport-Security" not in answer.headers, rule


def test_no_answer_lets_anything_inline_or_foreign_run(answers):
    for rule, answer in answers.items():
        policy = dict(part.split(" ", 1) for part in answer.headers["Content-Security-Policy"].split("; "))
        assert (policy["default-src"], policy["script-src"], policy["style-src"]) == ("'none'", "'self'", "'self'"), (
            rule
        )
        assert "unsafe" not in answer.headers["Content-Security-Policy"], rule
        assert (policy["frame-ancestors"], policy["base-uri"]) == ("'none'", "'none'"), rule


def test_no_page_fails(answers):
    assert {rule: answer.status_code for rule, answer in answers.items() if answer.status_code >= 500} == {}


def test_the_cookie_is_for_this_site_and_not_for_scripts(client):
    cookie = client.get("/jobs/new").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie  # plain http in the house; see the next test


def test_behind_tls_the_cookie_is_secure_and_the_browser_told_to_stay(config, app):
    import dataclasses

    secure = create_app(dataclasses.replace(config, https=True)).test_client()
    answer = secure.get("/jobs/new", base_url="https://localhost")
    assert "Secure" in answer.headers["Set-Cookie"]
    assert "max-age=31536000" in answer.headers["Strict-Transport-Security"]


def test_our_own_faults_are_a_sentence_with_a_number(client, monkeypatch, caplog):
    def broken(*_args, **_kwargs):
        raise KeyError("secret detail")

    monkeypatch.setattr(jobs, "find_jobs", broken)
    answer = client.get("/")
    assert answer.status_code == 500
    assert "our fault" in answer.text
    assert "secret detail" not in answer.text
    number = answer.text.split("Fault number ")[1][:8]
    assert number in caplog.text


@pytest.mark.parametrize(("path", "sent"), [("/jobs/new", 500_001), ("/sync", 1_000_001)])
def test_what_is_too_large_is_not_said_to_be_larger_than_it_is(client, path, sent):
    kind = "application/json" if path == "/sync" else "application/x-www-form-urlencoded"
    answer = client.post(path, data=b"title=" + b"x" * sent, content_type=kind)
    assert answer.status_code == 413
    assert "larger than any job needs" in answer.text


def test_an_address_forges_no_line_of_the_log(client, monkeypatch, caplog):
    monkeypatch.setattr(jobs, "get_job", lambda _job_id: 1 / 0)
    assert client.get("/jobs/x%0AERROR%20forged").status_code == 500
    assert "forged" in caplog.text
    assert not [line for line in caplog.text.splitlines() if line.startswith("ERROR forged")]


def test_a_broken_error_page_is_still_a_sentence(client, app, monkeypatch):
    from jinja2 import TemplateError

    def broken(*_args, **_kwargs):
        raise TemplateError("no template")

    monkeypatch.setattr("webapp.failures.render_template", broken)
    answer = client.get("/nowhere")
    assert answer.status_code == 404
    assert "<h1>Not found</h1><p>The address is wrong" in answer.text


def test_the_key_is_made_once_and_for_its_owner_only(config):
    first = create_app(config).config["SECRET_KEY"]
    assert create_app(config).config["SECRET_KEY"] == first
    assert len(first) == 64
    assert stat.S_IMODE((config.data_dir / "secret_key").stat().st_mode) == 0o600


def test_a_key_that_was_never_written_is_made_anew(config):
    create_app(config)
    (config.data_dir / "secret_key").write_text("")  # the disk was full
    key = create_app(config).config["SECRET_KEY"]
    assert len(key) == 64
    assert create_app(config).config["SECRET_KEY"] == key


def test_settings_come_from_the_environment(tmp_path):
    config = Config.from_environment(
        {"THRIFTLOOM_DATA": str(tmp_path), "THRIFTLOOM_HOSTS": "Van.example hut.example", "THRIFTLOOM_HTTPS": "1"}
    )
    assert config.data_dir == tmp_path
    assert config.database_url == f"sqlite:///{tmp_path / 'thriftloom.db'}"
    assert (config.hosts, config.https) == (("van.example", "hut.example"), True)
    assert Config.from_environment({"DATABASE_URL": "sqlite:///x.db"}).database_url == "sqlite:///x.db"
    assert Config.from_environment({}).data_dir == ROOT / "instance"


def test_there_are_never_more_searches_at_once_than_cores(monkeypatch):
    monkeypatch.setattr("webapp.config.cores", lambda: 3)
    slots = [Config.from_environment({"THRIFTLOOM_SOLVERS": each}).solver_slots for each in ("1", "3", "16")]
    assert slots == [1, 3, 3]
    assert Config.from_environment({}).solver_slots == 2
    monkeypatch.setattr("webapp.config.cores", lambda: 1)
    assert Config.from_environment({}).solver_slots == 1


@pytest.mark.parametrize("name", ["THRIFTLOOM_SOLVERS", "THRIFTLOOM_SOLVER_MB"])
@pytest.mark.parametrize("text", ["0", "-1", "many", "1.5", "²"])
def test_a_setting_that_cannot_be_used_is_named(monkeypatch, capsys, name, text):
    monkeypatch.setenv(name, text)
    assert cli.main(["serve"]) == 2
    assert capsys.readouterr().err == f"{name} is {text!r}: it must be a whole number above 0.\n"


def test_seeding_fills_once_and_then_keeps(config):
    first = seeding.fill(config)
    app = create_app(config)
    with app.app_context():
        (demo, *others) = jobs.list_jobs()
        assert len(others) == 3
        document = jobs.get_job(demo.id).document
        jobs.save_job(demo.id, 1, {**document, "title": "Mine now"})
        jobs.delete_job(others[0].id)
        assert seeding.fill(config) == ["Tables are up to date.", "Catalogue is up to date."]
        assert jobs.get_job(demo.id).title == "Mine now"
        assert len(jobs.list_jobs()) == 3
    assert first[0] == "Tables brought up to date."
    assert sum("Demo job added" in line for line in first) == 4
    app.extensions["thriftloom_database"].close()


def test_seeding_keeps_a_catalogue_that_was_changed_here(config, app, case):
    assert "Catalogue kept: it was changed here." in seeding.fill(config)
    with app.app_context():
        assert catalogue.current().revision == 1


def _free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def server(tmp_path):
    """`thriftloom serve` as people start it; its port and what it said."""
    port = _free_port()
    environment = {**os.environ, "THRIFTLOOM_DATA": str(tmp_path), "PYTHONPATH": str(ROOT)}
    program = [sys.executable, "-m", "webapp.cli", "serve", "--port", str(port)]
    with subprocess.Popen(
        program, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        yield process, port, [line_of(process) for _ in range(3)]
        process.kill()


def test_a_server_says_where_it_is_answers_and_leaves_when_asked(server):
    process, port, said = server
    assert f"http://localhost:{port}" in said[0]
    assert "HOST=0.0.0.0" in said[1]
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=60) as answer:
        assert answer.status == 200
    process.send_signal(signal.SIGTERM)
    assert process.wait(timeout=60) == 0


def test_a_taken_port_is_one_sentence(server, tmp_path, capsys, monkeypatch):
    _, port, _ = server
    monkeypatch.setenv("THRIFTLOOM_DATA", str(tmp_path / "other"))
    assert serve.serve(port=port) == 1
    said = capsys.readouterr().err
    assert said == f"Port {port} is taken by another program. Try another one: make run PORT={port + 1}\n"
    assert not (tmp_path / "other").exists()


def test_on_all_addresses_a_phone_is_told_where():
    lines = serve.greeting("0.0.0.0", 8000)
    assert lines[0].endswith("http://localhost:8000")
    assert "On a phone on the same network: http://" in lines[1]
    assert "Everybody on this network" in lines[2]


def test_the_command_says_what_it_did(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("THRIFTLOOM_DATA", str(tmp_path))
    assert seeding.seed(database=f"sqlite:///{tmp_path / 'named.db'}") == 0
    assert capsys.readouterr().out.startswith("Tables brought up to date.\nCatalogue loaded: ")
    assert (tmp_path / "named.db").exists()


def test_a_faulty_seed_catalogue_is_told_and_not_loaded(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("THRIFTLOOM_DATA", str(tmp_path))
    faulty = {"format": "catalogue/1", "sellers": [], "parts": [], "offers": [{"id": "o"}]}
    monkeypatch.setattr(seeding, "load_catalogue", lambda: faulty)
    assert seeding.seed() == 1
    assert "offers/0/seller" in capsys.readouterr().err


def test_data_of_a_newer_version_stops_the_command_with_a_sentence(tmp_path, monkeypatch, capsys, app, database):
    monkeypatch.setenv("THRIFTLOOM_DATA", str(tmp_path / "data"))
    with database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    assert cli.main(["seed"]) == 2
    assert capsys.readouterr().err.startswith("This data was written by a newer Thriftloom.")


@pytest.mark.parametrize("command", ["seed", "serve"])
@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"THRIFTLOOM_DATA": "file/data"}, "cannot be a folder for the data: not a directory"),
        ({"DATABASE_URL": "sqlite:///file/our.db"}, "cannot be a folder for the data: file exists"),
        ({"DATABASE_URL": "sqlite:///file"}, "file cannot be used as the database: file is not a database"),
    ],
)
def test_data_that_cannot_be_had_is_one_sentence(tmp_path, monkeypatch, capsys, command, settings, says):
    monkeypatch.chdir(tmp_path)
    Path("file").write_text("no database, " * 100)
    for name, value in {"THRIFTLOOM_DATA": str(tmp_path / "data"), **settings}.items():
        monkeypatch.setenv(name, value)
    assert cli.main([command, *(["--port", str(_free_port())] if command == "serve" else [])]) == 2
    (said,) = capsys.readouterr().err.splitlines()
    assert says in said


def test_whoever_comes_second_is_told_to_wait(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("THRIFTLOOM_DATA", str(tmp_path))
    monkeypatch.setattr("webapp.migrate.LOCK_WAIT_S", 0.1)
    with only_one(tmp_path / "migrate.lock", wait_s=1):
        assert cli.main(["seed"]) == 2
    said = f"Another Thriftloom is at work on the data in {tmp_path}. Wait for it, or end it.\n"
    assert capsys.readouterr().err == said


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (
            OSError(errno.EADDRINUSE, "in use"),
            "Port 65535 is taken by another program. Try another one: make run PORT=8000",
        ),
        (PermissionError(errno.EACCES, "no"), "Port 65535 may not be used by ordinary programs."),
        (OSError(errno.EADDRNOTAVAIL, "Cannot assign"), "van:65535 cannot be listened on: cannot assign."),
    ],
)
def test_a_port_that_cannot_be_had_is_one_sentence(error, said):
    assert serve._why_not(error, "van", 65535).startswith(said)
