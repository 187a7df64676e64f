"""A load just added on a phone: where one lands, and what is said there."""

from __future__ import annotations

import json

import pytest
from playwright.sync_api import expect

from tests.browser.shelf import VAN, asked
from tests.browser.site import open_kept


@pytest.mark.parametrize("scripts", [True, False])
def test_one_lands_at_the_load_just_added(a_phone, origin, scripts):
    job_id = asked(f"{origin}/api/jobs", json.loads(VAN.read_text()) | {"title": "Van to add to"})["id"]
    page = a_phone(java_script_enabled=scripts)
    page.goto(f"{origin}/jobs/{job_id}/loads")
    added = page.locator("#added")
    for chip, name in (("Router", "Router"), ("Fan", "Roof fan")):  # the second: only the fragment changes
        page.locator(".chip", has_text=chip).tap()
        expect(added).to_contain_text(f"Added: {name}")
        expect(added).to_be_focused()
        expect(added).to_be_in_viewport(ratio=1)
        expect(page.locator(".card", has=added).locator(".card__title")).to_be_in_viewport(ratio=1)
    assert page.get_by_text("Added:").count() == 1
    added.get_by_role("link", name="Add another").tap()
    expect(page.get_by_role("heading", name="Tap what it is")).to_be_in_viewport()
    added.get_by_role("button", name="Undo").tap()
    expect(page.get_by_text("Removed: Roof fan")).to_be_in_viewport()


def test_without_a_signal_one_lands_there_too(phone, site):
    page = phone()
    loads = f"/jobs/{site.job}/loads"
    open_kept(page, site, loads)
    page.context.set_offline(True)
    page.goto(site.origin + loads)
    for name in ("Router", "Fan"):
        page.locator(".chip", has_text=name).click()
        row = page.locator("[data-list=load] > *").last
        expect(row).to_contain_text(name)
        expect(row).to_be_focused()
        expect(row).to_be_in_viewport(ratio=1)
