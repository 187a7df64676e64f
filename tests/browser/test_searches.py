"""Searches in a real browser: watched live, stopped by touch, left alone, and broken off by a server that dies."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from contextlib import contextmanager

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser import real, slow
from webapp import db, migrate
from webapp.app import create_app
from webapp.config import Config
from webapp.services import catalogue, jobs

PROGRAM = [sys.executable, "-m", "tests.browser.slow"]
STOP = "Stop with the best so far"


def example(name):
    return json.loads((slow.CASES / f"{name}.json").read_text())


@pytest.fixture(scope="module")
def stored(tmp_path_factory, chromium):
    """A folder with one job, for which the slow solver knows a plan; and the id of the job."""
    config = Config.at(tmp_path_factory.mktemp("searches"))
    app = create_app(config)
    migrate.upgrade(app.extensions[db.EXTENSION], config.data_dir)
    with app.app_context():
        catalogue.replace(example("catalogue-3"))
        job_id = jobs.start_job(example("case-062")["job"]).id
    app.extensions[db.EXTENSION].close()
    return config.data_dir, job_id


@pytest.fixture
def server(stored):
    """A server with the slow solver: its process, and the page where the search begins."""
    with served_slowly(stored, real.free_port()) as served:
        yield served


@pytest.fixture
def origin(server):
    return server[1].split("/jobs/")[0]


@contextmanager
def served_slowly(stored, port):
    folder, job_id = stored
    with real.serving(PROGRAM, folder, port) as (process, address):
        yield process, f"{address}/jobs/{job_id}/limits"


def begin(page, server):
    """Have the job planned, and wait for a first plan."""
    page.goto(server[1])
    page.get_by_role("button", name="Find cheapest").tap()
    expect(page.locator(".search").get_by_role("status")).to_contain_text("Best so far")


def stop(page):
    page.get_by_role("button", name=STOP).tap()
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(r"Total\s*626\.34"))
    expect(page.get_by_text("The search was stopped early")).to_be_visible()


def best(page):
    status, words = page.locator(".search").get_by_role("status"), re.compile(r"Best so far (\d+\.\d\d)")
    expect(status).to_have_text(words)  # without scripts the page may just be arriving anew
    return float(words.search(status.text_content())[1])


def test_a_search_is_watched_live_and_stopped_by_touch(a_phone, server):
    page = a_phone()
    begin(page, server)
    page.evaluate("window.isStillThere = true")
    first, time_said = best(page), page.locator('[data-part="time"]').inner_text()
    expect(page.locator('[data-part="time"]')).not_to_have_text(time_said)
    expect(page.locator(".search").get_by_role("status")).not_to_contain_text(f"{first:.2f}")
    assert best(page) < first
    assert page.evaluate("window.isStillThere")  # shown without loading the page anew
    stop(page)


def test_without_scripts_it_is_watched_and_stopped_too(a_phone, server):
    page = a_phone(java_script_enabled=False)
    begin(page, server)
    first = best(page)
    expect(page.locator(".search").get_by_role("status")).not_to_contain_text(f"{first:.2f}")
    assert best(page) < first
    stop(page)


def test_a_search_goes_on_while_nobody_looks(a_phone, server):
    page = a_phone()
    begin(page, server)
    address, first = page.url, best(page)
    page.context.close()
    other = a_phone()
    other.goto(address)
    expect(other.locator(".search").get_by_role("status")).not_to_contain_text(f"{first:.2f}")
    assert best(other) < first
    stop(other)


def test_a_solver_that_is_killed_is_said_and_the_server_stays(a_phone, server):
    page = a_phone()
    begin(page, server)
    os.kill(child_of(server[0]), signal.SIGKILL)
    begun_again(page, "The search was ended from outside")


def test_a_server_that_dies_leaves_a_search_that_says_so_and_can_be_begun_again(chromium, stored):
    port, page = real.free_port(), real.patient(chromium.new_context(**real.PHONE)).new_page()
    with served_slowly(stored, port) as server:
        begin(page, server)
        os.kill(server[0].pid, signal.SIGKILL)
        expect(page.get_by_text("The server does not answer just now")).to_be_visible()
    with served_slowly(stored, port):
        begun_again(page, "The server stopped while this was being worked out")
    page.context.close()


def test_the_pages_of_a_search_are_for_everybody(chromium, server):
    """Axe finds nothing, on phones of every width, while it runs, when it was cancelled and where a limit is wrong."""
    narrow = real.PHONE | {"viewport": {"width": 320, "height": 740}}
    page = real.patient(chromium.new_context(**narrow)).new_page()
    begin(page, server)
    looks_sound(page)
    os.kill(child_of(server[0]), signal.SIGKILL)
    expect(page.get_by_role("heading", level=1)).to_have_text("Planning stopped")
    looks_sound(page)
    page.get_by_label("Search for at most").fill("soon")
    page.get_by_role("button", name="Try again").tap()
    expect(page.get_by_role("alert")).to_contain_text("not a number of seconds")
    looks_sound(page)
    page.context.close()


def looks_sound(page):
    assert [each["id"] for each in Axe().run(page).response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]


def begun_again(page, said):
    """The page says what became of the search, and another one begins."""
    expect(page.get_by_role("heading", level=1)).to_have_text("Planning stopped")
    expect(page.get_by_text(said)).to_be_visible()
    page.get_by_role("button", name="Try again").tap()
    expect(page.locator(".search").get_by_role("status")).to_contain_text("Best so far")
    stop(page)


def child_of(process):
    """The solver that a server has started."""
    found = subprocess.run(["pgrep", "-P", str(process.pid)], capture_output=True, text=True, check=True)
    return int(found.stdout)
