"""A plan on a phone of 360 by 740 points in a real browser: what is tapped there, and what its prints hold."""

from __future__ import annotations

import json
import re
from collections import Counter

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.shelf import MOST_LOADS, VAN, asked, crowded


def test_a_check_opens_on_a_tap_with_its_formula_and_source(a_phone, planned_van):
    page = a_phone()
    page.goto(f"{planned_van}/plan")
    page.get_by_role("link", name="Proof", exact=True).tap()
    circuit = page.locator(".fold", has=page.locator(".check", has_text="Volts lost on the way")).first
    circuit.locator(".fold__open").tap()  # what holds is folded by circuit
    check = circuit.locator(".check", has_text="Volts lost on the way").first
    expect(check.get_by_text("Source:")).to_be_hidden()
    check.locator("summary").tap()
    expect(check.get_by_text("Source:")).to_be_visible()
    expect(check.locator(".check__formula").first).to_contain_text("=")


# The mark of a tick, what it stands on, and its colour.
MARK = """(tick) => {
  const { backgroundColor, color } = getComputedStyle(tick)
  return [getComputedStyle(tick, "::before").content, backgroundColor, color]
}"""
CLEAR = "rgba(0, 0, 0, 0)"
CRITICAL = ("design aid", "thousands of amps", "No fuse, no connection", "can burst")
HEADINGS = ("Parts list", "Cut list", "Fuse schedule", "Order of work", "Measured on site", "Proof")


def test_a_docket_is_its_cautions_until_they_are_read_and_then_prints_whole(a_phone, origin, planned_van):
    page = a_phone()
    page.goto(origin)
    twin = page.locator(".card", has=page.locator(f"a[href='{planned_van.removeprefix(origin)}']"))
    twin.locator("summary").click()
    twin.get_by_role("button", name="Duplicate").click()
    expect(page.get_by_text("Duplicated:")).to_be_visible()
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
        assert 5 <= sheets_of(page, paper) <= 15


@pytest.mark.parametrize(
    ("part", "work"),
    [
        ("cut", "One cut at a time"),
        ("labels", "Fuse schedule"),
        ("wiring", "Wiring sketch"),
        ("record", "At the panel"),
    ],
)
def test_work_begins_on_the_first_screen_below_its_cautions_and_paper_has_them_whole(a_phone, shelf, part, work):
    page = a_phone()
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}/{part}")
    care, whole = page.locator(".brief__open"), page.locator(".brief__whole")
    first = page.get_by_text(work).first.bounding_box()
    assert first["y"] + first["height"] <= page.viewport_size["height"]
    assert care.bounding_box()["y"] < first["y"]
    expect(whole).to_be_hidden()
    gists = care.locator(".brief__gist")
    assert gists.count() >= 2
    assert all(each.is_visible() for each in gists.all())
    care.tap()
    expect(whole).to_be_visible()
    expect(gists.first).to_be_hidden()
    care.tap()
    page.emulate_media(media="print")
    assert all(each.is_visible() for each in whole.locator("p").all())
    expect(care).to_be_hidden()


def sheets_of(page, paper):
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(format=paper)))


# A screen reader is told of what is drawn; on a busy machine `far` comes at any moment (js/far.js).
DRAW_ALL = """() => {
  const all = new CSSStyleSheet()
  all.replaceSync(".far { content-visibility: visible !important; }")
  document.adoptedStyleSheets = [all]
}"""


def test_plans_side_by_side_are_a_table_whatever_the_screen_makes_of_it(a_phone, shelf):
    page = a_phone(is_mobile=False)
    page.goto(compared(shelf))
    row = page.locator("tr", has_text="Battery lasts")
    place = box_of(page)
    for width, is_above in ((360, True), (1280, False)):
        page.set_viewport_size({"width": width, "height": 740})
        title, *values = (each.bounding_box() for each in row.locator("th, td").all())
        assert values[0]["y"] == values[1]["y"]
        assert values[0]["x"] + values[0]["width"] <= values[1]["x"]
        assert (title["y"] + title["height"] <= values[0]["y"]) == is_above
        assert (title["x"] + title["width"] <= values[0]["x"]) != is_above
        assert place(".compare")["width"] <= width
        page.evaluate(DRAW_ALL)
        told, tables = roles_of(page), page.locator(".compare").count()
        assert (told["table"], told["row"]) == (tables, page.locator(".compare tr").count())
        assert (told["columnheader"], told["rowheader"]) == (2 * tables, told["row"] - tables)
        assert told["cell"] == 2 * told["rowheader"] + tables  # and the corner of each


def test_plans_side_by_side_print_on_two_sheets_with_their_cautions(a_phone, shelf):
    page = a_phone(is_mobile=False)
    page.goto(compared(shelf))
    assert 1 <= sheets_of(page, "A4") <= 2
    page.emulate_media(media="print")
    expect(page.get_by_text("design aid")).to_be_visible()
    expect(page.locator(".compare__letter").first).to_be_hidden()  # the heads of the columns are there


def compared(shelf):
    return f"{shelf.origin}/compare?plan={shelf.van_plan}&plan={shelf.unread_plan}"


def roles_of(page):
    """How often each role is in what a screen reader is told."""
    nodes = page.context.new_cdp_session(page).send("Accessibility.getFullAXTree")["nodes"]
    return Counter(node["role"]["value"] for node in nodes if "role" in node and not node["ignored"])


