"""What a device chooses for itself, without scripts."""

from __future__ import annotations

import pytest


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
