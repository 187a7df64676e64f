"""Long pages: what is far from the screen takes no part in a tap, and nobody can tell (js/far.js)."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hands import begun, until, within
from tests.browser.shifts import WATCH, moved

# What is left out of a picture is known once that picture is drawn.
SKIPPED = """(within) => [...document.querySelectorAll(within)].filter(
    (each) => each.checkVisibility() && !each.checkVisibility({ contentVisibilityAuto: true })).length"""
# When the first part was left alone: what moved before was a page that was still arriving.
WATCH_BEGIN = """
    new MutationObserver(() => {
        if (document.querySelector(".far")) window.began ??= performance.now();
    }).observe(document, { subtree: true, attributes: true, attributeFilter: ["class"] });
"""
# Pages refuse eval, which Playwright's own wait asks by.
UNTIL_AT_TOP = """(id) => new Promise((done) => {
    const look = () => {
        const { top } = document.getElementById(id).getBoundingClientRect();
        if (Math.abs(top - 16) < 2) done();
        else requestAnimationFrame(look);
    };
    look();
})"""
# How much of what the screen then shows is left out of the first picture after a leap, and how much there is in all:
# callbacks before a picture run after the scroll event of the same picture.
LEAP = """(top) => new Promise((done) => {
    const onScreen = ({ top, bottom, width }) => width > 0 && bottom > 0 && top < innerHeight;
    const look = () => {
        const drawn = [...document.querySelectorAll("main *")].filter((each) => each.checkVisibility());
        const shown = drawn.filter((each) => onScreen(each.getBoundingClientRect()));
        done([shown.filter((each) => !each.checkVisibility({ contentVisibilityAuto: true })).length, shown.length]);
    };
    addEventListener("scroll", () => requestAnimationFrame(look), { once: true });
    scrollTo(0, top);
})"""


@pytest.fixture
def docket(a_phone, parts):
    page = a_phone()
    page.add_init_script(WATCH)
    page.add_init_script(WATCH_BEGIN)
    page.goto(parts[9])
    page.locator("#proof.far").wait_for(state="attached")
    return page


def test_what_is_far_is_left_alone(docket):
    until(docket, lambda: docket.evaluate(SKIPPED, "#work *") > 100)
    assert docket.evaluate(SKIPPED, ".cover *") == 0
    assert docket.evaluate("window.find('Measured by')")


def test_nothing_moves_because_of_it(docket):
    high = docket.evaluate("document.documentElement.scrollHeight")
    for _ in range(high // 250):
        docket.evaluate("scrollBy(0, 250)")
        docket.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
    assert docket.evaluate("document.documentElement.scrollHeight") == high
    assert moved(docket, since=docket.evaluate("began")) == []
    docket.evaluate("scrollTo(0, 0)")
    docket.evaluate("location.hash = 'record'")
    within(docket, UNTIL_AT_TOP, "record")


def test_a_leap_over_many_screens_shows_no_empty_picture(docket):
    high = docket.evaluate("document.documentElement.scrollHeight")
    for part in (0.5, 0.8, 0.95, 0.1):
        empty, all_of_it = within(docket, LEAP, high * part)
        assert all_of_it > 10
        assert empty == 0
    until(docket, lambda: docket.evaluate(SKIPPED, "#record *") > 0)  # what is far by now is left alone again


def test_of_hundreds_of_lines_that_unfold_those_below_the_screen_are_left_alone(docket):
    docket.locator("#proof summary").tap()
    expect(docket.locator("#proof .check").first).to_be_visible()
    until(docket, lambda: docket.evaluate(SKIPPED, "#proof .check") > 200)
    docket.emulate_media(media="print")
    assert docket.evaluate(SKIPPED, "#proof .check") == 0


def test_paper_has_all_of_it(docket):
    docket.emulate_media(media="print")
    assert docket.evaluate(SKIPPED, "main *") == 0


def test_a_phone_turned_on_its_side_draws_all_anew(docket):
    docket.set_viewport_size({"width": 740, "height": 360})
    docket.locator(".far").first.wait_for(state="detached")


def test_rings_of_focus_are_not_cut_off(docket):
    ring, room = docket.evaluate("""() => {
        const link = document.querySelector("main a");
        link.focus({ focusVisible: true });
        const { outlineWidth, outlineOffset } = getComputedStyle(link);
        const { overflowClipMargin } = getComputedStyle(document.querySelector(".far"));
        return [parseFloat(outlineWidth) + parseFloat(outlineOffset), parseFloat(overflowClipMargin)];
    }""")
    assert 0 < ring <= room


def test_a_page_behind_cautions_opens_in_parts(a_phone, shelf):
    page = a_phone()
    page.goto(f"{shelf.origin}/plans/{shelf.unread_plan}/docket")
    begun(page)
    page.evaluate("""() => {
        const tick = new CustomEvent("marked", { detail: { key: "caution/read", value: "yes" } });
        dispatchEvent(tick);  // as from this device's own store: nothing is saved, other tests find it unread
    }""")
    page.locator("#after-reading #proof.far").wait_for(state="attached")
    expect(page.locator("#after-reading")).to_be_visible()
    until(page, lambda: page.evaluate(SKIPPED, "#proof *") > 0)
