"""What if, by touch on a small phone: nothing is lost without a signal, and with one it ends side by side."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import heading, strip
from tests.browser.site import open_kept

CHANGE = "Fewer or other converters"
TITLE = "Case 62: converters shared or at the panel"
WIDER = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


def tick_alone(page):
    for box in page.get_by_role("checkbox").all():
        box.set_checked(False)
    page.get_by_role("checkbox", name=CHANGE).check()


def test_from_a_plan_to_the_comparison_with_the_signal_lost_on_the_way(phone, site):
    page = phone()
    open_kept(page, site, f"/plans/{site.plan}")
    before = site.titles()
    site.stop()
    try:
        page.get_by_role("link", name="What if it were done differently?").tap()
        expect(heading(page)).to_have_text("What if it were done differently?")
        expect(strip(page)).to_contain_text("no signal")
        assert not page.evaluate(WIDER)
        tick_alone(page)
        page.get_by_role("button", name="Plan and compare").tap()
        expect(page.get_by_role("alert")).to_contain_text("This needs a signal")
        expect(strip(page)).to_contain_text("Not saved yet")
        expect(page.get_by_role("checkbox", name=CHANGE)).to_be_checked()
        assert not page.evaluate(WIDER)
    finally:
        site.start()
    assert site.titles() == before
    page.get_by_role("button", name="Plan and compare").tap()
    expect(heading(page)).to_have_text("Compare plans", timeout=real.PLANNED_MS)  # the page of searches leads here
    expect(page.get_by_role("columnheader")).to_contain_text(["Case 62", "Converters shared or at the panel"])
    expect(page.get_by_text("B costs").first).to_be_visible()
    assert not page.evaluate(WIDER)
    page.goto(f"{site.origin}/")
    expect(page.locator(".card", has_text=TITLE).get_by_text("What if", exact=True)).to_be_visible()
    assert sorted(site.titles()) == sorted([*before, TITLE])
