"""What pages do while somebody types, in a real browser: less and more, verdicts, measured watts, bright sun."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import begun


@pytest.fixture
def van(a_phone, origin):
    """A phone, and the address of the library van's job."""
    page = a_phone()
    page.goto(origin)
    job = page.get_by_role("link", name="library van").first.get_attribute("href")
    return page, f"{origin}{job}"


def test_less_and_more_by_thumb(van):
    page, job = van
    page.goto(f"{job}/loads/0")
    box = page.get_by_label("Most it draws, watts").and_(page.locator("input"))
    for typed, button, becomes in [
        ("65", "More", "70"),
        ("63", "More", "65"),
        ("63", "Less", "60"),
        ("2", "Less", "0.01"),  # the least a load may be said to draw
        ("0", "Less", "0.01"),
        ("62,5 W", "More", "65 W"),
        ("", "More", "5"),
        ("about 60", "More", "about 60"),
    ]:
        box.fill(typed)
        page.get_by_role("button", name=f"{button}: Most it draws").tap()
        expect(box).to_have_value(becomes)


def test_steps_are_large_and_absent_without_scripts(a_phone, van):
    page, job = van
    page.goto(f"{job}/loads/0")
    begun(page)
    expect(page.locator(".step").first).to_be_visible()
    sizes = page.evaluate(
        "[...document.querySelectorAll('.step')].map((e) => e.getBoundingClientRect()).map((b) => [b.width, b.height])"
    )
    shown = [size for size in sizes if size[0]]
    assert len(shown) >= 10
    assert all(width >= 47.9 and height >= 47.9 for width, height in shown)
    plain = a_phone(java_script_enabled=False)
    plain.goto(f"{job}/loads/0")
    expect(plain.locator(".step").first).to_be_hidden()


def test_a_verdict_follows_what_is_typed(van):
    page, job = van
    page.goto(f"{job}/loads/0")
    line = page.locator('[data-part="line"]')
    expect(line).to_contain_text("Needs a converter: 12 V when nearly down is under 18.5 V")
    page.get_by_label("Lowest voltage it accepts").and_(page.locator("input")).fill("9")
    expect(line).to_contain_text("Straight from the battery")
    page.get_by_label("Highest voltage it accepts").and_(page.locator("input")).fill("13,2")
    expect(line).to_contain_text("Needs a converter: 14.4 V on charge is over 13.2 V")
    page.get_by_label("Highest voltage it accepts").and_(page.locator("input")).fill("8")
    expect(line).to_have_text("")


def test_measured_energy_fills_the_usual_draw(van):
    page, job = van
    page.goto(f"{job}/loads/0")
    begun(page)
    page.get_by_text("I measured it").tap()
    page.get_by_label("Energy on the meter").and_(page.locator("input")).fill("350")
    page.get_by_label("Over how long").and_(page.locator("input")).fill("8")
    expect(page.get_by_label("Usual draw while on, watts").and_(page.locator("input"))).to_have_value("43.8")


def test_bright_sun_comes_at_once_stays_and_needs_no_signal(chromium, van):
    job, page = van[1], real.patient(chromium.new_context(**real.PHONE)).new_page()  # its console may complain
    page.goto(f"{job}/loads/0")
    box = page.get_by_label("What it is").and_(page.locator("input"))
    box.fill("half typed")
    begun(page)
    page.context.set_offline(True)
    page.get_by_role("button", name="Bright sun").tap()
    expect(page.locator("body")).to_have_css("background-color", "rgb(255, 255, 255)")
    expect(box).to_have_value("half typed")
    page.context.set_offline(False)
    page.goto(job + "/limits")
    expect(page.locator("html")).to_have_attribute("data-theme", "sun")
    page.get_by_role("button", name="Bright sun").tap()
    expect(page.locator("html")).to_have_attribute("data-theme", "auto")
    page.context.close()


@pytest.mark.parametrize("step", ["battery", "places", "loads", "loads/0", "limits"])
def test_what_lies_at_the_bottom_covers_nothing_that_has_the_focus(van, step):
    page, job = van
    page.goto(f"{job}/{step}")
    hidden = []
    for _ in range(60):
        page.keyboard.press("Tab")
        found = page.evaluate(
            """() => {
                const here = document.activeElement, box = here.getBoundingClientRect();
                const dock = document.querySelector('.dock')?.getBoundingClientRect();
                if (!dock || here.closest('.dock') || !box.height || here === document.body) return '';
                return box.bottom > dock.top + 1 && box.top < dock.bottom - 1 ? here.outerHTML.slice(0, 90) : '';
            }"""
        )
        if found:
            hidden.append(found)
    assert hidden == []


def test_text_of_twice_the_size_fits_the_narrowest_phone(chromium, van):
    narrow = real.PHONE | {"viewport": {"width": 320, "height": 740}}
    job, page = van[1], real.patient(chromium.new_context(**narrow)).new_page()
    wide = {}
    origin = job.split("/jobs/")[0]
    steps = ("battery", "places", "places/0", "loads", "loads/0", "limits", "owned", "owned?kind=cable", "assumed")
    for path in (origin, f"{origin}/settings", *(f"{job}/{step}" for step in steps)):
        page.goto(path)
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        wide[path] = page.evaluate("document.documentElement.scrollWidth")
    page.context.close()
    assert {path: width for path, width in wide.items() if width > 320} == {}


@pytest.mark.parametrize(("step", "label"), [("places", "Name of the place"), ("loads", "OUTPUT line of its adapter")])
def test_what_is_typed_and_not_added_is_not_passed_over(van, step, label):
    page, job = van
    page.goto(f"{job}/{step}")
    place = "getComputedStyle(document.querySelector('.dock')).position"
    assert page.evaluate(place) == "sticky"
    page.get_by_label(label).and_(page.locator("input")).fill("12V 2A")
    page.get_by_role("heading", level=1).click()
    assert page.evaluate(place) == "static"
