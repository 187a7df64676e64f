"""Plans: made for exact revisions, worked out in turn, never changed once they ended."""

from __future__ import annotations

import copy

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from webapp import schemas
from webapp.services import catalogue, jobs, plans
from webapp.services.errors import Busy, FaultyDocument, NotFound

pytestmark = pytest.mark.usefixtures("in_app")


@pytest.fixture
def job_id(job):
    return jobs.start_job(job).id


def with_other_prices(document):
    dearer = copy.deepcopy(document)
    for offer in dearer["offers"]:
        offer["price_cents"] += 100
    return dearer


def test_a_plan_waits_in_the_queue(job_id, job):
    plan = plans.get_plan(plans.start_plan(job_id))
    assert (plan.state, plan.job_id, plan.job_revision, plan.job_document) == ("queued", job_id, 1, job)
    assert (plan.document, plan.message, plan.progress) == (None, None, None)


def test_a_plan_can_be_made_again_after_everything_changed(job_id, job, plan):
    before = catalogue.current()
    plan_id = plans.start_plan(job_id)
    task = plans.claim_plan()
    plans.finish_plan(plan_id, plan, "solver 1")
    jobs.save_job(job_id, 1, {**job, "title": "Changed since"})
    catalogue.replace(with_other_prices(before.document))

    made = plans.get_plan(plan_id)
    assert made.job_document == task.job_document == job
    assert catalogue.at(made.catalogue_revision).document == task.catalogue_document == before.document
    assert catalogue.current().document != before.document
    assert (made.document, made.solver, made.total_cents) == (plan, "solver 1", plan["total_cents"])


def test_a_second_tap_gets_the_plan_that_is_under_way(job_id):
    first = plans.start_plan(job_id)
    assert plans.start_plan(job_id) == first
    plans.claim_plan()
    assert plans.start_plan(job_id) == first
    plans.fail_plan(first, "Stopped.")
    assert plans.start_plan(job_id) != first


def test_a_changed_job_gets_a_plan_of_its_own(job_id, job):
    first = plans.start_plan(job_id)
    jobs.save_job(job_id, 1, {**job, "title": "Changed"})
    assert plans.start_plan(job_id) != first


def test_an_unfinished_job_is_not_planned(job):
    begun = jobs.start_job({**job, "places": [], "loads": []})
    with pytest.raises(FaultyDocument) as trouble:
        plans.start_plan(begun.id)
    assert {fault.pointer for fault in trouble.value.faults} == {"places", "loads"}
    assert plans.plans_of(begun.id) == []


def test_stock_the_catalogue_does_not_know_is_a_fault(job):
    strange = jobs.start_job({**job, "owned": [{"part": "no such part", "count": 1}]})
    with pytest.raises(FaultyDocument, match="no such part"):
        plans.start_plan(strange.id)


def test_a_deleted_job_is_not_planned(job_id):
    jobs.delete_job(job_id)
    with pytest.raises(NotFound):
        plans.start_plan(job_id)


def test_first_come_first_served_but_no_job_twice_while_another_waits(job):
    first, second = jobs.start_job(job).id, jobs.start_job(job).id
    one = plans.start_plan(first)
    jobs.save_job(first, 1, {**job, "title": "Again"})
    two = plans.start_plan(first)
    three = plans.start_plan(second)
    assert [plans.claim_plan().plan_id for _ in range(3)] == [one, three, two]
    assert plans.claim_plan() is None


def test_too_many_waiting_is_said(job, monkeypatch):
    monkeypatch.setattr(plans, "MOST_QUEUED", 2)
    for _ in range(2):
        plans.start_plan(jobs.start_job(job).id)
    last = jobs.start_job(job).id
    with pytest.raises(Busy, match="Too many plans"):
        plans.start_plan(last)


