"""Long pages: what is far from the screen takes no part in a tap, and nobody can tell (js/far.js)."""

from __future__ import annotations

import pytest

SKIPPED = """(within) => [...document.querySelectorAll(within)].filter(
    (each) => each.checkVisibility() && !each.checkVisibility({ contentVisibilityAuto: true })).length"""
WATCH_SHIFTS = """
    window.shifted = 0;
    new PerformanceObserver((list) => list.getEntries().forEach((each) => { shifted += each.value; }))
        .observe({ type: "layout-shift", buffered: true });
"""


@pytest.fixture
def docket(a_phone, parts):
    page = a_phone()
    page.add_init_script(WATCH_SHIFTS)
    page.goto(parts[9])
    page.locator("#proof.far").wait_for(state="attached")
    return page


def test_what_is_far_is_left_alone(docket):
    assert docket.evaluate(SKIPPED, "#work *") > 100
    assert docket.evaluate(SKIPPED, ".cover *") == 0
    assert docket.evaluate("window.find('Measured by')")


def test_nothing_moves_because_of_it(docket):
    high = docket.evaluate("document.documentElement.scrollHeight")
    for _ in range(high // 250):
        docket.evaluate("scrollBy(0, 250)")
        docket.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
    assert docket.evaluate("document.documentElement.scrollHeight") == high
    assert docket.evaluate("shifted") == 0
    docket.evaluate("scrollTo(0, 0)")
    docket.evaluate("location.hash = 'record'")
    docket.wait_for_function("Math.abs(document.getElementById('record').getBoundingClientRect().top - 16) < 2")


def test_a_leap_over_many_screens_shows_no_empty_picture(docket):
    """On a machine with much to do the parts may wake a frame late; once in three it must be in time."""
    high = docket.evaluate("document.documentElement.scrollHeight")
    shifted = []
    for _ in range(3):
        docket.evaluate("shifted = 0")
        for part in (0.5, 0.95, 0.1):
            docket.evaluate("(top) => scrollTo(0, top)", high * part)
            docket.evaluate(
                "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done))))"
            )
        shifted.append(docket.evaluate("shifted"))
    assert min(shifted) == 0
    assert docket.evaluate(SKIPPED, "#record *") > 0  # what is far by now is left alone again


def test_paper_has_all_of_it(docket):
    docket.emulate_media(media="print")
    assert docket.evaluate(SKIPPED, "main *") == 0


def test_a_phone_turned_on_its_side_draws_all_anew(docket):
    docket.set_viewport_size({"width": 740, "height": 360})
    docket.wait_for_function("!document.querySelector('.far')")


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
    page.wait_for_load_state("networkidle")  # its modules have begun
    page.evaluate("""() => {
        const tick = new CustomEvent("marked", { detail: { key: "caution/read", value: "yes" } });
        dispatchEvent(tick);  // as from this device's own store: nothing is saved, other tests find it unread
    }""")
    page.locator("#after-reading #proof.far").wait_for(state="attached")
    assert page.locator("#after-reading").is_visible()
    assert page.evaluate(SKIPPED, "#proof *") > 0
