"""The list of jobs: found by words, in pages, each with the next useful fact."""

from __future__ import annotations

import time

import pytest
from page_browser import plain
from sqlalchemy import event
from test_plan_pages import an_answer

from webapp import db
from webapp.services import jobs, marks, plans


def titles(page):
    return [words for href, words in page.reader.links if href.startswith("/jobs/") and href != "/jobs/new"]


@pytest.fixture
def many(a_job):
    """Stores so many jobs, number 1 first."""

    def store(number):
        return [a_job(title=f"Job number {each}") for each in range(1, number + 1)]

    return store


def test_few_jobs_stand_on_one_page_without_a_search_box(browser, many):
    many(3)
    page = browser.open("/")
    assert len(titles(page)) == 3
    assert not [at for at in page.tagged("input") if at.get("type") == "search"]


def test_many_jobs_come_in_pages_of_twenty_the_newest_first(browser, many):
    many(45)
    first = browser.open("/")
    assert "45 jobs" in first.words
    assert titles(first)[0].startswith("Job number 45")
    assert len(titles(first)) == 20
    second = browser.open("/?page=2")
    assert titles(second)[0].startswith("Job number 25")
    third = browser.open("/?page=3")
    assert len(titles(third)) == 5
    assert [words for _, words in third.reader.links if "Older" in words] == []


def test_beyond_the_last_page_is_the_last_one(browser, many):
    """As where all of it was deleted since."""
    many(21)
    page = browser.open("/?page=3")
    assert [title.split("\n")[0] for title in titles(page)] == ["Job number 1"]
    assert "No job yet" not in page.words
    assert [words for _, words in page.reader.links if "Newer" in words] == ["← Newer jobs"]


@pytest.mark.parametrize("page", ["0", "-3", "x", "99"])
def test_a_page_that_is_not_there_is_no_fault(browser, many, page):
    many(1)
    assert browser.open(f"/?page={page}").status == 200


def test_words_find_jobs_whatever_their_case_and_order(browser, many, a_job):
    many(10)
    a_job(title="Ölhafen boat")
    a_job(title="Boat at the weir")
    assert len(titles(browser.open("/?words=boat"))) == 2
    (found,) = titles(browser.open("/?words=BOAT ölHAFEN"))
    assert found.startswith("Ölhafen boat")
    page = browser.open("/?words=nothing like it")
    assert titles(page) == []
    assert "0 jobs with “nothing like it”" in page.words


def test_a_card_says_what_comes_next(browser, a_job):
    a_job(title="Empty", places=[], loads=[])
    a_job(title="Placed", loads=[])
    a_job(title="Stated")
    said = {words.split()[0]: plain(words) for words in titles(browser.open("/"))}
    assert "No place yet" in said["Empty"]
    assert "No load yet" in said["Placed"]
    assert "Ready: find the cheapest" in said["Stated"]
    assert "4 loads" in said["Stated"]


def test_two_thousand_jobs_are_listed_quickly(browser, pages_app, a_job):
    document = jobs.get_job(a_job()).document
    for number in range(2000):
        jobs.start_job(document | {"title": f"Job {number}"})
    browser.open("/")
    began = time.process_time()
    page = browser.open("/?words=1999")
    assert time.process_time() - began < 1  # 0.05 s on a quiet machine
    assert len(titles(page)) == 1
    assert len(browser.open("/").html) < 60_000


def ticks_of(page):
    return [at["name"] for at in page.tagged("input") if "data-mark" in at and at["type"] == "checkbox"]


def test_a_job_under_way_says_how_much_is_bought_and_cut(browser, planned):
    plan_id = planned(an_answer())
    marks.set_mark(plan_id, "caution/read", "", "yes")
    assert "proven" in browser.open("/").words  # nothing is bought yet
    bought, cut = (ticks_of(browser.open(f"/plans/{plan_id}/{part}")) for part in ("buy", "cut"))
    for key in (*bought[:2], cut[0]):
        marks.set_mark(plan_id, key, "", "yes")
    marks.set_mark(plan_id, bought[0], "yes", "")
    marks.set_mark(plan_id, "buy/of-another-plan", "", "yes")
    assert f"Bought 1 of {len(bought)}, cut 1 of {len(cut)}" in plain(browser.open("/").words)
    for key in (bought[0], *bought[2:], *cut[1:]):
        marks.set_mark(plan_id, key, "", "yes")
    assert f"Bought {len(bought)} of {len(bought)}, cut {len(cut)} of {len(cut)}" in plain(browser.open("/").words)
    job = jobs.get_job(plans.get_plan(plan_id).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "Later"})
    assert f"cut {len(cut)} of {len(cut)}; changed since" in plain(browser.open("/").words)


def test_the_parts_of_a_planned_job_are_one_tap_away(browser, planned, a_job):
    plan_id = planned(an_answer())
    a_job(title="Not planned")
    bought = [(href, words) for href, words in browser.open("/").reader.links if href.endswith("/buy")]
    assert [href for href, _ in bought] == [f"/plans/{plan_id}/buy"]
    assert "What to buy" in browser.open(bought[0][0]).words


def test_progress_takes_as_many_queries_for_two_jobs_as_for_ten(browser, planned):
    def asked(number):
        for _each in range(number):
            marks.set_mark(planned(an_answer()), f"buy/{an_answer()['orders'][0]['offer']}", "", "yes")
        said = []
        noted = (db.current().engine, "before_cursor_execute", lambda *each: said.append(each[2]))
        event.listen(*noted)
        assert browser.open("/").words.count("Bought 1 of") >= number
        event.remove(*noted)
        return len(said)

    assert asked(2) == asked(8) > 1


def test_a_job_that_came_along_is_called_an_example_everywhere_and_its_copy_is_not(browser, a_job):
    jobs.add_demo_job("van", jobs.get_job(a_job(title="Own van")).document | {"title": "Van of nobody"})
    (shown, own) = titles(browser.open("/"))
    assert "Example" in shown
    assert "Example" not in own
    example = next(each.id for each in jobs.list_jobs() if each.title == "Van of nobody")
    for step in ("battery", "places", "loads", "limits", "plan"):
        assert "Example: Van of nobody" in browser.open(f"/jobs/{example}/{step}").words
    twin = jobs.duplicate_job(example)
    assert "Example" not in browser.open(f"/jobs/{twin.id}/loads").words
    assert sum("Example" in words for words in titles(browser.open("/"))) == 1


def test_a_copy_leads_to_its_name(browser, a_job):
    job_id = a_job(title="Own van")
    browser.open("/")
    page = browser.send("Duplicate")
    assert "Duplicated: Own van (copy)." in page.words
    (way,) = [href for href, words in page.reader.links if words == "Give it a name of its own"]
    twin = next(each.id for each in jobs.list_jobs() if each.id != job_id)
    assert way == f"/jobs/{twin}/battery#f-title"
    (field,) = [at for at in browser.open(way).tagged("input") if at.get("id") == "f-title"]
    assert field["value"] == "Own van (copy)"
