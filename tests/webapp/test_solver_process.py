"""The solver process: whatever becomes of the child, the plan ends with an answer or a sentence."""

from __future__ import annotations

import dataclasses
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from sqlalchemy import text

from webapp.jobs import process
from webapp.jobs.process import Ended
from webapp.jobs.runner import Runner
from webapp.jobs.verdict import (
    BROKE,
    CANCELLED,
    CANCELLED_LATE,
    KILLED,
    NO_MEMORY,
    NOT_VERIFIED,
    OVERRAN,
    Unusable,
    plan_document,
)
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


@pytest.mark.parametrize(
    ("child", "said"),
    [
        (BREAKS, BROKE),
        (KILLS_ITSELF, KILLED),
        ("sys.exit(4)", NO_MEMORY),
        ("say('terminate called after throwing an instance of std::bad_alloc'); os.abort()", NO_MEMORY),
        ("os.abort()", BROKE),
        ("sys.exit(2)", BROKE),
    ],
    ids=str,
)
def test_a_child_that_dies_leaves_a_plain_sentence(run, child, said, caplog):
    ended = run(program(child))
    assert (ended.state, ended.message, ended.document) == ("failed", said, None)
    assert f"the search for plan {ended.id} ended with" in caplog.text


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


def ask(job, who):
    return plans.start_plan(jobs.start_job(job).id, asked_by=who)


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


def test_a_plan_is_taken_up_at_once_and_its_progress_shown(serving, job):
    serving(program(SLEEPS))
    plan_id = plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: plans.get_plan(plan_id).progress is not None, seconds=10)
    plan = plans.get_plan(plan_id)
    assert plan.state == "running"
    assert plan.progress == {"best_cents": 500, "bound_cents": 400, "elapsed_s": 0.1}


def test_a_killed_child_does_not_take_the_others_down(serving, job):
    runner = serving(program(SLEEPS))
    first, second = ask(job, "ada"), ask(job, "ben")
    wait_until(lambda: len(runner.children) == 2)
    os.kill(next(iter(runner.children.values())).process.pid, signal.SIGKILL)
    wait_until(lambda: "failed" in {plans.get_plan(each).state for each in (first, second)})
    assert {plans.get_plan(each).state for each in (first, second)} == {"failed", "running"}
    third = ask(job, "cyd")
    wait_until(lambda: plans.get_plan(third).state == "running")


def test_no_more_than_two_at_once(serving, job):
    runner = serving(program(SLEEPS))
    asked = [ask(job, who) for who in ("ada", "ben", "cyd")]
    wait_until(lambda: len(runner.children) == 2)
    time.sleep(0.3)
    assert sorted(plans.get_plan(each).state for each in asked) == ["queued", "running", "running"]


def test_a_server_that_stops_ends_its_children_and_says_so(app, config, job):
    runner = Runner(app, config, program=program(SLEEPS))
    with app.app_context():
        runner.start()
        plan_id = plans.start_plan(jobs.start_job(job).id)
        waiting = plans.start_plan(jobs.start_job(job).id)
        wait_until(lambda: runner.children)
        (child,) = runner.children.values()
        runner.stop()
        assert child.process.poll() is not None
        assert plans.get_plan(waiting).state == "queued"
        assert plans.get_plan(plan_id).message == plans.INTERRUPTED


def test_a_start_ends_what_a_killed_server_left(app, config, job):
    with app.app_context():
        plan_id = plans.start_plan(jobs.start_job(job).id)
        plans.claim_plan()
        runner = Runner(app, config, program=program(SLEEPS))
        runner.start()
        runner.stop()
        assert plans.get_plan(plan_id).message == plans.INTERRUPTED


def test_what_waited_when_a_server_was_killed_is_worked_out_by_the_next(app, config, job, plan):
    with app.app_context():
        plan_id = plans.start_plan(jobs.start_job(job).id)
        runner = Runner(app, config, program=answers(plan))
        assert runner.start()
        wait_until(lambda: plans.get_plan(plan_id).state == "done")
        runner.stop()


