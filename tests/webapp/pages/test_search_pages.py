"""The page of a search: how far it is, its turn, its end by hand, and another try."""

from __future__ import annotations

import pytest
from flask import g
from page_browser import Browser
from test_plan_pages import an_answer, no_answer

from webapp import assets
from webapp.services import jobs, plans


@pytest.fixture
def running(a_job):
    """The id of a plan that is being worked out."""
    plan_id = plans.start_plan(a_job())
    assert plans.claim_plan().plan_id == plan_id
    return plan_id


def progress_of(browser, plan_id):
    return browser.client.get(f"/plans/{plan_id}/progress.json").get_json()


def test_scripts_and_no_scripts_show_the_same(browser, running):
    plans.note_progress(running, {"best_cents": 33810, "bound_cents": 31200, "elapsed_s": 3.1})
    page = browser.open(f"/plans/{running}")
    told = progress_of(browser, running)
    assert (told["under_way"], told["stop"]) == (True, "Stop with the best so far")
    for line in told["lines"]:
        assert " ".join(line.split()) in page.words
    assert "s of at most 60 s" in page.words
    (spoken,) = [at for at in page.tagged("div") if at.get("data-part") == "lines"]
    assert (spoken["role"], spoken["aria-live"]) == ("status", "polite")


def test_time_that_ticks_is_not_spoken(browser, running):
    html = browser.open(f"/plans/{running}").html
    spoken = html[html.index('role="status"') :].split("</div>")[0]
    assert "at most 60" not in spoken


def test_the_script_is_a_file_of_our_own(browser, running):
    (script,) = browser.open(f"/plans/{running}").tagged("script")
    assert script["src"] == assets.asset_url("js/main.js")


def test_a_plan_that_waits_says_how_many_come_first(browser, a_job):
    first, second = plans.start_plan(a_job()), plans.start_plan(a_job())
    assert progress_of(browser, first)["lines"] == ["Waiting for its turn.", "It is next."]
    assert "1 other search first." in browser.open(f"/plans/{second}").words


def test_a_plan_that_waits_is_cancelled_by_a_button(browser, a_job):
    plan_id = plans.start_plan(a_job())
    browser.open(f"/plans/{plan_id}")
    page = browser.send("Cancel")
    assert (page.path, plans.get_plan(plan_id).state) == (f"/plans/{plan_id}", "cancelled")
    assert "Search cancelled" in page.words
    assert "cancelled before the search began. Your job is kept" in page.words
    assert not [at for at in page.tagged("meta") if "http-equiv" in at]
    assert "Search cancelled before there was a plan" in browser.open("/").words


def test_a_running_search_is_asked_to_stop_by_a_button(browser, running):
    assert browser.open(f"/plans/{running}").form("Cancel")  # there is no plan to keep yet
    plans.note_progress(running, {"best_cents": 33810, "bound_cents": None, "elapsed_s": 3.1})
    browser.open(f"/plans/{running}")
    page = browser.send("Stop with the best so far")
    assert plans.plans_to_cancel() == [running]
    assert "Stopping: the best plan so far is put together." in page.words
    assert not [form for form in page.reader.forms if "plan" in form.action]  # nothing left to press
    told = progress_of(browser, running)
    assert (told["under_way"], told["stop"]) == (True, "")


def test_a_search_stopped_by_hand_shows_its_plan_and_says_so(browser, running):
    plans.cancel_plan(running)
    plans.finish_plan(running, an_answer(status="feasible", bound_cents=60000), "s")
    assert progress_of(browser, running) == {"state": "done", "under_way": False}
    words = browser.open(f"/plans/{running}").words
    assert "626.34" in words
    assert "The search was stopped early; this is the best it had found." in words


def test_a_search_out_of_time_says_that_instead(browser, planned):
    words = browser.open(f"/plans/{planned(an_answer(status='feasible', bound_cents=60000))}").words
    assert "ended after its 60 s" in words
    assert "as asked" not in words


