"""The cut list ticked off, one cut at a time, and what has to be read before: all without JavaScript."""

from __future__ import annotations

import pytest
from test_plan_pages import an_answer

from webapp.services import marks, plans

READ = "caution/read"


@pytest.fixture
def unread(planned):
    return planned(an_answer())


@pytest.fixture
def plan_id(unread):
    marks.set_mark(unread, READ, "", "yes")
    return unread


def pieces():
    return sum(len(cut["pieces"]) for cut in an_answer()["cuts"])


def is_behind(page):
    """Whether the page is there and closed."""
    return [("hidden" in at) for at in page.tagged("div") if at.get("id") == "after-reading"] == [True]


@pytest.mark.parametrize("part", ["cut", "cut/line", "labels", "docket"])
def test_what_is_critical_is_read_before(browser, unread, part):
    page = browser.open(f"/plans/{unread}/{part}")
    assert is_behind(page)
    assert page.words.index("No fuse, no connection") < page.words.index("I have read this")
    for said in ("thousands of amps", "can burst", "lock off shore"):
        assert said in page.words[: page.words.index("I have read this")]
    page = browser.send("Open the page", **{READ: "yes"})
    assert page.path == f"/plans/{unread}/{part}"
    assert "I have read this" not in page.words
    assert not is_behind(page)


@pytest.mark.parametrize("part", ["", "/buy", "/wiring", "/build", "/record"])
def test_the_other_pages_are_open_from_the_start(browser, unread, part):
    assert "I have read this" not in browser.open(f"/plans/{unread}{part}").words


@pytest.mark.parametrize("part", ["cut", "labels", "wiring", "record"])
def test_cautions_above_work_are_short_once_they_were_read_and_still_whole_in_the_page(browser, unread, part):
    """Whole until then, and on paper always."""
    page = browser.open(f"/plans/{unread}/{part}")
    assert ["open" in at for at in page.tagged("details") if at.get("class") == "brief"] == [True]
    marks.set_mark(unread, READ, "", "yes")
    page = browser.open(f"/plans/{unread}/{part}")
    assert ["open" in at for at in page.tagged("details") if at.get("class") == "brief"] == [False]
    whole = {"cut": "no joint hidden in a wall", "record": "The last link is the fuse."}
    assert page.words.count(whole.get(part, "when every joint is made, every plug measured")) == 1


def test_without_the_tick_it_stays_closed(browser, unread):
    browser.open(f"/plans/{unread}/cut")
    assert is_behind(browser.send("Open the page", **{READ: None}))


def test_it_is_read_once_for_a_job_not_for_every_plan(browser, plan_id, planned):
    job_id = plans.get_plan(plan_id).job_id
    again = plans.start_plan(job_id)
    assert plans.claim_plan() is not None
    plans.finish_plan(again, an_answer(), "stub")
    assert "I have read this" not in browser.open(f"/plans/{again}/cut").words
    assert "I have read this" in browser.open(f"/plans/{planned(an_answer(), title='Other')}/cut").words


def test_every_piece_is_one_tick_with_its_length_and_marks(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/cut")
    keys = [at["name"] for at in page.tagged("input") if "data-mark" in at]
    assert len(keys) == len(set(keys)) == pieces()
    assert all(key.startswith("cut/") and key.split("/")[1].isdigit() for key in keys)
    assert "A run to P2 mark both ends C4 8.67 m" in page.words  # case 62: run_m 8.37 + slack 0.3
    assert "lead of L3 mark both ends L3 3.55 m" in page.words  # lead 3.25 + slack 0.3
    assert "Left over 1.33 m" in page.words  # 10 m spool


def test_ticks_are_kept_and_counted(browser, plan_id):
    browser.open(f"/plans/{plan_id}/cut")
    page = browser.send("Save", **{"cut/1/A": "yes"})
    assert marks.marks_of(plan_id)["cut/1/A"] == "yes"
    assert f"1 of {pieces()} done" in page.words


def shown(page):
    (number,) = [at["data-line"] for at in page.tagged("section") if "data-line" in at and "hidden" not in at]
    return int(number)


def test_one_cut_is_shown_at_a_time_and_links_turn_it(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/cut/line?at=2")
    assert shown(page) == 2
    assert f"2 of {pieces()}" in page.words
    linked = {href for href, _ in page.reader.links}
    assert {f"/plans/{plan_id}/cut/line?at={number}" for number in range(1, pieces() + 1)} <= linked


def test_what_is_cut_is_saved_and_the_next_one_comes(browser, plan_id):
    browser.open(f"/plans/{plan_id}/cut/line?at=1")
    page = browser.send("Save, and show the next", **{"cut/1/A": "yes"})
    assert shown(page) == 2
    assert marks.marks_of(plan_id)["cut/1/A"] == "yes"


def test_it_opens_at_the_first_cut_not_made_and_never_beyond_the_last(browser, plan_id):
    marks.set_mark(plan_id, "cut/1/A", "", "yes")
    assert shown(browser.open(f"/plans/{plan_id}/cut/line")) == 2
    for asked, expected in (("0", 1), ("99999", pieces()), ("²", 2), ("x", 2), ("-1", 2)):
        assert shown(browser.open(f"/plans/{plan_id}/cut/line?at={asked}")) == expected


def test_without_any_cable_there_is_nothing_to_turn(browser, planned):
    bare = planned(an_answer(cuts=[]))
    for part in ("cut", "cut/line"):
        assert "No cable to cut." in browser.open(f"/plans/{bare}/{part}").words
