"""Cancelling: the best plan so far is kept, and where there is none the plan says so."""

from __future__ import annotations

import json
import time

import pytest
from sqlalchemy import text

from tests.webapp.solver_children import SLEEPS, ask, program, wait_until
from webapp.services import jobs, plans
from webapp.services.jobs import DELETED
from webapp.solver import process
from webapp.solver.process import Ended
from webapp.solver.runner import Runner
from webapp.solver.verdict import CANCELLED, CANCELLED_LATE, Unusable, plan_document

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
say(json.dumps({'best_cents': 700, 'bound_cents': 600, 'elapsed_s': 0.2})); time.sleep(600)
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
    runner = serving(program("time.sleep(600)"))
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


def test_the_searches_of_a_deleted_job_end_and_keep_what_they_have(serving, job, plan):
    best = {**plan, "status": "feasible"}
    plan_id = started(serving(listens(best)), job)
    waiting = plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: plans.get_plan(waiting).state == "running")
    jobs.delete_job(plans.job_of(plan_id))
    stopped = ended(plan_id)
    assert (stopped.state, stopped.status, stopped.document) == ("done", "feasible", best)
    assert plans.get_plan(waiting).cancel_asked_at is None  # another job's


def test_a_search_that_waits_never_begins_for_a_deleted_job(in_app, job):
    job_id = jobs.start_job(job).id
    plan_id = plans.start_plan(job_id)
    jobs.delete_job(job_id)
    assert plans.claim_plan() is None
    assert (plans.get_plan(plan_id).state, plans.get_plan(plan_id).message) == ("cancelled", DELETED)
    jobs.restore_job(job_id)
    assert plans.start_plan(job_id) != plan_id
