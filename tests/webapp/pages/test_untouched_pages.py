"""A page that is opened and saved as it stands changes nothing: whatever a job states, the forms can hold it."""

from __future__ import annotations

import pytest
from page_browser import read_case

import seed_catalog
from webapp import canonical
from webapp.services import catalogue, jobs

DEMOS = seed_catalog.demo_jobs()


def same(one, other):
    return canonical.spell(one) == canonical.spell(other)


@pytest.mark.parametrize("slug", sorted(DEMOS))
def test_saving_the_pages_of_a_demo_job_untouched_changes_nothing(browser, slug):
    catalogue.replace(seed_catalog.load_catalogue())
    stored = jobs.start_job(DEMOS[slug])
    saved_untouched(browser, stored)
    assert same(jobs.get_job(stored.id).document, stored.document)


@pytest.mark.parametrize("number", ["002", "004", "023", "062"])
def test_saving_the_pages_of_a_case_untouched_changes_nothing(browser, number):
    case = read_case(f"case-{number}")
    catalogue.replace(read_case(case["catalogue"].removesuffix(".json")))
    stored = jobs.start_job(case["job"])
    saved_untouched(browser, stored)
    assert same(jobs.get_job(stored.id).document, stored.document)


def saved_untouched(browser, stored):
    base = f"/jobs/{stored.id}"
    buttons = {f"{base}/battery": "Save, next: places", f"{base}/limits": "Save only"}
    buttons |= {f"{base}/places/{index}": "Save" for index in range(len(stored.document["places"]))}
    buttons |= {f"{base}/loads/{index}": "Save" for index in range(len(stored.document["loads"]))}
    for path, button in buttons.items():
        browser.open(path)
        assert browser.send(button).status == 200, (path, browser.page.words)
