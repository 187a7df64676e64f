"""A phone of 360 by 740 points in a real browser: from nothing to a plan by touch, and what is tapped there."""

from __future__ import annotations

import re

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser import real

MOST_TAPS = 25  # the goal for a stranger's first list


class Thumb:
    """Taps and types, and counts the taps."""

    def __init__(self, page):
        self.page, self.taps = page, 0

    def tap(self, role, name):
        self.page.get_by_role(role, name=name).tap()
        self.taps += 1

    def type(self, label, text):
        box = self.page.get_by_label(label)
        box.tap()
        box.press_sequentially(text)
        self.taps += 1

    def choose(self, label, option):
        self.page.get_by_label(label).select_option(option)
        self.taps += 2


def test_from_nothing_to_a_proven_plan_by_touch_without_scripts(a_phone, origin):
    page = a_phone(java_script_enabled=False)
    thumb = Thumb(page)
    page.goto(origin)
    thumb.tap("link", "New job")
    thumb.tap("radio", "24 V")
    thumb.choose("Type of battery", "lithium")
    thumb.type("Battery capacity", "100")
    thumb.tap("button", "Start")
    thumb.type("Name of the place", "Desk")
    thumb.type("Length of the run", "15 ft")
    thumb.tap("button", "Add this place")
    thumb.tap("link", "Next: loads")
    for preset in ("Router 12", "Laptop USB-C", "Camera, powered"):
        thumb.tap("button", preset)
    thumb.tap("link", "Next: limits")
    thumb.tap("button", "Find cheapest")
    real.planned(page)
    expect(page.get_by_text("Cheapest that holds everything, proven")).to_be_visible()
    assert re.fullmatch(r"Total\s*\d+\.\d\d", page.get_by_role("heading", level=1).inner_text())
    assert thumb.taps <= MOST_TAPS


def test_a_check_opens_on_a_tap_with_its_formula_and_source(a_phone, planned_van):
    page = a_phone()
    page.goto(f"{planned_van}/plan")
    page.get_by_role("link", name="Proof", exact=True).tap()
    check = page.locator(".check", has_text="Volts lost on the way").first
    expect(check.get_by_text("Source:")).to_be_hidden()
    check.locator("summary").tap()
    expect(check.get_by_text("Source:")).to_be_visible()
    expect(check.locator(".check__formula").first).to_contain_text("=")


CRITICAL = ("design aid", "thousands of amps", "No fuse, no connection", "can burst")
HEADINGS = ("Parts list", "Cut list", "Fuse schedule", "Order of work", "Measured on site", "Proof")


def test_a_docket_is_its_cautions_until_they_are_read_and_then_prints_whole(a_phone, origin, planned_van):
    page = a_phone()
    page.goto(origin)
    twin = page.locator(".card", has=page.locator(f"a[href='{planned_van.removeprefix(origin)}']"))
    twin.locator("summary").click()
    twin.get_by_role("button", name="Duplicate").click()
    real.plan_of(page, origin, "Van of the audits")  # the twin, changed last: nobody has read its cautions
    page.goto(f"{page.url}/docket")
    assert [each["id"] for each in Axe().run(page).response["violations"]] == []
    page.emulate_media(media="print")
    for said in CRITICAL:
        expect(page.locator(".read-first, .foot").get_by_text(said)).to_be_visible()
    expect(page.get_by_role("heading", name="Parts list")).to_be_hidden()
    assert sheets_of(page, "A4") == 1
    page.get_by_label("I have read this").check()
    expect(page.get_by_role("heading", name="Parts list")).to_be_visible()
    assert page.locator(".docket .caution").count() > 5
    assert all(each.is_visible() for each in page.locator(".docket .caution").all())
    for heading in HEADINGS:
        expect(page.get_by_role("heading", name=heading, exact=True, level=2)).to_be_visible()
    expect(page.locator(".proof--holds .check").last).to_be_visible()
    for paper in ("A4", "Letter"):
        assert 5 <= sheets_of(page, paper) <= 25


def sheets_of(page, paper):
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))
