"""The solver process: whatever becomes of the child, the plan ends with an answer or a sentence."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from webapp.jobs import process
from webapp.jobs.process import Ended
from webapp.jobs.runner import Runner
from webapp.jobs.verdict import KILLED, NOT_VERIFIED, OVERRAN, Unusable, plan_document
from webapp.locks import Taken, only_one
from webapp.repositories.rows import PlanTask
from webapp.services import jobs, plans

ROOT = Path(__file__).parents[2]

# Children that behave as the command line may. argv: plan JOB CATALOGUE --out PLAN --time-limit S --progress json
PREAMBLE = (
    "import json, os, signal, sys, time; out = sys.argv[5]; say = lambda x: print(x, file=sys.stderr, flush=True)\n"
)
REFUSES = "say('loads/0/place: there is no place called shelf'); say('bus: above 60 V'); sys.exit(2)"
BREAKS = "say('This is our fault (KeyError).'); sys.exit(1)"
KILLS_ITSELF = "os.kill(os.getpid(), signal.SIGKILL)"
WRITES_HALF = "open(out, 'w').write('{\"format\": \"plan/1\", '); sys.exit(0)"
WRITES_NOTHING = "sys.exit(0)"
SLEEPS = "say(json.dumps({'best_cents': 500, 'bound_cents': 400, 'elapsed_s': 0.1})); time.sleep(60)"


def program(code):
    return (sys.executable, "-c", PREAMBLE + code)


def answers(plan, code=0):
    return program(
        f"say(json.dumps({{'best_cents': 700, 'bound_cents': 600, 'elapsed_s': 0.2}})); "
        f"open(out, 'w').write({json.dumps(plan)!r}); sys.exit({code})"
    )


@pytest.fixture
def run(app, config, job):
    """Plans one job with a child of one's own; the plan as it ended."""

    def plan_with(child):
        with app.app_context():
            plan_id = plans.start_plan(jobs.start_job(job).id)
            assert Runner(app, config, program=child).work_next()
            return plans.get_plan(plan_id)

    return plan_with


def test_an_answer_is_stored_as_it_was_written(run, plan):
    ended = run(answers(plan))
    assert (ended.state, ended.document, ended.status) == ("done", plan, "optimal")


def test_that_there_is_no_plan_is_an_answer_too(run, plan):
    empty = {key: [] for key in ("circuits", "feeds", "orders", "deliveries", "cuts", "checks")}
    nothing = dict.fromkeys(("total_cents", "bound_cents", "bank", "energy"))
    reasons = [{"subject": "bank", "text": "36 h need 1,226 Wh; the bank gives 1,122 Wh.", "rule": "autonomy"}]
    none = {"format": "plan/1", "status": "infeasible", "reasons": reasons, **empty, **nothing}
    ended = run(answers(none, code=3))
    assert (ended.state, ended.status, ended.document["reasons"]) == ("done", "infeasible", reasons)


def test_faults_are_told_as_they_were_said(run):
    ended = run(program(REFUSES))
    assert ended.state == "failed"
    assert ended.message == "loads/0/place: there is no place called shelf\nbus: above 60 V"


@pytest.mark.parametrize("child", [BREAKS, KILLS_ITSELF])
def test_a_child_that_dies_leaves_a_plain_sentence(run, child):
    ended = run(program(child))
    assert (ended.state, ended.message, ended.document) == ("failed", KILLED, None)


@pytest.mark.parametrize("child", [WRITES_HALF, WRITES_NOTHING])
def test_half_an_answer_is_none(run, child):
    assert run(program(child)).message == NOT_VERIFIED


def test_a_plan_with_a_failing_check_is_never_shown(run, plan):
    failing = {**plan, "checks": [*plan["checks"], {**plan["checks"][0], "state": "fails"}]}
    ended = run(answers(failing))
    assert (ended.state, ended.message, ended.document) == ("failed", NOT_VERIFIED, None)


def test_a_plan_without_checks_is_never_shown(run, plan):
    assert run(answers({**plan, "checks": []})).message == NOT_VERIFIED


def test_a_program_that_cannot_be_started_is_said(run):
    ended = run(("/no/such/program",))
    assert ended.state == "failed"
    assert "could not be started" in ended.message


def test_nothing_is_left_of_the_temporary_files(run, config, plan):
    run(answers(plan))
    assert list((config.data_dir / "solver").iterdir()) == []


def test_a_child_far_over_its_time_is_stopped():
    with pytest.raises(Unusable, match="far longer"):
        plan_document(Ended(code=-9, document=None, said=(), overran=True))
    assert "stopped" in OVERRAN


def test_a_child_that_ignores_its_limit_is_killed(tmp_path, monkeypatch):
    monkeypatch.setattr(process, "GRACE_S", 0.2)
    task = PlanTask(plan_id="p", job_document={}, catalogue_document={}, time_limit_s=0.1)
    began = time.monotonic()
    ended = process.run(task, program(SLEEPS), tmp_path, on_progress=lambda progress: None, on_start=lambda child: None)
    assert ended.overran
    assert time.monotonic() - began < 30