def test_a_job_of_200_loads_fits_the_screen(a_phone, origin):
    page = a_phone(is_mobile=False)
    job_id = asked(f"{origin}/api/jobs", crowded(json.loads(VAN.read_text())))["id"]
    for step in ("loads", f"loads/{MOST_LOADS - 1}", "limits"):
        page.goto(f"{origin}/jobs/{job_id}/{step}")
        page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
        if step == "loads":
            assert page.locator("[data-entry^='load/']:visible").count() == MOST_LOADS
        assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"], step


def test_in_bright_sun_a_tick_has_a_black_edge_and_what_a_part_must_be_is_large(a_phone, shelf):
    page = a_phone()
    page.context.add_cookies([{"name": "sun", "value": "on", "url": shelf.origin}])
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}/buy")
    style = "(one) => [getComputedStyle(one).borderTopWidth, getComputedStyle(one).borderTopColor]"
    tick = page.locator(".todo__tick").first
    tick.evaluate("(tick) => { tick.checked = false }")  # other tests tick lines of the same plan
    assert tick.evaluate(style) == ["2px", "rgb(0, 0, 0)"]
    size = page.locator(".todo__must").first.evaluate("(one) => parseFloat(getComputedStyle(one).fontSize)")
    assert size >= 16


@pytest.mark.parametrize("media", ["screen", "print"])
def test_a_set_tick_shows_its_mark(a_phone, shelf, media):
    page = a_phone()
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}/buy")
    page.emulate_media(media=media, color_scheme="light")
    tick = page.locator(".todo__tick").last
    tick.evaluate("(tick) => { tick.checked = true }")
    mark, ground, colour = tick.evaluate(MARK)
    assert mark == '"✓"'
    assert (ground == CLEAR) == (media == "print")  # paper takes no ground
    assert colour == ("rgb(0, 0, 0)" if media == "print" else "rgb(255, 255, 255)")


def test_at_320_points_the_head_is_one_row_and_words_beside_the_code_stay_whole(a_phone, shelf):
    page = a_phone(viewport={"width": 320, "height": 640})
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}/labels")
    boxes = map(box_of(page), (".case__name", ".case__about", ".sun__button"))
    middles = [box["y"] + box["height"] / 2 for box in boxes]
    assert max(middles) - min(middles) < 4
    assert len({each.bounding_box()["y"] for each in page.locator(".parts__link").all()}) == 2
    page.set_viewport_size({"width": 360, "height": 640})  # two labels side by side
    assert box_of(page)(".label--code .label__line")["width"] >= 80


def test_at_320_points_what_is_said_in_the_head_is_not_broken_within_a_word(a_phone, origin):
    page = a_phone(viewport={"width": 320, "height": 640})
    page.context.add_cookies([{"name": "language", "value": "de", "url": origin}])
    page.goto(origin)
    said = page.locator(".strip__line")
    expect(said).to_have_text("Gespeichert")
    assert said.bounding_box()["height"] <= 20  # one line of 17
    assert page.evaluate("document.documentElement.scrollWidth") == 320


def test_where_the_facts_of_a_job_are_broken_into_rows_no_point_is_left_over(a_phone, shelf):
    page = a_phone()
    page.goto(shelf.origin)
    facts = page.locator(".dots").first
    expect(facts).to_have_css("overflow-x", "clip")
    edge = facts.bounding_box()["x"]
    starts = [box["x"] for box in (each.bounding_box() for each in facts.locator("> *").all())]
    assert min(starts) < edge - 10  # the point before the first of a row is outside
    assert len(starts) > 2


WIDE_VALUE = """() => {
  const facts = { span: "Style of fuse", b: "Cylinder fuse 10\u00a0×\u00a038\u00a0mm", a: "change" }
  const row = document.createElement("li")
  for (const [kind, words] of Object.entries(facts))
    row.append(Object.assign(document.createElement(kind), { textContent: words }))
  row.children[1].className = "assumed__value"
  const list = Object.assign(document.createElement("ul"), { className: "assumed" })
  list.append(row)
  document.querySelector("main").append(list)
  return row.firstChild.getBoundingClientRect().width
}"""


def test_a_long_value_leaves_room_for_what_is_assumed(a_phone, shelf):
    page = a_phone(viewport={"width": 320, "height": 640})
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}")
    assert page.evaluate(WIDE_VALUE) >= 90


def test_whoever_looks_a_word_up_is_one_tap_from_the_form_and_what_was_typed(a_phone, origin):
    page = a_phone()
    page.goto(f"{origin}/jobs/new")
    capacity = page.get_by_label("Battery capacity").and_(page.locator("input"))
    capacity.fill("110")
    page.get_by_role("link", name="What is meant: Battery capacity").tap()
    page.wait_for_url("**/words#*")
    back = page.get_by_role("button", name="Back to where you were")
    expect(back).to_be_in_viewport()
    back.tap()
    page.wait_for_url("**/jobs/new")
    expect(capacity).to_have_value("110")
    page.goto(f"{origin}/words")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(back).to_be_hidden()


def box_of(page):
    return lambda selector: page.locator(selector).first.bounding_box()


def test_very_large_type_breaks_no_word_of_a_table(a_phone, shelf):
    page = a_phone()
    page.goto(f"{shelf.origin}/plans/{shelf.van_plan}/docket")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    part = page.locator(".table--parts .part", has_text="converter").first
    longest = part.evaluate("""(part) => {
      const words = document.createRange(), text = part.firstChild
      const at = text.data.indexOf('converter')
      words.setStart(text, at)
      words.setEnd(text, at + 'converter'.length)
      return words.getClientRects().length
    }""")
    assert longest == 1
    assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
