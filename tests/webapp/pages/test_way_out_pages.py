"""Ways out on the page of a plan that does not exist, and the copy of the job that a tap makes."""

from __future__ import annotations

import re
from typing import Any

import pytest
from test_plan_pages import no_answer

from webapp.services import jobs, plans

SHORTER: dict[str, Any] = {
    "text": "Autonomy of 17.5 h instead of 24 h",
    "limit": "autonomy_h",
    "change": [{"pointer": "limits/autonomy_h", "value": 17.5}, {"pointer": "loads/0/own_circuit", "value": True}],
    "total_cents": 123456,
    "bound_cents": 120000,
    "status": "feasible",
}
HYPOTHETICAL: dict[str, Any] = {
    "text": "A converter that accepts 9.8 V",
    "limit": "in_min_v",
    "change": [],
    "total_cents": 200000,
    "bound_cents": 200000,
    "status": "optimal",
    "uncounted": "what such a part costs",
}
REASON = {"subject": "bank", "text": "needs more than it gives", "rule": "autonomy"}


def refused(**changes: Any) -> dict[str, Any]:
    return (
        no_answer(REASON) | {"ways_out": [SHORTER, HYPOTHETICAL], "untried": ["a new bank", "more fuse ways"]} | changes
    )


def test_ways_out_stand_with_their_prices_and_what_is_not_proven(browser, planned):
    words = browser.open(f"/plans/{planned(refused())}").words
    assert "Autonomy of 17.5 h instead of 24 h" in words
    assert "Total 1 234.56. Stopped early: it may be had cheaper, not below 1 200.00." in words
    assert "Total 2 000.00. Not in this price: what such a part costs." in words
    assert "no time left to try a new bank and more fuse ways." in words


@pytest.mark.parametrize(
    ("code", "said"),
    [("en", "There was no time left to try 4 others"), ("de", "Für 4 weitere Versuche blieb keine Zeit")],
)
def test_many_that_were_not_tried_are_a_list_to_open(browser, planned, code, said):
    untried = ["a new bank", "more fuse ways", "a converter at the panel", "one converter for several loads"]
    browser.client.set_cookie("language", code)
    page = browser.open(f"/plans/{planned(refused(untried=untried))}")
    found = re.search(r'<details class="more"><summary>([^<]*)</summary><ul class="plain">(.*?)</ul>', page.html)
    assert said in found[1]
    assert found[2].count("<li>") == len(untried)
    assert "no time left to try a new bank" not in page.words


@pytest.mark.parametrize(("code", "said"), [("en", "Next"), ("de", "Dann")])
def test_what_comes_less_close_stands_behind_a_tap(browser, planned, code, said):
    text = "Router cannot be fed: Boost comes closest: it puts out 40 W and 43 W are asked, headroom included; next"
    reason = {"subject": "load router", "text": f"{text} Buck: no lead can be cut for it.", "rule": "feed"}
    browser.client.set_cookie("language", code)
    page = browser.open(f"/plans/{planned(no_answer(reason))}").html
    assert re.search(
        rf"<p>[^<]*40[^<]*</p>\s*<details[^>]*><summary>[^<]*</summary><p>{said} Buck:[^<]*</p></details>", page
    )


def test_the_caution_beside_them_is_in_the_readers_language(browser, planned):
    browser.client.set_cookie("language", "de")
    words = browser.open(f"/plans/{planned(refused())}").words
    assert "Das ist eine Planungshilfe." in words
    assert "design aid" not in words


def test_the_cheapest_way_out_is_what_to_do_next(browser, planned):
    """One filled button on the page, and what can be changed by hand is beside it, not before it in weight."""
    page = browser.open(f"/plans/{planned(refused(ways_out=[SHORTER, dict(SHORTER, total_cents=150_000)]))}")
    weights = [at["class"] for at in page.tagged("button") if at.get("aria-label", "").startswith("Use this change")]
    assert weights == ["button button--main", "button button--small"]
    assert "button" not in {at.get("class", "").split(" ")[0] for at in by_hand(page)}


