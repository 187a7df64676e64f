"""Values nobody has confirmed: listed on one page, confirmed by a tap, changed at their field."""

from __future__ import annotations

import pytest
from test_plan_pages import an_answer

from webapp.services import jobs

MARKS = ["bus/fault_a", "loads/0/peak_w", "loads/1/typical_w"]


@pytest.fixture
def guessed(a_job):
    return a_job(assumed=MARKS)


def marks(job_id):
    return jobs.get_job(job_id).document["assumed"]


def confirm_buttons(page):
    return [value for form in page.reader.forms for name, value, words in form.buttons if words == "Confirm"]


def test_every_value_is_listed_with_its_unit(browser, guessed):
    page = browser.open(f"/jobs/{guessed}/assumed")
    assert len(confirm_buttons(page)) == 3
    load = jobs.get_job(guessed).document["loads"][0]
    assert f"{load['peak_w']:g} W" in page.words
    assert "Short-circuit current at the panel" in page.words


def test_confirming_keeps_the_value_drops_the_mark_and_can_be_undone(browser, guessed):
    before = jobs.get_job(guessed).document
    browser.open(f"/jobs/{guessed}/assumed")
    page = browser.send("Confirm")
    assert marks(guessed) == MARKS[1:]
    assert jobs.get_job(guessed).document | {"assumed": MARKS} == before
    assert "Confirmed: Short-circuit current" in page.words
    assert [at["class"] for at in page.tagged("div") if "data-once" in at] == ["notice"]
    browser.send("Undo")
    assert sorted(marks(guessed)) == sorted(MARKS)


@pytest.mark.parametrize("mark", ["/", "loads/²/peak_w", "loads/99/peak_w"])
def test_marks_on_nothing_are_not_listed(browser, a_job, mark):
    job_id = a_job(assumed=[*MARKS, mark])
    assert len(confirm_buttons(browser.open(f"/jobs/{job_id}/assumed"))) == 3
    for page in ("battery", "loads", "loads/0"):
        assert browser.open(f"/jobs/{job_id}/{page}").status == 200


def test_a_mark_on_all_of_a_thing_is_said_in_words(browser, a_job, planned):
    whole = ["bus", "loads/0", "limits"]
    page = browser.open(f"/jobs/{a_job(assumed=whole)}/assumed")
    assert page.words.count("all of it") == 3
    answer = browser.open(f"/plans/{planned(an_answer(), assumed=whole)}")
    assert answer.words.count("all of it") == 3
    assert "nominal_v" not in page.words + answer.words


def test_a_mark_on_yes_or_no_says_which(browser, a_job):
    page = browser.open(f"/jobs/{a_job(assumed=['bank/may_buy', 'loads/0/switch'])}/assumed")
    assert "Bank/may buy Yes" in page.words
    assert "Switch No" in page.words


@pytest.mark.parametrize("key", ["/", "loads", "places/x/run_m", f"owned/{'9' * 5000}/part"])
def test_nothing_cannot_be_confirmed(browser, guessed, key):
    browser.open(f"/jobs/{guessed}/assumed")
    form = browser.page.form("Confirm")
    sent = browser.client.post(browser.page.path, data=dict(form.values) | {"confirm": f"{key}=1"})
    assert sent.status_code == 303
    assert marks(guessed) == MARKS


def test_a_value_changed_meanwhile_is_not_confirmed(browser, guessed):
    browser.open(f"/jobs/{guessed}/assumed")
    job = jobs.get_job(guessed)
    bus = job.document["bus"] | {"fault_a": 777}
    jobs.save_job(guessed, job.revision, job.document | {"bus": bus})
    page = browser.send("Confirm")
    assert marks(guessed) == MARKS
    assert "changed meanwhile" in page.words
    assert [at["class"] for at in page.tagged("div") if "data-once" in at] == ["notice notice--stop"]


def test_a_load_removed_meanwhile_moves_no_confirmation_to_another(browser, guessed):
    page = browser.open(f"/jobs/{guessed}/assumed")
    second = confirm_buttons(page)[2]
    job = jobs.get_job(guessed)
    left = job.document | {"loads": job.document["loads"][1:], "assumed": ["bus/fault_a", "loads/0/typical_w"]}
    jobs.save_job(guessed, job.revision, left)
    browser.send("Confirm", confirm=second)
    browser.page.form("Confirm")
    answer = browser.client.post(
        f"/jobs/{guessed}/assumed",
        data=dict(browser.page.form("Confirm").values) | {"confirm": second},
        follow_redirects=True,
    )
    assert answer.status_code == 200
    assert "loads/0/typical_w" not in marks(guessed)


def test_each_step_says_how_many_there_are_and_leads_there(browser, guessed):
    for step in ("battery", "places", "loads", "limits", "loads/0"):
        page = browser.open(f"/jobs/{guessed}/{step}")
        assert (f"/jobs/{guessed}/assumed", "? 3 values still assumed") in page.reader.links


def test_a_job_without_marks_says_so(browser, a_job):
    page = browser.open(f"/jobs/{a_job(assumed=[])}/assumed")
    assert "Nothing is assumed any more" in page.words
    assert confirm_buttons(page) == []


def test_change_leads_to_the_field(browser, guessed):
    page = browser.open(f"/jobs/{guessed}/assumed")
    links = [href for href, words in page.reader.links if words == "Change"]
    assert links == [
        f"/jobs/{guessed}/battery#f-fault_a",
        f"/jobs/{guessed}/loads/0#f-peak_w",
        f"/jobs/{guessed}/loads/1#f-typical_w",
    ]
    for link in links:
        page = browser.open(link.split("#")[0])
        assert any(at.get("id") == link.split("#")[1] for _, at in page.reader.tags)


def test_no_mark_is_dropped_for_nonsense(browser, guessed):
    browser.open(f"/jobs/{guessed}/assumed")
    token = dict(browser.page.form("Confirm").values)
    for nonsense in ("", "x", "loads/L99/peak_w=1", "loads=1", "bus/fault_a", "places/=", "bus=1"):
        browser.client.post(f"/jobs/{guessed}/assumed", data=token | {"confirm": nonsense})
    assert marks(guessed) == MARKS


def test_where_nothing_is_assumed_the_page_leads_on(browser, a_job):
    job_id = a_job()
    page = browser.open(f"/jobs/{job_id}/assumed")
    assert [href for href, words in page.reader.links if words == "Go on with this job"] == [f"/jobs/{job_id}"]
