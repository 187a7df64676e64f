"""A phone of 360 by 740 points in a real browser: from nothing to a plan by touch, and what is tapped there."""

from __future__ import annotations

import re

import pytest
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
    check = page.locator(".check", has_text="Volts lost on the way").first
    expect(check.get_by_text("Source:")).to_be_hidden()
    check.locator("summary").tap()
    expect(check.get_by_text("Source:")).to_be_visible()
    expect(check.locator(".check__formula").first).to_contain_text("=")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_plan_prints_whole(chromium, parts, paper):
    page = chromium.new_page()
    page.goto(parts[-1])
    page.emulate_media(media="print")
    assert page.locator(".caution").count() > 5
    assert all(each.is_visible() for each in page.locator(".caution").all())
    printed = page.pdf(format=paper)
    page.close()
    sheets = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert 5 <= sheets <= 25
