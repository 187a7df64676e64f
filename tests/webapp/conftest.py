"""An app on a fresh database, with a catalogue of one of the cases."""

from __future__ import annotations

import copy
import dataclasses
import json
import shutil
from pathlib import Path

import pytest

from webapp import db, migrate
from webapp.app import create_app
from webapp.config import Config
from webapp.services import catalogue
from webapp.solver.runner import Runner

CASES = Path(__file__).parents[1] / "cases"


@pytest.fixture(scope="session")
def case():
    """Documents of the cases, by name."""

    def read(name):
        return copy.deepcopy(json.loads((CASES / f"{name}.json").read_text()))

    return read


@pytest.fixture
def job(case):
    """A sound job/1 document."""
    return case("case-062")["job"]


@pytest.fixture
def plan(case):
    """A plan/1 document as the solver process leaves it: with a check that holds."""
    check = {
        "rule": "drop",
        "subject": "C1",
        "value": 0.3,
        "limit": 0.36,
        "unit": "V",
        "state": "holds",
        "margin": 0.06,
        "source": "planning rules 3",
    }
    return {
        "reasons": [],
        "energy": {"average_w": 31.2, "today_average_w": None},
        **case("plan-062"),
        "checks": [check],
    }


@pytest.fixture
def config(tmp_path):
    return Config.at(tmp_path / "data", testing=True)


@pytest.fixture
def bare_app(config):
    """An app whose database has no tables yet."""
    app = create_app(config)
    yield app
    app.extensions[db.EXTENSION].close()


@pytest.fixture(scope="session")
def filled_database(tmp_path_factory, case):
    """A database file with tables and a catalogue: made once, copied for every test."""
    config = Config.at(tmp_path_factory.mktemp("filled"), testing=True)
    app = create_app(config)
    migrate.upgrade(app.extensions[db.EXTENSION], config.data_dir)
    with app.app_context():
        catalogue.replace(case("catalogue-3"))
    app.extensions[db.EXTENSION].close()
    return Path(app.extensions[db.EXTENSION].engine.url.database)


@pytest.fixture
def app(bare_app, config, filled_database):
    """An app with a catalogue and no jobs."""
    shutil.copy(filled_database, config.data_dir)
    return bare_app


@pytest.fixture
def database(app):
    return app.extensions[db.EXTENSION]


@pytest.fixture
def in_app(app):
    """Services can be called."""
    with app.app_context():
        yield app


@pytest.fixture
def client(app):
    return app.test_client()


@pytest.fixture
def serving(app, config, job):
    """A runner at work with children of one's own, two at a time."""
    runners = []

    def start(child):
        runner = Runner(app, dataclasses.replace(config, solver_slots=2), program=child)
        runners.append(runner)
        assert runner.start()
        return runner

    with app.app_context():
        yield start
    for runner in runners:
        runner.stop()
