"""Marks by a plain form, and what a device asks for when it keeps pages."""

from __future__ import annotations

import pytest
from page_browser import Page, assert_sound, plain, read_case
from sqlalchemy.exc import OperationalError
from test_plan_pages import PARTS, an_answer

from webapp import spoken
from webapp.services import jobs, marks, plans, statements

PLAN = read_case("plan-062")
END_V = "measured/C1/end_v"


@pytest.fixture
def plan_id(planned):
    return planned(PLAN | {"reasons": [], "checks": [], "energy": {"average_w": 31.2, "today_average_w": None}})


@pytest.fixture
def post(pages_app, plan_id):
    pages_app.config["WTF_CSRF_ENABLED"] = False
    client = pages_app.test_client()

    def send(referrer="/jobs/x/places", language="en", **values):
        client.set_cookie(spoken.COOKIE, language)
        return client.post(f"/plans/{plan_id}/marks", data=values, headers={"Referer": referrer})

    return send


def test_a_form_sets_every_mark_it_shows(post, plan_id):
    marks.set_mark(plan_id, "buy/OF-2", "", "yes")
    marks.set_mark(plan_id, "buy/OF-3", "", "yes")
    answer = post(**{"shown": ["buy/OF-1", "buy/OF-2"], "buy/OF-1": "yes", END_V: "12.1"})
    assert (answer.status_code, answer.location) == (303, "/jobs/x/places")
    assert marks.marks_of(plan_id) == {"buy/OF-1": "yes", END_V: "12.1", "buy/OF-3": "yes"}


def test_a_page_open_for_long_takes_nothing_back(post, plan_id):
    marks.set_mark(plan_id, END_V, "", "12.1")
    seen = str(marks.last_change(plan_id))
    marks.set_mark(plan_id, "buy/OF-2", "", "yes")
    marks.set_mark(plan_id, END_V, "12.1", "12.3")
    post(**{"shown": ["buy/OF-1", "buy/OF-2"], "buy/OF-1": "yes", END_V: "12.1", "seen": seen})
    assert marks.marks_of(plan_id) == {"buy/OF-1": "yes", "buy/OF-2": "yes", END_V: "12.3"}


@pytest.mark.parametrize("choice", ["11.8", "12.3"])
def test_what_both_measured_is_a_choice(post, plan_id, choice):
    seen = str(marks.last_change(plan_id))
    marks.set_mark(plan_id, END_V, "", "12.3", device="Tablet")
    answer = post(**{"shown": ["buy/OF-1"], "buy/OF-1": "yes", END_V: "11.8", "seen": seen})
    page = Page(answer.status_code, "", answer.get_data(as_text=True))
    assert_sound(page)
    assert page.status == 409
    assert "stored from Tablet" in page.words
    assert "Measured at C1: At the end of the run, everything on" in page.words
    form = page.form("Save my choice")
    assert form.choices == {END_V: ["11.8", "12.3"]}
    assert marks.marks_of(plan_id) == {"buy/OF-1": "yes", END_V: "12.3"}
    answer = post(**dict(form.values) | {END_V: choice})
    assert (answer.status_code, answer.location) == (303, "/jobs/x/places")
    assert marks.marks_of(plan_id) == {"buy/OF-1": "yes", END_V: choice}


def test_a_choice_says_units_and_the_reader_s_decimal_sign_and_no_more_than_the_rest_is_saved(post, plan_id):
    marks.set_mark(plan_id, "measured/panel/open_v", "", "12.3", device="Tablet")
    for code, said in (
        ("en", ("Measured at the panel, nothing on", "11.8 V", "12.3 V")),
        ("de", ("Am Verteiler gemessen, nichts an", "11,8 V", "12,3 V")),
    ):
        answer = post(language=code, **{"measured/panel/open_v": "11.8", "seen": "0"})
        page = Page(answer.status_code, "", answer.get_data(as_text=True))
        assert page.status == 409
        for words in said:
            assert words in plain(page.words)
        assert "Saved." not in page.words