@pytest.mark.parametrize("cancelled", [True, False])
def test_a_proven_plan_speaks_of_no_end(browser, running, cancelled):
    if cancelled:
        plans.cancel_plan(running)
    plans.finish_plan(running, an_answer(), "s")
    words = browser.open(f"/plans/{running}").words
    assert "best it had found" not in words
    assert "Search again" not in words


def test_cancelled_before_the_first_plan_it_says_so_and_offers_another_try(browser, running):
    plans.cancel_plan(running)
    plans.end_cancelled_plan(running, "Stopped after 2 s, before a first plan was found")
    page = browser.open(f"/plans/{running}")
    assert "Search cancelled Stopped after 2 s, before a first plan was found." in page.words
    browser.send("Try again")
    assert again_of(browser.page).state == "queued"


def again_of(page):
    assert page.path.startswith("/plans/")
    return plans.get_plan(page.path.rsplit("/", 1)[1])


def test_trying_again_starts_the_same_plan_for_as_long_as_one_likes(browser, running):
    plans.fail_plan(running, "Killed.")
    browser.open(f"/plans/{running}")
    browser.send("Try again", time_limit_s="2 min")
    first, again = plans.get_plan(running), again_of(browser.page)
    assert again.id != first.id
    assert again.time_limit_s == 120
    assert (again.job_revision, again.catalogue_revision) == (first.job_revision, first.catalogue_revision)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("0", "from 1 to 600"),
        ("-5", "from 1 to 600"),
        ("0.5", "from 1 to 600"),
        ("1 h", "not a number of seconds"),
        ("11 min", "from 1 to 600"),
        ("soon", "not a number of seconds"),
        ("nan", "not a number of seconds"),
        ("", "Nothing is entered here yet"),
        ("9" * 50, "Enter a number of seconds"),
    ],
)
def test_a_time_limit_that_is_none_is_refused_and_kept_as_typed(browser, running, typed, said):
    plans.fail_plan(running, "Killed.")
    browser.open(f"/plans/{running}")
    page = browser.send("Try again", time_limit_s=typed)
    assert page.status == 422
    assert said in page.words
    (box,) = [at for at in page.tagged("input") if at.get("name") == "time_limit_s"]
    assert (box["value"], box["aria-invalid"]) == (typed, "true")
    assert len(plans.plans_of(plans.get_plan(running).job_id)) == 1
    browser.send("Search again", time_limit_s="30")
    assert again_of(browser.page).time_limit_s == 30


def test_too_many_waiting_is_said_on_the_page(browser, running, monkeypatch):
    plans.fail_plan(running, "Killed.")
    monkeypatch.setattr(plans, "MOST_QUEUED", 0)
    browser.open(f"/plans/{running}")
    page = browser.send("Try again")
    assert page.status == 429
    assert browser.headers["Retry-After"] == "30"
    assert "Too many plans are waiting" in page.words


def test_a_failed_plan_of_an_older_job_offers_the_job_as_it_is_now(browser, running):
    plans.fail_plan(running, "Killed.")
    job = jobs.get_job(plans.get_plan(running).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "Later"})
    assert "changed since this search began" in browser.open(f"/plans/{running}").words
    browser.send("Find cheapest again")
    assert again_of(browser.page).job_revision == job.revision + 1


@pytest.mark.parametrize("has_ended", [True, False])
def test_a_search_of_an_older_job_that_found_nothing_leads_to_the_newer_one(browser, running, has_ended):
    if has_ended:
        plans.finish_plan(running, no_answer(), "s")
    else:
        plans.fail_plan(running, "Killed.")
    job = jobs.get_job(plans.get_plan(running).job_id)
    jobs.save_job(job.id, job.revision, job.document | {"title": "Later"})
    newer = plans.start_plan(job.id)
    page = browser.open(f"/plans/{running}")
    assert "Find cheapest again" not in page.words
    href = {words: href for href, words in page.reader.links}["Open the newer one"]
    assert browser.open(href).path == f"/plans/{newer}"


