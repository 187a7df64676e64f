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


def test_the_catalogues_used_last_are_not_read_again(monkeypatch):
    monkeypatch.setattr(catalogue, "REMEMBERED", 2)
    document, read, at = catalogue.current().document, [], catalogue.at
    revisions = [catalogue.current().revision]
    for _ in range(2):
        document = with_other_prices(document)
        revisions.append(catalogue.replace(document).revision)
    monkeypatch.setattr(catalogue, "at", lambda revision: read.append(revision) or at(revision))
    for revision in (*revisions, *revisions[1:]):
        catalogue.value_of(revision)
    assert read == revisions


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


def test_what_a_stopped_server_worked_on_says_so_and_what_waited_goes_on_waiting(job):
    running, waiting = plans.start_plan(jobs.start_job(job).id), plans.start_plan(jobs.start_job(job).id)
    plans.claim_plan()
    assert plans.end_interrupted_plans() == 1
    ended = plans.get_plan(running)
    assert (ended.state, ended.message) == ("failed", plans.INTERRUPTED)
    assert plans.get_plan(waiting).state == "queued"


def ask(job, who, times=1):
    """Plans of so many jobs, all asked for by one."""
    return [plans.start_plan(jobs.start_job(job).id, asked_by=who) for _ in range(times)]


def claimed(times=1, most_each=9):
    return [task and task.plan_id for task in (plans.claim_plan(most_each) for _ in range(times))]


def test_ten_plans_of_one_do_not_keep_another_waiting(job):
    ten = ask(job, "ada", times=10)
    (other,) = ask(job, "ben")
    assert claimed(3) == [ten[0], other, ten[1]]


def test_those_who_ask_take_turns(job, plan):
    ada, ben, cyd = ask(job, "ada", 2), ask(job, "ben", 2), ask(job, "cyd", 2)
    order = []
    for _ in range(6):  # one at a time
        (plan_id,) = claimed()
        order.append(plan_id)
        plans.finish_plan(plan_id, plan, "s")
    assert order == [ada[0], ben[0], cyd[0], ada[1], ben[1], cyd[1]]


def test_whoever_was_served_longest_ago_is_next(job, plan):
    for who in ("ben", "ada"):
        plan_id = ask(job, who)[0]
        claimed()
        plans.finish_plan(plan_id, plan, "s")
    (ada,), (ben,) = ask(job, "ada"), ask(job, "ben")
    assert claimed(2) == [ben, ada]


def test_one_alone_leaves_room_for_the_next(job):
    first, second = ask(job, "ada", times=2)
    assert claimed(2, most_each=1) == [first, None]
    assert plans.get_plan(second).state == "queued"
    (other,) = ask(job, "ben")
    assert claimed(2, most_each=1) == [other, None]


def test_a_plan_that_waits_knows_how_many_come_first(job):
    ada, (ben,) = ask(job, "ada", times=3), ask(job, "ben")
    assert [plans.get_plan(each).ahead for each in (*ada, ben)] == [0, 2, 3, 1]
    assert claimed() == ada[:1]
    assert [plans.get_plan(each).ahead for each in (*ada, ben)] == [None, 1, 2, 0]


def test_one_alone_cannot_fill_the_queue(job, monkeypatch):
    monkeypatch.setattr(plans, "MOST_QUEUED_EACH", 2)
    ask(job, "ada", times=2)
    with pytest.raises(Busy, match="2 of your plans"):
        ask(job, "ada")
    assert ask(job, "ben")


def test_a_plan_that_waits_is_cancelled_at_once_and_never_begins(job_id):
    plan_id = plans.start_plan(job_id)
    ended = plans.cancel_plan(plan_id)
    assert (ended.state, ended.message, ended.document) == ("cancelled", plans.NEVER_BEGUN, None)
    assert claimed() == [None]


def test_a_running_plan_is_asked_to_end_once(job_id):
    plan_id = plans.start_plan(job_id)
    claimed()
    first = plans.cancel_plan(plan_id)
    assert (first.state, plans.plans_to_cancel()) == ("running", [plan_id])
    assert plans.cancel_plan(plan_id) == first
    plans.end_cancelled_plan(plan_id, "Nothing found yet.")
    ended = plans.get_plan(plan_id)
    assert (ended.state, ended.message) == ("cancelled", "Nothing found yet.")
    assert (plans.cancel_plan(plan_id), plans.plans_to_cancel()) == (ended, [])


def test_an_answer_stands_although_somebody_cancels_it_later(job_id, plan):
    plan_id = plans.start_plan(job_id)
    claimed()
    plans.finish_plan(plan_id, plan, "s")
    ended = plans.get_plan(plan_id)
    assert plans.cancel_plan(plan_id) == ended
    plans.end_cancelled_plan(plan_id, "Too late.")
    assert plans.get_plan(plan_id) == ended