def test_where_nothing_can_be_taken_what_is_changed_by_hand_has_the_buttons(browser, planned):
    page = browser.open(f"/plans/{planned(no_answer(REASON))}")
    assert {at["class"] for at in by_hand(page)} == {"button button--small"}


def by_hand(page):
    """The links to what stands in the way."""
    found = [at for at in page.tagged("a") if at.get("class") in ("quiet", "button button--small")]
    assert found
    return found


def test_plan_without_ways_out_has_no_such_heading(browser, planned):
    assert "would have to give" not in browser.open(f"/plans/{planned(no_answer(REASON))}").words


def test_taking_a_way_out_copies_the_job_with_the_change_and_plans_it(browser, planned, pages_app):
    plan_id = planned(refused(), assumed=["limits/autonomy_h", "limits/slack_m"])
    before = jobs.get_job(plans.get_plan(plan_id).job_id)
    browser.open(f"/plans/{plan_id}")
    words = browser.send("Use this change").words
    assert "A copy of the job with this change: Autonomy of 17.5 h instead of 24 h." in words
    (twin,) = [job for job in jobs.list_jobs() if job.id != before.id]
    document = jobs.get_job(twin.id).document
    assert document["limits"]["autonomy_h"] == 17.5
    assert document["loads"][0]["own_circuit"] is True
    assert document["assumed"] == ["limits/slack_m"]
    assert document["title"].endswith(": Autonomy of 17.5 h instead of 24 h")
    assert jobs.get_job(before.id).document == before.document
    assert [plan.state for plan in plans.plans_of(twin.id)] == ["queued"]


def test_taking_a_way_out_says_when_its_search_was_not_begun(browser, planned, monkeypatch):
    browser.open(f"/plans/{planned(refused(ways_out=[SHORTER]))}")
    monkeypatch.setattr("webapp.services.plans.MOST_QUEUED", 0)
    page = browser.send("Use this change")
    assert "A copy of the job with this change" in page.words
    assert "Too many plans are waiting. Try again in a minute" in page.words


def test_title_of_the_copy_says_both_and_is_taken_by_its_form(browser, planned):
    plan_id = planned(refused(), title="The boat of the whole family, with everything that ever was on board of it")
    browser.open(f"/plans/{plan_id}")
    browser.send("Use this change")
    (twin,) = [job for job in jobs.list_jobs() if job.id != plans.get_plan(plan_id).job_id]
    assert twin.title == "The boat of the whole family, with everythin: Autonomy of 17.5 h instead of 24 h"
    browser.open(f"/jobs/{twin.id}/battery")
    assert browser.send("Save, next: places").status == 200


@pytest.mark.parametrize("number", [1, 2, 99])
def test_what_cannot_be_taken_is_not_found_and_copies_nothing(browser, planned, number):
    plan_id = planned(refused())
    page = browser.open(f"/plans/{plan_id}")
    token = dict(page.form("Use this change").values)
    answer = browser.client.post(f"/plans/{plan_id}/ways-out/{number}", data=token)
    assert answer.status_code == 404
    assert len(jobs.list_jobs()) == 1


def test_way_out_that_is_no_matter_of_the_job_has_no_button(browser, planned):
    page = browser.open(f"/plans/{planned(refused(ways_out=[HYPOTHETICAL]))}")
    assert not [form for form in page.reader.forms if "ways-out" in form.action]


def test_way_out_without_a_load_takes_it_out_of_the_copy(browser, planned):
    without = SHORTER | {"text": "Without the radio", "change": [{"pointer": "loads/0", "value": None}]}
    plan_id = planned(refused(ways_out=[without]), assumed=["loads/0/peak_w", "loads/1/peak_w"])
    before = jobs.get_job(plans.get_plan(plan_id).job_id)
    browser.open(f"/plans/{plan_id}")
    browser.send("Use this change")
    (twin,) = [job for job in jobs.list_jobs() if job.id != before.id]
    document = jobs.get_job(twin.id).document
    assert document["loads"] == before.document["loads"][1:]
    assert document["assumed"] == ["loads/0/peak_w"]
