"""An app with a small catalogue and a browser to walk it."""

from __future__ import annotations

import copy
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from page_browser import Browser, read_case

from webapp import db
from webapp.app import create_app
from webapp.config import Config
from webapp.services import jobs, plans


@pytest.fixture
def pages_app(tmp_path: Path, filled_database: Path) -> Iterator[Flask]:
    shutil.copy(filled_database, tmp_path)
    app = create_app(Config.at(tmp_path, testing=True))
    with app.app_context():
        yield app
    app.extensions[db.EXTENSION].close()


@pytest.fixture
def browser(pages_app: Flask) -> Browser:
    return Browser(pages_app.test_client())


@pytest.fixture
def a_job(pages_app: Flask) -> Callable[..., str]:
    """Stores a job and returns its id."""

    def store(**changes: Any) -> str:
        document = copy.deepcopy(read_case("case-062")["job"]) | changes
        return jobs.start_job(document).id

    return store


@pytest.fixture
def planned(a_job: Callable[..., str]) -> Callable[..., str]:
    """Stores a job with a finished plan, stubbed at the solver process, and returns the plan's id."""

    def store(plan: dict[str, Any], **changes: Any) -> str:
        plan_id = plans.start_plan(a_job(**changes))
        assert plans.claim_plan() is not None
        plans.finish_plan(plan_id, plan, "stub")
        return plan_id

    return store
