"""Ticks and measured values: three-way, with history."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from tests.webapp.marks_kept import changes_of
from webapp.services import jobs, marks, plans
from webapp.services.errors import FaultyDocument, NotFound

END_V = "measured/C1/end_v"


@pytest.fixture
def plan_id(in_app, job):
    return plans.start_plan(jobs.start_job(job).id)


def test_a_plan_starts_without_marks(plan_id):
    assert marks.marks_of(plan_id) == {}
    assert marks.last_change(plan_id) == 0


def test_a_mark_is_kept_and_taken_off_again(plan_id, database):
    assert marks.set_mark(plan_id, "buy/OF-1", "", "yes") is None
    assert marks.marks_of(plan_id) == {"buy/OF-1": "yes"}
    assert marks.set_mark(plan_id, "buy/OF-1", "yes", "") is None
    assert marks.marks_of(plan_id) == {}
    assert [each.value for each in changes_of(database, plan_id, "buy/OF-1")] == ["yes", ""]


def test_what_another_device_measured_is_not_overwritten(plan_id):
    marks.set_mark(plan_id, END_V, "", "12.1", device="Phone")
    theirs = marks.set_mark(plan_id, END_V, "", "11.9", device="Tablet")
    assert (theirs.value, theirs.device) == ("12.1", "Phone")
    assert marks.marks_of(plan_id) == {END_V: "12.1"}
    assert marks.set_mark(plan_id, END_V, theirs.value, "11.9", device="Tablet") is None
    assert marks.marks_of(plan_id) == {END_V: "11.9"}


def test_the_same_value_twice_is_one_change(plan_id, database):
    marks.set_mark(plan_id, END_V, "", "12.1", device="Phone")
    assert marks.set_mark(plan_id, END_V, "", "12.1", device="Tablet") is None
    assert [each.device for each in changes_of(database, plan_id, END_V)] == ["Phone"]


def test_a_decimal_comma_is_kept_as_a_point(plan_id):
    marks.set_mark(plan_id, END_V, "", " 12,1 ")
    assert marks.set_mark(plan_id, END_V, "12,1", "12,2") is None
    assert marks.marks_of(plan_id) == {END_V: "12.2"}


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("", "yes"),
        ("buy", "yes"),
        ("buy/", "yes"),
        ("steal/OF-1", "yes"),
        ("buy/\x00", "yes"),
        ("buy/" + "x" * 400, "yes"),
        ("buy/OF-1", "no"),
        (END_V, "1" * 81),
        (END_V, "12\x00"),
        ("note/C1", "\ud800"),
        ("note/C1", "x" * 1001),
    ],
)
def test_what_is_no_mark_is_refused(plan_id, key, value):
    with pytest.raises(FaultyDocument):
        marks.set_mark(plan_id, key, "", value)
    assert marks.marks_of(plan_id) == {}


def test_one_faulty_mark_of_a_form_stores_none(plan_id):
    with pytest.raises(FaultyDocument):
        marks.set_marks(plan_id, {"buy/OF-1": ("", "yes"), "buy/OF-2": ("", "perhaps")})
    assert marks.marks_of(plan_id) == {}


def test_marks_of_no_plan(in_app):
    with pytest.raises(NotFound):
        marks.set_mark("no-such-plan", END_V, "", "12")


def test_a_change_is_never_changed(plan_id, database):
    marks.set_mark(plan_id, END_V, "", "12.1")
    with pytest.raises(IntegrityError, match="never change"), database.writing() as session:
        session.execute(text("UPDATE marks SET value = '9'"))


def test_no_plan_takes_changes_without_end(plan_id, monkeypatch):
    monkeypatch.setattr(marks, "MOST_CHANGES", 2)
    marks.set_mark(plan_id, END_V, "", "1")
    marks.set_mark(plan_id, END_V, "1", "2")
    with pytest.raises(FaultyDocument, match="too often"):
        marks.set_mark(plan_id, END_V, "2", "3")


def test_a_plan_and_its_explanation_have_the_same_marks(plan_id, plan):
    plans.claim_plan()
    plans.finish_plan(plan_id, plan, "solver 1")
    marks.set_mark(plan_id, "buy/OF-1", "", "yes")
    explained = plans.explain_plan(plan_id)
    plans.claim_plan()
    plans.finish_plan(explained, {**plan, "alternatives": []}, "solver 1")
    marks.set_mark(explained, END_V, "", "12.1")
    assert marks.marks_of(explained) == marks.marks_of(plan_id) == {"buy/OF-1": "yes", END_V: "12.1"}
    assert marks.last_change(explained) == marks.last_change(plan_id) > 0
    assert marks.ticked([explained])[explained].keys == {"buy/OF-1"}