def test_progress_is_of_running_plans_only(job_id, plan):
    plan_id = plans.start_plan(job_id)
    plans.note_progress(plan_id, {"best_cents": 1})
    assert plans.get_plan(plan_id).progress is None
    plans.claim_plan()
    plans.note_progress(plan_id, {"best_cents": 2})
    plans.finish_plan(plan_id, plan, "s")
    plans.note_progress(plan_id, {"best_cents": 3})
    assert plans.get_plan(plan_id).progress == {"best_cents": 2}


def test_what_ended_stays_as_it_ended(job_id, plan):
    plan_id = plans.start_plan(job_id)
    plans.claim_plan()
    plans.finish_plan(plan_id, plan, "s")
    ended = plans.get_plan(plan_id)
    plans.fail_plan(plan_id, "Too late.")
    plans.finish_plan(plan_id, {**plan, "total_cents": 1}, "s")
    assert plans.end_interrupted_plans() == 0
    assert plans.get_plan(plan_id) == ended


def test_a_plan_that_ended_cannot_be_changed_by_hand(job_id, plan, database):
    plan_id = plans.start_plan(job_id)
    plans.claim_plan()
    plans.finish_plan(plan_id, plan, "s")
    with pytest.raises(IntegrityError, match="never changes"), database.writing() as session:
        session.execute(text("UPDATE plans SET total_cents = 1"))


def test_what_a_stopped_server_left_says_so(job):
    running, waiting = plans.start_plan(jobs.start_job(job).id), plans.start_plan(jobs.start_job(job).id)
    plans.claim_plan()
    assert plans.end_interrupted_plans() == 2
    for plan_id in (running, waiting):
        plan = plans.get_plan(plan_id)
        assert (plan.state, plan.message) == ("failed", plans.INTERRUPTED)


def test_the_list_of_jobs_shows_the_newest_plan(job_id, plan):
    assert jobs.list_jobs()[0].plan is None
    first = plans.start_plan(job_id)
    plans.fail_plan(first, "Stopped.")
    second = plans.start_plan(job_id)
    plans.claim_plan()
    plans.finish_plan(second, plan, "s")
    shown = jobs.list_jobs()[0].plan
    assert (shown.id, shown.state, shown.status, shown.total_cents) == (second, "done", "optimal", plan["total_cents"])
    assert [each.id for each in plans.plans_of(job_id)] == [second, first]


def test_an_unknown_plan_is_not_found():
    with pytest.raises(NotFound):
        plans.get_plan("nobody")


@pytest.mark.parametrize("number", [1, 2, 3, 4])
def test_rows_say_what_the_document_said(case, number):
    stored = catalogue.replace(case(f"catalogue-{number}"))
    assert schemas.read_catalogue(stored.document).value.parts == tuple(
        sorted(schemas.read_catalogue(case(f"catalogue-{number}")).value.parts, key=lambda part: part.id)
    )
    given = sorted(case(f"catalogue-{number}")["offers"], key=lambda offer: offer["id"])
    assert stored.document["offers"] == given


def test_the_same_catalogue_again_is_the_same_revision(case):
    before = catalogue.current()
    shuffled = case("catalogue-3")
    for array in ("sellers", "parts", "offers"):
        shuffled[array].reverse()
    assert catalogue.replace(shuffled) == before


def test_a_faulty_catalogue_changes_nothing(case):
    before = catalogue.current()
    faulty = case("catalogue-3")
    faulty["offers"][0]["price_cents"] = -1
    with pytest.raises(FaultyDocument, match="offers/0/price_cents"):
        catalogue.replace(faulty)
    assert catalogue.current() == before


def test_an_empty_catalogue_is_stored_as_empty(database):
    stored = catalogue.replace({"format": "catalogue/1", "sellers": [], "parts": [], "offers": []})
    assert stored.document == {"format": "catalogue/1", "sellers": [], "parts": [], "offers": []}


def test_an_unknown_revision_is_not_found():
    with pytest.raises(NotFound):
        catalogue.at(99)