def test_a_second_server_takes_over_when_the_first_has_ended(app, config, job, plan, monkeypatch):
    monkeypatch.setattr("webapp.jobs.runner.LOOK_EVERY_S", 0.05)
    with app.app_context():
        left = plans.start_plan(jobs.start_job(job).id)
        plans.claim_plan()
        second = Runner(app, config, program=answers(plan))
        with only_one(config.data_dir / "solver.lock", wait_s=1):
            assert not second.start()
            assert plans.get_plan(left).state == "running"
        plan_id = plans.start_plan(jobs.start_job(job).id)
        wait_until(lambda: plans.get_plan(plan_id).state == "done")
        second.stop()
        assert plans.get_plan(left).message == plans.INTERRUPTED


def test_a_second_server_on_the_same_data_leaves_the_plans_alone(app, config, job, caplog):
    with app.app_context(), only_one(config.data_dir / "solver.lock", wait_s=1):
        plan_id = plans.start_plan(jobs.start_job(job).id)
        second = Runner(app, config)
        assert not second.start()
        assert plans.get_plan(plan_id).state == "queued"
        second.stop()
    assert "another server" in caplog.text


def test_the_lock_is_free_again_afterwards(tmp_path):
    path = tmp_path / "a.lock"
    with only_one(path, wait_s=0.1), pytest.raises(Taken), only_one(path, wait_s=0.1):
        pass
    with only_one(path, wait_s=0.1):
        pass


# -- cancelling ---------------------------------------------------------------------------------------------------

# A child that listens as the command line does, and one that does not.
LISTENS = """
stop = []
signal.signal(signal.SIGTERM, lambda *_: stop.append(1))
say(json.dumps({'best_cents': 700, 'bound_cents': 600, 'elapsed_s': 0.2}))
while not stop: time.sleep(0.01)
open(out, 'w').write(%r); sys.exit(%d)
"""
DEAF = """
signal.signal(signal.SIGTERM, signal.SIG_IGN)
say(json.dumps({'best_cents': 700, 'bound_cents': 600, 'elapsed_s': 0.2})); time.sleep(60)
"""


def listens(answer, code=0):
    return program(LISTENS % (json.dumps(answer), code))


def started(runner, job, *, until_progress=True):
    """A plan that is being worked out."""
    plan_id = ask(job, "ada")
    wait_until(lambda: plan_id in runner.children)
    if until_progress:
        wait_until(lambda: plans.get_plan(plan_id).progress is not None)
    return plan_id


def ended(plan_id):
    wait_until(lambda: plans.get_plan(plan_id).state != "running")
    return plans.get_plan(plan_id)


def nothing_found(*texts):
    empty = {key: [] for key in ("circuits", "feeds", "orders", "deliveries", "cuts", "checks")}
    nothing = dict.fromkeys(("total_cents", "bound_cents", "bank", "energy"))
    reasons = [{"subject": "search", "text": text, "rule": "time"} for text in texts]
    return {"format": "plan/1", "status": "unknown", "reasons": reasons, **empty, **nothing}


def test_a_cancelled_search_gives_its_best_plan_so_far(serving, job, plan):
    best = {**plan, "status": "feasible"}
    plan_id = started(serving(listens(best)), job)
    assert plans.cancel_plan(plan_id).state == "running"
    stopped = ended(plan_id)
    assert (stopped.state, stopped.status, stopped.document) == ("done", "feasible", best)


def test_cancelling_twice_does_not_hurt_the_plan(serving, job, plan):
    runner = serving(listens({**plan, "status": "feasible"}))
    plan_id = started(runner, job)
    child = runner.children[plan_id]
    for _ in range(3):
        plans.cancel_plan(plan_id)
        child.ask_to_stop()
    assert ended(plan_id).state == "done"


