"""The page of limits: a budget as people type it, and the two freedoms that nobody has unless they ask."""

from __future__ import annotations

import pytest

from webapp.services import jobs

FREEDOMS = {"boost_at_panel", "panel_run_m", "share_stages"}


@pytest.fixture
def at_limits(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/limits")
    return job_id


def limits_of(job_id):
    return jobs.get_job(job_id).document["limits"]


def shown(page, name):
    return next(at for at in page.tagged("input") if at.get("name") == name)


@pytest.mark.parametrize(
    ("typed", "cents"),
    [("450", 45_000), ("449.90", 44_990), ("449,9", 44_990), ("1 200.05", 120_005), ("0", 0), ("", None)],
)
def test_a_budget_is_kept_to_the_cent(browser, at_limits, typed, cents):
    assert browser.send("Save only", budget_cents=typed).status == 200
    assert limits_of(at_limits).get("budget_cents") == cents


def test_a_budget_comes_back_as_money_and_goes_when_it_is_emptied(browser, at_limits):
    page = browser.send("Save only", budget_cents="449,9")
    assert shown(page, "budget_cents")["value"] == "449.90"
    browser.send("Save only", budget_cents="")
    assert "budget_cents" not in limits_of(at_limits)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1,234", "can be read in two ways"),
        ("12.345", "more than two decimals"),
        ("-5", "below zero"),
        ("cheap", "is not an amount"),
    ],
)
def test_a_budget_that_is_no_amount_is_refused_and_kept(browser, at_limits, typed, says):
    before = limits_of(at_limits)
    page = browser.send("Save only", budget_cents=typed)
    assert page.status == 422
    assert says in page.words
    assert shown(page, "budget_cents")["value"] == typed
    assert limits_of(at_limits) == before


def test_the_freedoms_are_off_and_explained(browser, at_limits):
    page = browser.page
    assert not any("checked" in shown(page, name) for name in ("boost_at_panel", "share_stages"))
    for said in ("A converter may stand at the panel", "One converter may feed several loads", "Off at first"):
        assert said in page.words
    browser.send("Save only")
    assert not FREEDOMS & limits_of(at_limits).keys()


def test_the_freedoms_are_kept_and_taken_back(browser, at_limits):
    page = browser.send("Save only", boost_at_panel="yes", panel_run_m="80 cm", share_stages="yes")
    assert {name: limits_of(at_limits)[name] for name in FREEDOMS} == {
        "boost_at_panel": True,
        "panel_run_m": 0.8,
        "share_stages": True,
    }
    assert "checked" in shown(page, "boost_at_panel")
    assert [("open" in at) for at in page.tagged("details") if at.get("class") == "more"] == [False, False, True]
    browser.send("Save only", boost_at_panel=None, panel_run_m="", share_stages=None)
    assert {name: limits_of(at_limits).get(name) for name in FREEDOMS} == {
        "boost_at_panel": False,
        "panel_run_m": None,
        "share_stages": False,
    }


def test_a_converter_9_m_from_the_panel_does_not_stand_at_it(browser, at_limits):
    page = browser.send("Save only", boost_at_panel="yes", panel_run_m="9")
    assert page.status == 422
    assert "make it a place" in page.words


@pytest.mark.parametrize(("copper", "status"), [("44", 422), ("45", 200), ("50", 200)])
def test_copper_cooler_than_the_air_at_the_warmest_place_is_refused(browser, at_limits, copper, status):
    page = browser.send("Save only", conductor_c=copper)
    assert page.status == status
    assert ("enter 45 or more" in page.words) == (status == 422)


def test_what_cannot_be_read_and_what_is_too_small_are_said_at_once(browser, at_limits):
    before = limits_of(at_limits)
    page = browser.send("Save only", autonomy_h="-5", drop_pct="0", headroom_pct="much", budget_cents="-5")
    assert page.status == 422
    assert [shown(page, name)["value"] for name in ("autonomy_h", "drop_pct", "budget_cents")] == ["-5", "0", "-5"]
    assert "The autonomy is -5 h; at least 0.1 h." in page.words
    assert "The drop allowed is 0 %, no cable loses nothing" in page.words
    assert "'much' is not a percentage" in page.words
    assert "'-5' is below zero" in page.words
    assert limits_of(at_limits) == before
