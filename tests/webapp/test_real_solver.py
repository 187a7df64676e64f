"""The real program, from the queue to a stored plan, within its memory and beyond."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import pytest

from seed_catalog import demo_jobs, load_catalogue
from tests.webapp.solver_children import wait_until
from webapp.services import catalogue, jobs, plans
from webapp.solver import process
from webapp.solver.runner import Runner
from webapp.solver.verdict import NO_MEMORY

ROOT = Path(__file__).parents[2]


def child_with_limit(megabytes, code):
    """Runs code in the real child program, in place of the command line."""
    stand_in = f"import sys, types; m = types.ModuleType('webapp.cli'); exec({code!r}, m.__dict__); sys.modules['webapp.cli'] = m; sys.argv = ['child', '{megabytes}', 'plan']; from webapp.solver.child import main; sys.exit(main())"  # noqa: E501
    return subprocess.run([sys.executable, "-c", stand_in], cwd=ROOT, capture_output=True, text=True, timeout=60)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux counts this memory")
def test_a_child_cannot_take_more_memory_than_it_may():
    hungry = "def main(arguments):\n    block = bytearray(400 << 20)\n    return 0"
    assert child_with_limit(1000, hungry).returncode == 0
    refused = child_with_limit(200, hungry)
    assert refused.returncode == 1
    assert "MemoryError" in refused.stderr


@pytest.fixture
def case_033(app, case):
    """A small case whose catalogue is the current one."""
    with app.app_context():
        small = case("case-033")
        catalogue.replace(case(small["catalogue"].removesuffix(".json")))
        yield small


def assert_as_expected(plan, case_033):
    """The total is the one given with the case."""
    assert (plan.state, plan.message) == ("done", None)
    assert (plan.status, plan.total_cents) == (case_033["expect"]["status"], case_033["expect"]["total_cents"])
    assert {check["state"] for check in plan.document["checks"]} <= {"holds", "tight", "not_checked"}
    assert "ortools" in plan.solver


def test_the_real_program_works_a_small_job_out(app, config, case_033):
    """From the queue through the real search to a stored plan."""
    plan_id = plans.start_plan(jobs.start_job(case_033["job"]).id, time_limit_s=60)
    assert Runner(app, config).work_next()
    assert_as_expected(plans.get_plan(plan_id), case_033)


def test_the_real_program_explains_a_finished_plan(app, config, case_033):
    plan_id = plans.start_plan(jobs.start_job(case_033["job"]).id, time_limit_s=60)
    runner = Runner(app, config)
    assert runner.work_next()
    explained = plans.explain_plan(plan_id)
    assert runner.work_next()
    plan = plans.get_plan(explained)
    assert_as_expected(plan, case_033)
    subjects = {each["subject"] for each in plan.document["alternatives"]}
    assert subjects >= {f"feed {feed['load']}" for feed in plan.document["feeds"]}
    assert plan.document["binding"]
    assert "alternatives" not in plans.get_plan(plan_id).document


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux counts this memory")
def test_the_real_program_out_of_memory_says_so_and_the_same_plan_works_with_more(app, config, case_033):
    plan_id = plans.start_plan(jobs.start_job(case_033["job"]).id, time_limit_s=60)
    runner = Runner(app, dataclasses.replace(config, solver_memory_mb=80))  # the solver's library alone takes more
    assert runner.start()
    wait_until(lambda: plans.get_plan(plan_id).state == "failed", seconds=60)
    assert plans.get_plan(plan_id).message == NO_MEMORY
    runner.stop()
    again = plans.plan_again(plan_id)
    assert Runner(app, config).work_next()
    assert_as_expected(plans.get_plan(again), case_033)


@pytest.fixture
def hard_job(app):
    """A job that is not proven for long: 24 loads, each of a demo job three times."""
    job = demo_jobs()["library-van"]
    job["loads"] = [{**load, "id": f"{load['id']}-{n}"} for n in range(3) for load in job["loads"]]
    job["bus"]["spare_ways"], job["limits"]["autonomy_h"] = 40, 4
    with app.app_context():
        catalogue.replace(load_catalogue())
        yield {name: value for name, value in job.items() if name != "assumed"}


def test_the_real_program_asked_to_stop_gives_its_best_plan_with_its_proof(app, config, hard_job, monkeypatch):
    monkeypatch.setattr(process, "STOP_GRACE_S", 300)
    runner = Runner(app, config)
    runner.start()
    plan_id = plans.start_plan(jobs.start_job(hard_job).id, time_limit_s=600)
    wait_until(lambda: (plans.get_plan(plan_id).progress or {}).get("best_cents"), seconds=120)
    plans.cancel_plan(plan_id)
    wait_until(lambda: plans.get_plan(plan_id).state != "running", seconds=240)  # long before its ten minutes are over
    runner.stop()
    plan = plans.get_plan(plan_id)
    assert (plan.state, plan.status, plan.message) == ("done", "feasible", None)
    assert plan.document["bound_cents"] < plan.total_cents
    assert plan.document["checks"]
    assert {check["state"] for check in plan.document["checks"]} <= {"holds", "tight", "not_checked"}