@pytest.mark.parametrize(
    ("came_from", "again"),
    [("/plans/x/record?a=b", "/plans/x/record?a=b"), ("//elsewhere.example", None), (None, None)],
)
def test_a_form_sent_too_late_leads_back_to_its_page(pages_app, plan_id, came_from, again):
    headers = {"Referer": f"http://localhost{came_from}"} if came_from else {}
    answer = pages_app.test_client().post(f"/plans/{plan_id}/marks", data={END_V: "12"}, headers=headers)
    page = Page(answer.status_code, "", answer.get_data(as_text=True))
    assert_sound(page)
    assert page.status == 400
    assert "Nothing was saved" in page.words
    ways = {words: href for href, words in page.reader.links}
    assert ways.get("Open it again") == again
    assert ("Open for too long" in page.words) == (again is not None)


@pytest.mark.parametrize(
    ("code", "heading", "still"), [("en", "Busy", "may still show"), ("de", "Beschäftigt", "steht vielleicht noch da")]
)
def test_a_form_that_could_not_be_stored_leads_back_to_its_page(browser, a_job, monkeypatch, code, heading, still):
    def locked(*_args, **_more):
        raise OperationalError("BEGIN IMMEDIATE", {}, Exception("database is locked"))

    browser.client.set_cookie("language", code)
    path = f"/jobs/{a_job()}/places"
    page = browser.open(path)
    monkeypatch.setattr(statements, "add_entry", locked)
    token = next(at["value"] for at in page.tagged("input") if at.get("name") == "csrf_token")
    form = {"csrf_token": token, "name": "Roof", "run_m": "2"}
    for sent, status in ((form, 503), (form | {"note": "n" * 3_000_000}, 413)):
        answer = browser.client.post(path, data=sent, headers={"Referer": f"http://localhost{path}"})
        page = Page(answer.status_code, "", answer.get_data(as_text=True))
        assert_sound(page)
        assert page.status == status
        assert still in page.words
        assert [href for href, _words in page.reader.links].count(path) == 1
        assert (heading in page.words) == (status == 503)


def test_a_page_that_could_not_be_made_is_offered_once_more(browser, a_job, monkeypatch):
    def locked(*_args, **_more):
        raise OperationalError("BEGIN", {}, Exception("database is locked"))

    path = f"/jobs/{a_job()}/owned?kind=cable"
    monkeypatch.setattr(jobs, "get_job", locked)
    answer = browser.client.get(path)
    page = Page(answer.status_code, "", answer.get_data(as_text=True))
    assert_sound(page)
    assert page.status == 503
    assert "Nothing is lost" in page.words
    assert "Nothing was saved" not in page.words
    assert {words: href for href, words in page.reader.links}.get("Open it again") == path
    assert not any("data-open" in at for at in page.tagged("p"))


def test_it_needs_the_token(pages_app, plan_id):
    assert pages_app.test_client().post(f"/plans/{plan_id}/marks", data={END_V: "12"}).status_code == 400
    assert marks.marks_of(plan_id) == {}


@pytest.mark.parametrize(
    "elsewhere",
    ["https://elsewhere.example/trap", "//elsewhere.example", "/\\elsewhere.example", "javascript:alert(1)", "//[", ""],
)
def test_it_leads_nowhere_else(post, plan_id, elsewhere):
    assert post(elsewhere, **{END_V: "12"}).location == f"/plans/{plan_id}"
    assert post(back=elsewhere, referrer="", **{END_V: "12"}).location == f"/plans/{plan_id}"


def test_nonsense_is_said_and_not_stored(post, plan_id):
    assert post(**{"steal/1": "yes"}).status_code == 303
    assert marks.marks_of(plan_id) == {}


def test_one_mark_that_cannot_be_takes_no_other_with_it(post, plan_id):
    answer = post(**{END_V: "12.1", "measured/C2/end_v": "1" * 81, "buy/OF-1": "yes"})
    assert answer.status_code == 303
    assert marks.marks_of(plan_id) == {END_V: "12.1", "buy/OF-1": "yes"}