def wait_until(holds, seconds=20.0):
    deadline = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < deadline, "it did not happen"
        time.sleep(0.05)


@pytest.fixture
def serving(app, config, job):
    """A runner at work with children of one's own."""
    runners = []

    def start(child):
        runner = Runner(app, config, program=child)
        runners.append(runner)
        assert runner.start()
        return runner

    with app.app_context():
        yield start
    for runner in runners:
        runner.stop()


def test_a_plan_is_taken_up_at_once_and_its_progress_shown(serving, job):
    serving(program(SLEEPS))
    plan_id = plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: plans.get_plan(plan_id).progress is not None, seconds=10)
    plan = plans.get_plan(plan_id)
    assert plan.state == "running"
    assert plan.progress == {"best_cents": 500, "bound_cents": 400, "elapsed_s": 0.1}


def test_a_killed_child_does_not_take_the_others_down(serving, job):
    runner = serving(program(SLEEPS))
    first, second = plans.start_plan(jobs.start_job(job).id), plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: len(runner._children) == 2)
    os.kill(next(iter(runner._children)).pid, signal.SIGKILL)
    wait_until(lambda: "failed" in {plans.get_plan(each).state for each in (first, second)})
    assert {plans.get_plan(each).state for each in (first, second)} == {"failed", "running"}
    third = plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: plans.get_plan(third).state == "running")


def test_no_more_than_two_at_once(serving, job):
    runner = serving(program(SLEEPS))
    asked = [plans.start_plan(jobs.start_job(job).id) for _ in range(3)]
    wait_until(lambda: len(runner._children) == 2)
    time.sleep(0.3)
    assert sorted(plans.get_plan(each).state for each in asked) == ["queued", "running", "running"]


def test_a_server_that_stops_ends_its_children_and_says_so(app, config, job):
    runner = Runner(app, config, program=program(SLEEPS))
    with app.app_context():
        runner.start()
        plan_id = plans.start_plan(jobs.start_job(job).id)
        wait_until(lambda: runner._children)
        (child,) = runner._children
        runner.stop()
        assert child.poll() is not None
        assert plans.get_plan(plan_id).message == plans.INTERRUPTED


def test_a_start_ends_what_a_killed_server_left(app, config, job):
    with app.app_context():
        plan_id = plans.start_plan(jobs.start_job(job).id)
        plans.claim_plan()
        runner = Runner(app, config, program=program(SLEEPS))
        runner.start()
        runner.stop()
        assert plans.get_plan(plan_id).message == plans.INTERRUPTED


def test_a_second_server_on_the_same_data_leaves_the_plans_alone(app, config, job, caplog):
    with app.app_context(), only_one(config.data_dir / "solver.lock", wait_s=1):
        plan_id = plans.start_plan(jobs.start_job(job).id)
        assert not Runner(app, config).start()
        assert plans.get_plan(plan_id).state == "queued"
    assert "another server" in caplog.text


def test_the_lock_is_free_again_afterwards(tmp_path):
    path = tmp_path / "a.lock"
    with only_one(path, wait_s=0.1), pytest.raises(Taken), only_one(path, wait_s=0.1):
        pass
    with only_one(path, wait_s=0.1):
        pass


def child_with_limit(megabytes, code):
    """Runs code in the real child program, in place of the command line."""
    stand_in = f"import sys, types; m = types.ModuleType('webapp.cli'); exec({code!r}, m.__dict__); sys.modules['webapp.cli'] = m; sys.argv = ['child', '{megabytes}', 'plan']; from webapp.jobs.child import main; sys.exit(main())"  # noqa: E501
    return subprocess.run([sys.executable, "-c", stand_in], cwd=ROOT, capture_output=True, text=True, timeout=60)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux counts this memory")
def test_a_child_cannot_take_more_memory_than_it_may():
    hungry = "def main(arguments):\n    block = bytearray(400 << 20)\n    return 0"
    assert child_with_limit(1000, hungry).returncode == 0
    refused = child_with_limit(200, hungry)
    assert refused.returncode == 1
    assert "MemoryError" in refused.stderr


def test_the_real_program_works_a_small_job_out(app, config, case):
    """From the queue through the real search to a stored plan; the total is the one given with the case."""
    case_033 = case("case-033")
    with app.app_context():
        from webapp.services import catalogue

        catalogue.replace(case(case_033["catalogue"].removesuffix(".json")))
        plan_id = plans.start_plan(jobs.start_job(case_033["job"]).id, time_limit_s=60)
        assert Runner(app, config).work_next()
        plan = plans.get_plan(plan_id)
    assert (plan.state, plan.message) == ("done", None)
    assert (plan.status, plan.total_cents) == (case_033["expect"]["status"], case_033["expect"]["total_cents"])
    assert {check["state"] for check in plan.document["checks"]} <= {"holds", "tight", "not_checked"}
    assert "ortools" in plan.solver
