"""The pictures as a real browser draws them: letters large enough on a phone, nothing on top of anything, one sheet."""

from __future__ import annotations

import re

import pytest

from tests.browser import real

PARTS = ("", "/cut", "/wiring")
LEAST_PX = 12.0  # at 360 px
# Every line of text in a picture as drawn: its words, real size, box, and the box of its picture.
DRAWN = """
() => [...document.querySelectorAll('main svg[role=img]')].filter((svg) => svg.checkVisibility()).map((svg) => {
  const box = (element) => { const b = element.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom] }
  const texts = [...svg.querySelectorAll('text')].map((text) => ({
    words: text.textContent,
    size: parseFloat(getComputedStyle(text).fontSize) * Math.abs(text.getScreenCTM().d),
    box: box(text),
  }))
  return { label: svg.getAttribute('aria-label'), box: box(svg), texts }
})
"""

# The sketch and its cautions, without what comes after them.
ALONE = "document.querySelectorAll('main section:not(#sketch), .stamp, .foot').forEach((other) => other.remove())"
BREAKS = "(first) => getComputedStyle(first).breakInside"


@pytest.fixture(scope="module")
def plan_url(chromium, origin):
    """A plan with a junction and five circuits."""
    page = real.patient(chromium.new_page(java_script_enabled=False))
    real.plan_of(page, origin, "relay hut")
    address = page.url
    page.goto(f"{address}/cut")
    page.get_by_label("I have read this").check()  # before anything is cut
    page.get_by_role("button", name="Open the page").click()
    yield address
    page.close()


def drawn(page, address):
    page.goto(address)
    pictures = page.evaluate(DRAWN)
    assert any(picture["texts"] for picture in pictures)
    return pictures


def overlap(one, other):
    """Whether boxes share more than the leading that a line has above and below its letters."""
    spare = 3
    return (
        min(one[2], other[2]) - max(one[0], other[0]) > spare and min(one[3], other[3]) - max(one[1], other[1]) > spare
    )


@pytest.mark.parametrize("part", PARTS)
def test_letters_are_large_enough_on_a_phone(a_phone, plan_url, part):
    texts = [text for picture in drawn(a_phone(), plan_url + part) for text in picture["texts"]]
    assert [text["words"] for text in texts if text["size"] < LEAST_PX] == []


@pytest.mark.parametrize("width", [320, 360, 768, 1280])
@pytest.mark.parametrize("part", PARTS)
def test_words_stay_inside_and_clear_of_each_other(a_phone, plan_url, part, width):
    page = a_phone(viewport={"width": width, "height": 740})
    for picture in drawn(page, plan_url + part):
        left, top, right, bottom = picture["box"]
        for index, text in enumerate(picture["texts"]):
            x, y, to_x, to_y = text["box"]
            assert min(x - left, right - to_x) >= -1, text["words"]
            assert min(y - top, bottom - to_y) >= -4, text["words"]
            others = picture["texts"][index + 1 :]
            assert [other["words"] for other in others if overlap(text["box"], other["box"])] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("sheet", ["A4", "Letter"])
def test_the_wiring_sketch_keeps_to_one_sheet(chromium, plan_url, sheet):
    page = real.patient(chromium.new_page())
    page.goto(f"{plan_url}/wiring")
    page.evaluate(ALONE)
    assert sheets(page, sheet) <= 2  # the hut has runs outdoors: cautions may have a sheet before
    few = real.patient(chromium.new_page())
    few.goto(f"{plan_url}/wiring")
    few.evaluate(ALONE)
    few.evaluate("document.querySelectorAll('.wiring__circuit').forEach((one, at) => at > 1 && one.remove())")
    assert sheets(few, sheet) == 1  # a smaller one stands below its cautions
    few.close()
    page.evaluate("document.querySelectorAll('.caution').forEach((each) => each.remove())")
    assert sheets(page, sheet) == 1
    page.close()


def test_paper_keeps_together_what_is_read_together(chromium, plan_url):
    page = real.patient(chromium.new_page())
    page.emulate_media(media="print")
    for part, together in (
        ("/buy", ".sums"),
        ("/record", ".section:has(.reading)"),
        ("/wiring", ".wiring"),
        ("/docket", ".label-list"),
        ("/docket", "#energy"),
        ("/docket", ".table--parts caption"),
    ):
        page.goto(plan_url + part)
        assert page.locator(together).first.evaluate(BREAKS) == "avoid", together
    page.goto(f"{plan_url}/buy")
    assert page.locator(".sums").first.evaluate("(sums) => getComputedStyle(sums).breakBefore") == "avoid"
    page.goto(f"{plan_url}/record")
    assert page.locator(".marks .more:not([open])").first.is_hidden()  # nobody unfolds paper
    page.goto(f"{plan_url}/wiring")
    assert page.locator(".volts").evaluate("(volts) => getComputedStyle(volts).columnCount") == "3"
    page.close()


def sheets(page, paper):
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper, prefer_css_page_size=False)))
