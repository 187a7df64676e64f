"""What is printed of a plan says what it is a plan of."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hands import anew

CHANGED = "The job has been changed since this plan was made."


@pytest.mark.parametrize("part", ["labels", "cut", "docket"])
def test_paper_of_a_plan_whose_job_has_moved_on_says_so(phone, site, part):
    page = phone()
    page.goto(f"{site.origin}/plans/{site.plan}/{part}")
    page.emulate_media(media="print")
    expect(page.locator(".stamp")).to_contain_text(f"plan {site.plan} · job revision 1")
    site.change(site.job, "limits", headroom_pct=41 if part == "cut" else 42)
    anew(page)
    expect(page.get_by_text(CHANGED)).to_be_visible()
    expect(page.get_by_role("button", name="Find cheapest again")).to_be_hidden()
    expect(page.locator(".stamp")).to_contain_text("job revision 1")