def test_a_cancelled_search_keeps_the_plan_it_had(job_id, plan):
    plan_id = plans.start_plan(job_id)
    claimed()
    plans.cancel_plan(plan_id)
    plans.finish_plan(plan_id, {**plan, "status": "feasible"}, "s")
    ended = plans.get_plan(plan_id)
    assert (ended.state, ended.status, ended.total_cents) == ("done", "feasible", plan["total_cents"])
    assert ended.cancel_asked_at is not None


def test_a_new_wish_does_not_get_the_plan_that_is_being_cancelled(job_id):
    plan_id = plans.start_plan(job_id)
    claimed()
    plans.cancel_plan(plan_id)
    assert plans.start_plan(job_id) != plan_id


def test_nobody_cancels_what_is_not_there():
    with pytest.raises(NotFound):
        plans.cancel_plan("nobody")


def test_the_same_plan_again_is_of_the_same_job_catalogue_and_limit(job_id, job):
    first = plans.start_plan(job_id, time_limit_s=7)
    before = catalogue.current()
    claimed()
    plans.fail_plan(first, "Killed.")
    jobs.save_job(job_id, 1, {**job, "title": "Changed since"})
    catalogue.replace(with_other_prices(before.document))
    again = plans.get_plan(plans.plan_again(first))
    assert (again.job_document, again.catalogue_revision, again.time_limit_s) == (job, before.revision, 7)
    assert again.id != first
    assert plans.get_plan(plans.plan_again(again.id, 90)).id == again.id  # under way: not twice


def test_a_plan_of_a_deleted_job_is_not_made_again(job_id):
    plan_id = plans.start_plan(job_id)
    plans.cancel_plan(plan_id)
    jobs.delete_job(job_id)
    with pytest.raises(NotFound):
        plans.plan_again(plan_id)


@pytest.mark.parametrize("limit_s", [0, -1, 0.5, 600.1, float("nan"), float("inf"), True, "20", None])
def test_a_time_limit_is_a_number_of_seconds_from_1_to_600(job_id, limit_s):
    with pytest.raises(FaultyDocument, match="from 1 to 600") as trouble:
        plans.start_plan(job_id, limit_s)
    assert [fault.pointer for fault in trouble.value.faults] == ["time_limit_s"]
    assert plans.plans_of(job_id) == []
    assert plans.get_plan(plans.start_plan(job_id, 1)).time_limit_s == 1


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


# -- explained ----------------------------------------------------------------------------------------------------


@pytest.fixture
def finished(job_id, plan):
    plan_id = plans.start_plan(job_id)
    plans.claim_plan()
    plans.finish_plan(plan_id, plan, "solver 1")
    return plan_id


def test_an_explanation_is_a_plan_of_its_own_with_the_answer_to_explain(finished, job_id, plan):
    explained = plans.explain_plan(finished)
    assert explained != finished
    assert plans.explain_plan(finished) == explained
    assert [each.id for each in plans.plans_of(job_id)] == [finished]  # until it is done
    task = plans.claim_plan()
    assert (task.plan_id, task.finished) == (explained, plan)
    plans.finish_plan(explained, {**plan, "alternatives": []}, "solver 1")
    assert [each.id for each in plans.plans_of(job_id)] == [explained, finished]
    assert [each.plan.id for each in jobs.list_jobs() if each.plan] == [explained]
    assert plans.explain_plan(finished) == plans.explain_plan(explained) == explained
    assert plans.get_plan(finished).document == plan


def test_an_explanation_under_way_is_no_search(finished, job_id):
    explained = plans.explain_plan(finished)
    assert plans.start_plan(job_id) not in (explained, finished)
    assert [each.plan.id for each in jobs.list_jobs() if each.plan] != [explained]


def test_an_explanation_that_broke_off_can_be_asked_for_again(finished):
    explained = plans.explain_plan(finished)
    plans.claim_plan()
    plans.fail_plan(explained, "Stopped.")
    again = plans.plan_again(explained)
    assert again not in (explained, finished)
    assert plans.get_plan(again).explains == finished


def test_what_has_no_answer_is_not_explained(job_id):
    with pytest.raises(NotFound):
        plans.explain_plan(plans.start_plan(job_id))
    with pytest.raises(NotFound):
        plans.explain_plan("no such plan")


def test_a_catalogue_is_read_once_for_all_plans_from_it(job_id, monkeypatch):
    """It takes long, and a plan can be asked for while the database is locked for others."""
    plans.start_plan(job_id)
    revision = catalogue.current().revision
    monkeypatch.setattr(schemas, "read_catalogue", lambda _document: pytest.fail("read again"))
    monkeypatch.setattr(catalogue, "at", lambda _revision: pytest.fail("fetched again"))
    plan = plans.get_plan(plans.start_plan(job_id))
    assert plan.catalogue_revision == revision
