"""The list of jobs: found by words, in pages, each with the next useful fact."""

from __future__ import annotations

import time

import pytest
from page_browser import plain

from webapp.services import jobs


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