@pytest.mark.parametrize(("limit_s", "suggested_s"), [(60, 300), (200, 600)])  # five times, up to the most
@pytest.mark.parametrize("answer", [no_answer(status="unknown"), an_answer(status="feasible", bound_cents=60000)])
def test_where_the_time_was_too_short_more_of_it_is_suggested(browser, a_job, answer, limit_s, suggested_s):
    plan_id = plans.start_plan(a_job(), limit_s)
    plans.claim_plan()
    plans.finish_plan(plan_id, answer, "s")
    browser.open(f"/plans/{plan_id}")
    browser.send("Search again")
    assert again_of(browser.page).time_limit_s == suggested_s


def test_ten_plans_of_one_browser_do_not_keep_another_waiting(pages_app, browser, a_job):
    for _ in range(10):
        browser.open(f"/jobs/{a_job()}/limits")
        browser.send("Find cheapest")
    g.pop("csrf_token")  # the fixture keeps one app context for all: a second browser gets a token of its own
    other = Browser(pages_app.test_client())
    other.open(f"/jobs/{a_job()}/limits")
    page = other.send("Find cheapest")
    assert "1 other search first." in page.words
    assert again_of(page).ahead == 1


@pytest.mark.parametrize("path", ["cancel", "again"])
def test_nothing_is_stopped_or_begun_without_the_token(browser, running, path):
    assert browser.client.post(f"/plans/{running}/{path}", data={"time_limit_s": "5"}).status_code == 400
    assert plans.plans_to_cancel() == []


@pytest.mark.parametrize("path", ["/plans/none/progress.json"])
def test_progress_of_nothing_is_told_as_json(browser, path):
    answer = browser.client.get(path)
    assert (answer.status_code, bool(answer.get_json()["faults"])) == (404, True)


def test_a_job_deleted_during_its_search_and_put_back_says_what_happened_and_searches_again(browser, a_job):
    job_id = a_job()
    plan_id = plans.start_plan(job_id)
    jobs.delete_job(job_id)
    page = browser.open(f"/plans/{plan_id}")
    assert "The job was deleted before the search began." in page.words
    page = browser.send("Try again")
    assert (page.status, "This job is in the bin." in page.words) == (404, True)
    assert browser.send("Put back").path == "/"
    browser.open(f"/jobs/{job_id}/plan")
    browser.send("Try again")
    assert "Waiting for its turn" in browser.page.words


def test_a_best_plan_kept_from_a_search_that_deleting_ended_says_so(browser, running):
    jobs.delete_job(plans.job_of(running))
    assert "Stopping" in browser.open(f"/plans/{running}").words
    plans.finish_plan(running, an_answer() | {"status": "feasible"}, "s")
    jobs.restore_job(plans.job_of(running))
    page = browser.open(f"/plans/{running}")
    assert "The search was stopped early; this is the best it had found." in page.words
    assert browser.send("Search again").path != f"/plans/{running}"


def test_what_is_not_there_leads_to_the_bin_and_offers_nothing_to_put_back(browser, a_job):
    a_job()
    for path in ("/jobs/nowhere/limits", "/plans/nowhere", "/nowhere"):
        page = browser.open(path)
        assert (page.status, "/bin" in [href for href, _ in page.reader.links]) == (404, True)
        assert "Put back" not in page.words


def test_a_job_without_a_place_offers_to_add_one_and_not_to_change_some(browser, a_job):
    page = browser.open(f"/jobs/{a_job(places=[], loads=[])}/plan")
    assert {"Add the first place", "Add the first load"} <= {words for _, words in page.reader.links}
    assert "Change the" not in page.words
    browser.client.set_cookie("language", "de")
    assert "Den ersten Platz hinzufügen" in browser.open(page.path).words
