"""A plan of a job that was changed since: what it says leads to the loads as they stand now."""

from __future__ import annotations

import pytest
from test_plan_pages import an_answer, no_answer

from webapp.forms import entries
from webapp.services import jobs, plans


def without_first_load(plan_id):
    """The job of a plan, after somebody took its first load out."""
    job_id = plans.get_plan(plan_id).job_id
    return jobs.change_job(job_id, lambda job: entries.without(job, "loads", 0))


def leads_to(page, words):
    return next(href for href, said in page.reader.links if said == words)


def test_a_load_that_stands_in_the_way_is_opened_where_it_stands_now(browser, planned):
    reason = {"subject": "load L1", "text": "nothing feeds it", "rule": "feed"}
    plan_id = planned(no_answer(reason))
    job = without_first_load(plan_id)
    page = browser.open(f"/plans/{plan_id}")
    assert leads_to(page, "Change L1") == f"/jobs/{job.id}/loads/0"
    assert "changed since this search began" in page.words


def test_an_assumed_value_of_a_load_is_changed_where_it_stands_now(browser, planned):
    plan_id = planned(an_answer(), assumed=["loads/1/peak_w"])
    job = without_first_load(plan_id)
    assert leads_to(browser.open(f"/plans/{plan_id}"), "change") == f"/jobs/{job.id}/loads/0"


@pytest.mark.parametrize("answer", [no_answer({"subject": "load L0", "text": "too much", "rule": "feed"}), an_answer()])
def test_a_load_that_is_gone_leads_to_the_list_of_those_there_are(browser, planned, answer):
    plan_id = planned(answer, assumed=["loads/0/peak_w"])
    job = without_first_load(plan_id)
    page = browser.open(f"/plans/{plan_id}")
    assert f"/jobs/{job.id}/loads" in [href for href, said in page.reader.links if said.lower().startswith("change")]
    assert not [href for href, _said in page.reader.links if "/loads/" in href]
