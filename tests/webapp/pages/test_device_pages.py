"""What a device chooses for itself, without scripts."""

from __future__ import annotations

import pytest

from webapp import units
from webapp.services import jobs


def theme_of(page):
    (html,) = page.tagged("html")
    return html["data-theme"]


def switch_sun(browser):
    return browser.send("Bright sun")


def test_a_new_device_follows_its_own_theme(browser):
    assert theme_of(browser.open("/")) == "auto"


def test_bright_sun_is_one_button_on_every_page_and_leads_back(browser, a_job):
    job_id = a_job()
    browser.open(f"/jobs/{job_id}/loads?where=P1")
    page = switch_sun(browser)
    assert theme_of(page) == "sun"
    assert page.path == f"/jobs/{job_id}/loads"
    assert theme_of(switch_sun(browser)) == "auto"


@pytest.mark.parametrize("chosen", ["light", "dark", "auto"])
def test_a_theme_stays_and_comes_back_from_under_bright_sun(browser, chosen):
    browser.open("/settings")
    assert theme_of(browser.send("Use this", theme=chosen)) == chosen
    assert theme_of(switch_sun(browser)) == "sun"
    assert theme_of(switch_sun(browser)) == chosen


def test_bright_sun_can_be_chosen_in_the_list_too(browser):
    browser.open("/settings")
    assert theme_of(browser.send("Use this", theme="sun")) == "sun"
    assert theme_of(browser.send("Use this", theme="dark")) == "dark"


def test_an_unknown_theme_is_refused(browser):
    browser.open("/settings")
    assert browser.send("Use this", theme="neon").status == 422


@pytest.mark.parametrize("back", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example"])
def test_a_theme_leads_to_no_foreign_page(browser, back):
    browser.open("/")
    page = browser.send("Bright sun", back=back)
    assert (page.status, page.path) == (200, "/settings")


def test_units_are_chosen_once_and_forms_follow(browser, a_job):
    job_id = a_job()
    browser.open("/settings")
    browser.send("Use these units", system="awg")
    page = browser.open(f"/jobs/{job_id}/places/0")
    assert "Length of the run, feet" in page.words
    before = jobs.get_job(job_id)
    browser.send("Save")
    assert jobs.get_job(job_id).revision == before.revision
    browser.open(f"/jobs/{job_id}/places/0")
    browser.send("Save", run_m="15")
    assert jobs.get_job(job_id).document["places"][0]["run_m"] == pytest.approx(4.572)


def test_a_form_is_read_in_the_units_it_was_shown_in(browser, a_job):
    job_id = a_job()
    page = browser.open(f"/jobs/{job_id}/places/0")
    browser.open("/settings")
    browser.send("Use these units", system="awg")
    browser.page = page
    browser.send("Save", run_m="15")
    assert jobs.get_job(job_id).document["places"][0]["run_m"] == 15


def test_a_request_leaves_nothing_chosen_behind(browser, a_job):
    browser.client.set_cookie("units", "awg")
    assert "feet" in browser.open(f"/jobs/{a_job()}/places/0").words
    assert units.chosen() == units.METRIC


def test_programs_speak_metric(browser, a_job):
    browser.open("/settings")
    browser.send("Use these units", system="awg")
    assert browser.send("Use these units", system="cubits").status == 422
    assert "awg" not in browser.client.get(f"/api/jobs/{a_job()}").get_data(as_text=True)