@pytest.mark.parametrize("texts", [("Stopped after 2 s, before a first plan was found.",), ()])
def test_cancelled_before_the_first_plan_there_is_none(serving, job, texts):
    plan_id = started(serving(listens(nothing_found(*texts), code=3)), job)
    plans.cancel_plan(plan_id)
    stopped = ended(plan_id)
    assert (stopped.state, stopped.message) == ("cancelled", texts[0] if texts else CANCELLED)
    assert stopped.document is None


def test_cancelled_before_the_child_can_listen_there_is_none(serving, job):
    runner = serving(program("time.sleep(60)"))
    plan_id = started(runner, job, until_progress=False)
    plans.cancel_plan(plan_id)
    stopped = ended(plan_id)
    assert (stopped.state, stopped.message) == ("cancelled", CANCELLED)


def test_cancelled_between_its_turn_and_its_start_it_is_stopped_too(app, config, job, monkeypatch):
    """The wish is there before the child is."""
    real_start = process._start

    def late(*arguments):
        plans.cancel_plan(plan_id)
        return real_start(*arguments)

    monkeypatch.setattr(process, "_start", late)
    runner = Runner(app, config, program=program(SLEEPS))
    with app.app_context():
        plan_id = plans.start_plan(jobs.start_job(job).id)
        runner.start()
        wait_until(lambda: plans.get_plan(plan_id).state == "cancelled")
        runner.stop()


def test_a_wish_of_another_server_on_the_same_data_is_heard(serving, app, job, plan):
    """The other server writes to the database and cannot ring our bell."""
    plan_id = started(serving(listens({**plan, "status": "feasible"})), job)
    with app.extensions["thriftloom_database"].writing() as session:
        session.execute(text("UPDATE plans SET cancel_asked_at = '2026-01-01T00:00:00+00:00'"))
    assert ended(plan_id).state == "done"


def test_a_child_that_does_not_stop_when_asked_is_ended_and_that_is_said(serving, job, monkeypatch):
    monkeypatch.setattr(process, "STOP_GRACE_S", 0.2)
    plan_id = started(serving(program(DEAF)), job)
    plans.cancel_plan(plan_id)
    stopped = ended(plan_id)
    assert (stopped.state, stopped.message) == ("cancelled", CANCELLED_LATE)


def test_a_child_with_nothing_to_lose_is_not_waited_for(serving, job, monkeypatch):
    monkeypatch.setattr(process, "EMPTY_GRACE_S", 0.2)
    plan_id = started(serving(program(DEAF.replace("700", "None"))), job)
    plans.cancel_plan(plan_id)
    stopped = ended(plan_id)
    assert (stopped.state, stopped.message) == ("cancelled", CANCELLED)


def test_a_child_killed_from_outside_while_it_stops_was_not_cancelled():
    with pytest.raises(Unusable, match="ended from outside"):
        plan_document(Ended(code=-9, document=None, said=(), cancelled=True))


def test_a_plan_proven_while_it_was_asked_to_stop_is_proven(serving, job, plan):
    plan_id = started(serving(listens(plan)), job)
    plans.cancel_plan(plan_id)
    assert ended(plan_id).status == "optimal"


def test_a_cancelled_plan_that_waits_never_begins(serving, job, plan):
    runner = serving(listens({**plan, "status": "feasible"}))
    first, second = started(runner, job), ask(job, "ada")
    assert plans.cancel_plan(second).state == "cancelled"
    plans.cancel_plan(first)
    assert ended(first).state == "done"
    time.sleep(0.2)
    assert plans.get_plan(second).message == plans.NEVER_BEGUN
    assert runner.children == {}


def test_a_second_person_begins_at_once_beside_somebody_with_ten_plans(serving, job):
    runner = serving(program(SLEEPS))
    ten = [ask(job, "ada") for _ in range(10)]
    wait_until(lambda: ten[0] in runner.children)
    other = ask(job, "ben")
    wait_until(lambda: other in runner.children, seconds=5)
    assert set(runner.children) == {ten[0], other}


# -- the real program ---------------------------------------------------------------------------------------------


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


@pytest.fixture
def case_033(app, case):
    """A small case whose catalogue is the current one."""
    from webapp.services import catalogue

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
