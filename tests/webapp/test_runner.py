"""Solvers at work: a few at a time, in turn, through the end of a server and the next one's start."""

from __future__ import annotations

import dataclasses
import os
import signal
import time

import pytest
from sqlalchemy.exc import OperationalError

from tests.webapp.solver_children import SLEEPS, answers, ask, program, wait_until
from webapp.locks import Taken, only_one
from webapp.services import jobs, plans
from webapp.solver import process
from webapp.solver.runner import Runner
from webapp.solver.verdict import BROKE


def test_a_plan_is_taken_up_at_once_and_its_progress_shown(serving, job):
    serving(program(SLEEPS))
    plan_id = plans.start_plan(jobs.start_job(job).id)
    wait_until(lambda: plans.get_plan(plan_id).progress is not None)
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


def test_what_nobody_thought_of_ends_one_search_and_no_more(app, config, job, plan, monkeypatch, caplog):
    """Such as a system that gives out no more threads."""
    work, troubles = process.run, iter((RuntimeError("can't start new thread"),))

    def run(*given, **more):
        for trouble in troubles:
            raise trouble
        return work(*given, **more)

    monkeypatch.setattr(process, "run", run)
    monkeypatch.setattr("webapp.solver.runner.LOOK_EVERY_S", 600)
    runner = Runner(app, dataclasses.replace(config, solver_slots=1), program=answers(plan))
    with app.app_context():
        first, second = ask(job, "ada"), ask(job, "ben")
        runner.start()
        wait_until(lambda: plans.get_plan(second).state == "done")
        runner.stop()
        assert (plans.get_plan(first).state, plans.get_plan(first).message) == ("failed", BROKE)
    assert "can't start new thread" in caplog.text


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
    monkeypatch.setattr("webapp.solver.runner.LOOK_EVERY_S", 0.05)
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


def test_what_could_not_be_taken_over_at_once_is_tried_again(app, config, job, plan, monkeypatch, caplog):
    monkeypatch.setattr("webapp.solver.runner.LOOK_EVERY_S", 0.05)
    end, refusals = plans.end_interrupted_plans, iter((True,))

    def end_interrupted_plans():
        if next(refusals, False):
            raise OperationalError("UPDATE", {}, Exception("database is locked"))
        return end()

    monkeypatch.setattr(plans, "end_interrupted_plans", end_interrupted_plans)
    with app.app_context():
        second = Runner(app, config, program=answers(plan))
        with only_one(config.data_dir / "solver.lock", wait_s=1):
            assert not second.start()
        plan_id = plans.start_plan(jobs.start_job(job).id)
        wait_until(lambda: plans.get_plan(plan_id).state == "done")
        second.stop()
    assert "could not be taken over" in caplog.text


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


def test_a_second_person_begins_at_once_beside_somebody_with_ten_plans(serving, job, monkeypatch):
    monkeypatch.setattr("webapp.solver.runner.LOOK_EVERY_S", 600)  # whoever asks rings
    runner = serving(program(SLEEPS))
    ten = [ask(job, "ada") for _ in range(10)]
    wait_until(lambda: ten[0] in runner.children)
    other = ask(job, "ben")
    wait_until(lambda: other in runner.children)
    assert set(runner.children) == {ten[0], other}