def test_what_cannot_be_is_named_and_the_rest_called_saved(browser, plan_id):
    page = browser.open("/")
    token = next(at["value"] for at in page.tagged("input") if at.get("name") == "csrf_token")
    sent = {"csrf_token": token, "op_id": "6a2f41a3-c54c-4b0e-8b5e-0a1b2c3d4e5f", "back": "/", END_V: "1" * 81}
    for _twice in range(2):
        browser.client.post(f"/plans/{plan_id}/marks", data=sent)
        words = browser.open("/").words
        assert "Measured at C1: At the end of the run, everything on: Keep this to 80 characters." in words
        assert "All else of the form is saved." in words


def test_a_plan_that_is_not_there(pages_app):
    pages_app.config["WTF_CSRF_ENABLED"] = False
    assert pages_app.test_client().post("/plans/none/marks", data={END_V: "12"}).status_code == 404


def test_the_server_says_that_it_is_there(pages_app):
    answer = pages_app.test_client().get("/ping")
    assert (answer.status_code, answer.data, answer.headers["Cache-Control"]) == (204, b"", "no-store")


def test_every_page_of_a_job_is_listed_and_opens(pages_app, planned):
    plan_id = planned(an_answer())
    job_id = plans.get_plan(plan_id).job_id
    client = pages_app.test_client()
    listed = client.get(f"/jobs/{job_id}/pages.json").get_json()
    document = jobs.get_job(job_id).document
    assert {f"/plans/{plan_id}"} | {f"/plans/{plan_id}/{part}" for part in PARTS} <= set(listed)
    assert {f"/jobs/{job_id}/loads/{n}" for n in range(len(document["loads"]))} <= set(listed)
    assert {f"/jobs/{job_id}/places/{n}" for n in range(len(document["places"]))} <= set(listed)
    assert {client.get(url).status_code for url in listed} == {200}


def test_of_a_plan_that_nobody_may_build_only_the_pages_that_say_why_are_listed(pages_app, plan_id):
    listed = pages_app.test_client().get(f"/jobs/{plans.get_plan(plan_id).job_id}/pages.json").get_json()
    assert [url for url in listed if url.startswith("/plans/")] == [f"/plans/{plan_id}", f"/plans/{plan_id}/proof"]


def test_a_job_without_a_plan_has_no_plan_pages(pages_app, a_job):
    job_id = a_job()
    plans.start_plan(job_id)
    listed = pages_app.test_client().get(f"/jobs/{job_id}/pages.json").get_json()
    assert listed
    assert not [url for url in listed if url.startswith("/plans/")]
    assert pages_app.test_client().get("/jobs/none/pages.json").status_code == 404


@pytest.mark.parametrize(("choice", "stored"), [(0, "15 ft"), (1, "4.2")])
def test_lengths_that_two_measured_are_told_and_kept_in_their_units(browser, planned, choice, stored):
    plan_id, run_m = planned(an_answer()), "measured/C1/run_m"
    seen = str(marks.last_change(plan_id))
    marks.set_mark(plan_id, run_m, "", "4.2", device="Tablet")  # metres
    browser.client.set_cookie("units", "awg")
    token = next(at["value"] for at in browser.open("/").tagged("input") if at.get("name") == "csrf_token")
    sent = {"csrf_token": token, "seen": seen, "units": "awg", run_m: "15"}
    page = Page(409, "", browser.client.post(f"/plans/{plan_id}/marks", data=sent).get_data(as_text=True))
    assert "15 ft yours, just now" in page.words
    assert "4.2 m stored from Tablet" in page.words
    form = page.form("Save my choice")
    browser.client.post(form.action, data=dict(form.values) | {run_m: form.choices[run_m][choice]})
    assert marks.marks_of(plan_id) == {run_m: stored}
