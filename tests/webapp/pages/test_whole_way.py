"""From nothing to a bought and cut plan, with the real catalogue and the real solver process."""

from __future__ import annotations

import re

import pytest

import seed_catalog
from webapp.config import Config
from webapp.services import catalogue, jobs, plans
from webapp.solver.runner import Runner


@pytest.fixture
def work_out(pages_app, tmp_path):
    """Works out the plan that waits, in a process of its own, as the server does."""
    catalogue.replace(seed_catalog.load_catalogue())
    runner = Runner(pages_app, Config.at(tmp_path, testing=True))
    (tmp_path / "solver").mkdir(exist_ok=True)
    return runner.work_next


def a_van(browser, **battery):
    """A job as somebody with a thumb and three minutes states it."""
    browser.open("/jobs/new")
    browser.send("Start", nominal_v="12", chemistry="lithium", capacity_ah="100", title="Van", setting="vehicle")
    (job,) = jobs.list_jobs()
    if battery:
        browser.open(f"/jobs/{job.id}/battery")
        browser.send("Save, next: places", **battery)
    browser.send("Add this place", name="Desk", run_m="3.5")
    browser.open(f"/jobs/{job.id}/loads")
    browser.send("Router 12 V 11 W")
    browser.open(f"/jobs/{job.id}/limits")
    return browser.send("Find cheapest", autonomy_h="12")


def test_a_stranger_gets_a_proven_list_with_defaults_alone(browser, work_out):
    plan_id = a_van(browser).path.rsplit("/", 1)[1]
    assert work_out()
    page = browser.open(f"/plans/{plan_id}")
    document = plans.get_plan(plan_id).document
    assert document["status"] == "optimal", document["reasons"]
    assert "proven" in page.words
    assert "✕ Fails" not in page.words
    assert "Router: fed through" in page.words
    shop = browser.open(f"/plans/{plan_id}/buy").words
    sums = re.findall(r", all ([\d ]+)\.(\d\d)", shop)
    cents = sum(int(whole.replace(" ", "")) * 100 + int(rest) for whole, rest in sums)
    assert cents == document["total_cents"]
    assert "Short-circuit current at the panel 20 000 A" in page.words  # assumed, and said so
    assert "no recharge" in page.words


def test_no_fuse_able_to_break_the_fault_is_said_with_both_figures(browser, work_out):
    plan_id = a_van(browser, fuse_style="blade-regular").path.rsplit("/", 1)[1]
    assert work_out()
    page = browser.open(f"/plans/{plan_id}")
    assert plans.get_plan(plan_id).document["status"] == "infeasible"
    assert "20 000 A" in page.words
    assert "1 000 A" in page.words  # blade fuses break 1 kA at most: ISO 8820, memory
    assert f"/jobs/{plans.get_plan(plan_id).job_id}/battery" in {href for href, _ in page.reader.links}
