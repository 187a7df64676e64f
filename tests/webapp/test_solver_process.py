"""The solver process: whatever becomes of the child, the plan ends with an answer or a sentence."""

from __future__ import annotations

import time

import pytest
from sqlalchemy.exc import OperationalError

from tests.webapp.solver_children import SLEEPS, answers, program
from webapp.repositories.rows import PlanTask
from webapp.services import jobs, plans
from webapp.solver import process
from webapp.solver.process import Ended
from webapp.solver.runner import Runner
from webapp.solver.verdict import BROKE, KILLED, NO_MEMORY, NOT_STARTED, NOT_VERIFIED, OVERRAN, Unusable, plan_document

REFUSES = "say('loads/0/place: there is no place called shelf'); say('bus: above 60 V'); sys.exit(2)"
BREAKS = "say('This is our fault (KeyError).'); sys.exit(1)"
KILLS_ITSELF = "os.kill(os.getpid(), signal.SIGKILL)"
WRITES_HALF = "open(out, 'w').write('{\"format\": \"plan/1\", '); sys.exit(0)"
WRITES_NOTHING = "sys.exit(0)"


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
    assert (ended.state, ended.message) == ("failed", NOT_STARTED)


def test_an_answer_waits_until_there_is_room_for_it(run, plan, monkeypatch, caplog):
    monkeypatch.setattr("webapp.solver.runner.LOOK_EVERY_S", 0.01)
    store, refusals = plans.finish_plan, iter((True, True))

    def finish_plan(*what):
        if next(refusals, False):
            raise OperationalError("INSERT", {}, Exception("database or disk is full"))
        store(*what)

    monkeypatch.setattr(plans, "finish_plan", finish_plan)
    ended = run(answers(plan))
    assert (ended.state, ended.document) == ("done", plan)
    assert caplog.text.count("it is tried again") == 2


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
