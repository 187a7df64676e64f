"""A phone of 360 by 740 points in a real browser: from nothing to a plan by touch, and pages everybody can use."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser import real

STEPS = (
    "battery",
    "places",
    "loads",
    "limits",
    "owned",
    "owned?kind=cable",
    "loads/new",
    "loads/0",
    "places/0",
)
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


@pytest.fixture(scope="module")
def pages(planned_van, origin, parts):
    stated = [f"{planned_van}/{step}" for step in STEPS]
    return [origin, f"{origin}/jobs/new", f"{origin}/bin", f"{origin}/nowhere", *stated, *parts]


# The rest of a list of hundreds is more of the same.
OPEN_SOME = """
    const details = [...document.querySelectorAll('details')];
    for (const each of [...document.querySelectorAll('.more'), ...details.slice(0, 20)]) each.open = true;
"""
COLOURS_ONLY = {"runOnly": ["color-contrast"]}  # all else is the same page


@pytest.mark.parametrize(("scheme", "options"), [("light", {}), ("dark", COLOURS_ONLY)], ids=["light", "dark"])
def test_no_page_has_a_violation_that_axe_finds(chromium, pages, scheme, options):
    page = chromium.new_context(**real.PHONE, color_scheme=scheme).new_page()
    found = {}
    for address in pages:
        page.goto(address)
        page.evaluate(OPEN_SOME)
        found[page.url] = violations(page, options)
    assert not {address: each for address, each in found.items() if each}
    assert len(found) == len(pages)
    page.goto(pages[0])
    page.evaluate("document.querySelector('.card__note').style.color = '#777'")
    assert "color-contrast" in violations(page, options)  # axe does look
    page.context.close()


def violations(page, options):
    return {
        each["id"]: each["nodes"][0]["html"][:200] for each in Axe().run(page, options=options).response["violations"]
    }


@pytest.mark.parametrize("width", [320, 768, 1280])
def test_no_page_is_wider_than_its_screen(a_phone, pages, width):
    page = a_phone(viewport={"width": width, "height": 740}, is_mobile=False)
    for address in pages:
        if not address.endswith("/nowhere"):  # the console complains of a page that is not there
            page.goto(address)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address


def test_everything_to_tap_is_large_enough_for_a_thumb(a_phone, parts):
    page = a_phone()
    small = {}
    for address in parts:
        page.goto(address)
        small[address] = page.evaluate(TOO_SMALL)
    assert not {address: each for address, each in small.items() if each}


# What is inside a label is tapped by the whole label.
TOO_SMALL = """() => [...document.querySelectorAll('a, button, summary, select, label, input:not([type=hidden])')]
    .filter((each) => each.checkVisibility() && !each.closest('p:not(.back, .actions)'))
    .filter((each) => !each.matches('label input, label:not(:has(input))'))
    .map((each) => [each.textContent.trim(), each.getBoundingClientRect()])
    .filter(([, box]) => (box.height < 44 || box.width < 44) && box.right > 0)
    .map(([words, box]) => `${words}: ${box.width} x ${box.height}`)"""


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
