"""What is wet, near petrol or gas, outdoors or needed for health and safety: said on the pages that state a job."""

from __future__ import annotations

import pytest
from page_browser import read_case

from webapp.services import jobs


def document(job_id):
    return jobs.get_job(job_id).document


def is_ticked(page, name):
    (box,) = [at for at in page.tagged("input") if at.get("name") == name]
    return "checked" in box


@pytest.mark.parametrize("name", ["wet", "fuel", "outdoors", "above_roof"])
def test_a_place_says_what_is_around_it(browser, a_job, name):
    job_id = a_job()
    assert not is_ticked(browser.open(f"/jobs/{job_id}/places/0"), name)
    browser.send("Save", **{name: "yes"})
    first, *others = document(job_id)["places"]
    assert {key for key in ("wet", "fuel", "outdoors", "above_roof") if first.get(key)} == {name}
    assert not any(name in place for place in others)
    assert is_ticked(browser.open(f"/jobs/{job_id}/places/0"), name)
    browser.send("Save", **{name: None})
    assert not document(job_id)["places"][0].get(name)


@pytest.mark.parametrize(("name", "field"), [("panel_wet", "wet"), ("panel_fuel", "fuel")])
def test_the_panel_says_what_is_around_it(browser, a_job, name, field):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", **{name: "yes"})
    assert document(job_id)["bus"][field] is True
    assert is_ticked(browser.open(f"/jobs/{job_id}/battery"), name)


def test_a_battery_says_that_it_is_charged_in_frost(browser, a_job):
    existing = read_case("case-062")["job"]["bank"]["existing"]
    job_id = a_job(bank={"existing": existing, "may_buy": False})
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", charged_cold="yes")
    assert document(job_id)["bank"]["existing"] == existing | {"charged_cold": True}
    assert is_ticked(browser.open(f"/jobs/{job_id}/battery"), "charged_cold")
    browser.send("Save, next: places", capacity_ah="")
    assert "existing" not in document(job_id)["bank"]


@pytest.mark.parametrize("setting", ["vehicle", "boat", "land"])
def test_a_job_says_where_it_is_built(browser, a_job, setting):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", setting=setting)
    assert document(job_id)["setting"] == setting
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", setting="")
    assert "setting" not in document(job_id)


def test_a_new_job_says_where_it_is_built_and_its_type_of_battery(browser):
    browser.open("/jobs/new")
    browser.send("Start", nominal_v="12", chemistry="flooded", capacity_ah="100", spare_ways="4", setting="boat")
    (job,) = jobs.list_jobs()
    assert document(job.id)["setting"] == "boat"
    assert document(job.id)["bank"]["existing"]["chemistry"] == "lead-acid"


def test_the_type_of_an_older_job_is_stated_with_where_it_is_built(browser, a_job):
    """A job from before: its battery has the figures of a sealed lead-acid one, and says no type."""
    existing = read_case("case-062")["job"]["bank"]["existing"] | {"usable_fraction": 0.5, "peukert": 1.15}
    job_id = a_job(bank={"existing": existing, "may_buy": False})
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", setting="boat")
    assert document(job_id)["bank"]["existing"]["chemistry"] == "agm"
    browser.open(f"/jobs/{job_id}/battery")
    browser.send("Save, next: places", chemistry="unsure")
    assert "chemistry" not in document(job_id)["bank"]["existing"]


def test_a_load_says_that_health_depends_on_it(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads/0")
    browser.send("Save", critical="health")
    assert document(job_id)["loads"][0]["critical"] == "health"
    browser.open(f"/jobs/{job_id}/loads/0")
    browser.send("Save", critical="")
    assert "critical" not in document(job_id)["loads"][0]


def test_what_keeps_a_vehicle_safe_is_stored_only_beside_its_own_supply(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads/0")
    page = browser.send("Save", critical="vehicle")
    assert page.status == 422
    assert "We do not change the supply of what keeps a vehicle or boat safe." in page.words
    assert "critical" not in document(job_id)["loads"][0]
    browser.send("Save", critical="vehicle", keeps_supply="yes")
    assert document(job_id)["loads"][0]["keeps_supply"] is True


def test_what_is_said_is_not_folded_away(browser, a_job):
    job = read_case("case-062")["job"]
    job_id = a_job(places=[job["places"][0] | {"wet": True}, *job["places"][1:]])
    for index, is_open in ((0, True), (1, False)):
        page = browser.open(f"/jobs/{job_id}/places/{index}")
        fold = page.html.split("Wet, outdoors")[0].rpartition("<details")[2]
        assert (" open" in fold) == is_open
