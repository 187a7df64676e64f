"""The whole job in a real browser, from nothing to what was measured: by touch, without scripts, by keys alone."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import anew
from tests.browser.shelf import VAN, asked

MOST_TAPS = 25  # the goal for a stranger's first list
MOST_TABS = 90
STORED_TRIES = 600
AUDIT = (real.ROOT / "tests" / "browser" / "audit.js").read_text()


class Thumb:
    """Taps and types, and counts the taps."""

    def __init__(self, page):
        self.page, self.taps = page, 0

    def tap(self, role, name):
        self.page.get_by_role(role, name=name).tap()
        self.taps += 1

    def type(self, label, text):
        box = self.page.get_by_label(label).and_(self.page.locator("input"))
        box.tap()
        box.fill("")
        box.press_sequentially(text)
        self.taps += 1

    def choose(self, label, option):
        self.page.get_by_label(label).select_option(option)
        self.taps += 2


def begin(thumb, origin):
    """From the list of jobs to a place for loads."""
    thumb.page.goto(origin)
    thumb.tap("link", "New job")
    thumb.tap("radio", "24 V")
    thumb.choose("Type of battery", "lithium")
    thumb.type("Battery capacity", "100")
    thumb.choose("Where is it built", "vehicle")
    thumb.tap("button", "Start")
    thumb.type("Name of the place", "Desk")
    thumb.type("Length of the run", "15 ft")
    thumb.tap("button", "Add this place")
    thumb.tap("link", "Next: loads")


def is_answered(page):
    page.wait_for_url(re.compile("/plans/"))
    real.planned(page)
    expect(page.get_by_text("Cheapest that holds everything, proven")).to_be_visible()
    assert re.fullmatch(r"Total\s*\d+\.\d\d", page.get_by_role("heading", level=1).inner_text())


def go(page, part):
    page.get_by_label("Pages of this plan").get_by_role("link", name=part, exact=True).tap()
    page.wait_for_url(f"**/{part.lower()}")


def stored(page, words, number=1):
    """Wait until the server has it, whatever this device shows."""
    for _ in range(STORED_TRIES):
        if page.request.get(page.url).text().count(words) == number:
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{words!r} is not stored {number} times")


def ticked(page, words):
    """Tick every row by touch; the line above counts along."""
    rows = page.locator(".todo__row")
    number = rows.count()
    assert number > 0
    for row in rows.all():
        row.tap()
    expect(page.locator(".tally")).to_have_text(re.compile(rf"^{number} of {number} {words}"))
    stored(page, " checked", number)


def test_the_whole_job_by_touch(a_phone, origin):
    page = a_phone()
    thumb = Thumb(page)
    begin(thumb, origin)
    thumb.tap("button", "Router 12")
    expect(page.locator("#loads")).to_contain_text("1 load")
    thumb.type("OUTPUT line of its adapter", "OUTPUT: 19.5V ⎓ 3.34A")
    thumb.type("What it is", "Map plotter")
    thumb.tap("button", "Add from its OUTPUT line")
    expect(page.locator("[data-entry^='load/']", has_text="Map plotter")).to_contain_text("Needs a converter")
    thumb.tap("link", "Next: limits")
    thumb.type("Must last without charging", "12")
    thumb.tap("button", "Find cheapest")
    is_answered(page)
    go(page, "Buy")
    ticked(page, r"bought, 0\.00 of goods left")
    go(page, "Cut")
    page.get_by_label("I have read this").tap()
    ticked(page, "done")
    go(page, "Record")
    first = page.locator(".reading input").first
    first.tap()
    first.press_sequentially("24.1")
    page.get_by_label("Note").first.tap()
    stored(page, 'value="24.1"')
    expect(page.locator(".strip")).to_have_text("Saved")
    anew(page)
    expect(first).to_have_value("24.1")
    go(page, "Buy")
    expect(page.locator(".todo__tick:not(:checked)")).to_have_count(0)  # of a copy the script ticks them


def test_the_whole_job_without_scripts(a_phone, origin):
    page = a_phone(java_script_enabled=False)
    thumb = Thumb(page)
    begin(thumb, origin)
    for preset in ("Router 12", "Laptop USB-C", "Camera, powered"):
        thumb.tap("button", preset)
    thumb.tap("link", "Next: limits")
    thumb.tap("button", "Find cheapest")
    is_answered(page)
    assert thumb.taps <= MOST_TAPS
    go(page, "Buy")
    page.locator(".todo__row").first.tap()
    thumb.tap("button", "Save")
    expect(page.locator(".tally")).to_have_text(re.compile("^1 of "))
    go(page, "Cut")
    page.get_by_label("I have read this").tap()
    thumb.tap("button", "Open the page")
    expect(page.get_by_role("button", name="Open the page")).to_have_count(0)
    page.wait_for_load_state()  # the rows as well, not only the first of the new page
    number = page.locator(".todo__row").count()
    assert number > 0
    for row in page.locator(".todo__row").all():
        row.tap()
    thumb.tap("button", "Save")
    expect(page.locator(".tally")).to_have_text(f"{number} of {number} done")
    chosen(page, a_phone(java_script_enabled=False))


def chosen(page, other):
    """Another device changes the place first: both lengths are shown, and one is chosen."""
    page.get_by_label("Steps of this job").get_by_role("link", name="Places").tap()
    page.get_by_role("link", name="Desk").tap()
    page.wait_for_url("**/places/0")
    other.goto(page.url)
    for each, length, then in ((other, "7", "Where are the loads?"), (page, "9", "Two devices changed the same")):
        each.get_by_label("Length of the run").fill(length)
        each.get_by_role("button", name="Save").tap()
        expect(each.get_by_role("heading", level=1)).to_have_text(then)
    page.get_by_role("radio", name="yours, just now").tap()
    page.get_by_role("button", name="Save my choice").tap()
    expect(page.locator("[data-entry^='place/']")).to_contain_text("9")


class Keys:
    """Goes through pages by Tab alone, and wants to see where it is at every step."""

    def __init__(self, page):
        self.page = page

    def to(self, selector):
        for _ in range(MOST_TABS):
            self.page.keyboard.press("Tab")
            at = self.page.evaluate(f"{AUDIT}; audit.focused()")
            assert at is not None, f"{selector} is not reached"
            assert at["fault"] == "", at
            if self.page.evaluate("(wanted) => document.activeElement.matches(wanted)", selector):
                return
        raise AssertionError(f"{selector} is too far away")

    def press(self, selector, key):
        self.to(selector)
        self.page.keyboard.press(key)

    def follow(self, selector, key, address):
        """To another page."""
        self.press(selector, key)
        self.page.wait_for_url(re.compile(address))


@pytest.fixture
def small_job(origin):
    """A job that is planned in a moment."""
    van = json.loads(VAN.read_text())
    return asked(f"{origin}/api/jobs", van | {"title": "Van by keys", "loads": van["loads"][-2:], "owned": []})["id"]


def test_the_keyboard_alone_is_enough(a_phone, origin, small_job):
    page = a_phone(is_mobile=False, has_touch=False)
    keys = Keys(page)
    page.goto(origin)
    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name="Skip to the page")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    keys.follow(f"[href$='/jobs/{small_job}']", "Enter", f"/jobs/{small_job}/")
    keys.follow(".steps__link[href$='/limits']", "Enter", "/limits$")
    keys.to("[name=autonomy_h]")
    page.keyboard.type("soon")
    page.keyboard.press("Enter")
    expect(page.locator("#errors")).to_be_focused()
    keys.press("#errors a", "Enter")
    field = page.locator("[name=autonomy_h]")
    expect(field).to_be_focused()
    page.keyboard.press("Control+A")
    page.keyboard.type("6")
    keys.follow("[value=plan]", "Space", "/plans/")
    is_answered(page)
    keys.follow(".parts__link[href$='/buy']", "Enter", "/buy$")
    keys.press(".todo__tick", "Space")
    expect(page.locator(".tally")).to_have_text(re.compile("^1 of "))
    stored(page, " checked")
