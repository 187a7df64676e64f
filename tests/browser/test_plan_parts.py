"""The pages of a plan in a real browser: ticked, turned and judged by touch, without asking the server."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.hands import all_sent, anew, begun, within
from webapp.present import words
from webapp.present.record import judged
from webapp.services import marks
from webapp.texts import speaking

SAME_HIT_MS = 250  # a second hit of a row within a little less is one of a cold thumb, and nothing is taken away


@pytest.fixture
def offline(chromium, origin):
    """A phone that loses its signal on a page; the console may complain of that."""
    context = real.patient(chromium.new_context(**real.PHONE))
    yield context.new_page()
    context.close()


def cut_off(page):
    """No signal from here on; the page is at work."""
    begun(page)
    page.context.set_offline(True)


# Pages refuse eval, which Playwright's own wait asks by more than once.
UNTIL_AT_TOP = """() => new Promise((done) => {
    const look = () => {
        if (Math.abs(document.activeElement.getBoundingClientRect().top) <= 60) done();
        else requestAnimationFrame(look);
    };
    look();
})"""


def test_the_cautions_open_the_page_at_a_tick(offline, origin):
    page = offline
    page.goto(origin)
    hut = page.locator(".card", has_text="relay hut").first
    hut.locator("summary").click()
    hut.get_by_role("button", name="Duplicate").click()
    expect(page.get_by_text("Duplicated:")).to_be_visible()
    real.plan_of(page, origin, "relay hut")  # the twin, changed last: no other test has read its cautions
    page.goto(f"{page.url}/labels")
    expect(page.get_by_label("I have read this")).to_be_visible()
    cut_off(page)
    behind = page.locator("#after-reading")
    expect(behind).to_be_hidden()
    page.get_by_label("I have read this").check()
    expect(behind).to_be_visible()
    expect(page.get_by_role("heading", name="Label sheet")).to_be_visible()
    expect(behind).to_be_focused()
    within(page, UNTIL_AT_TOP)  # read from its beginning


def test_the_count_follows_the_ticks(a_phone, parts):
    page = a_phone()
    page.goto(parts[1])
    line = page.locator(".tally")
    done, left = figures(line)
    row = page.locator(".todo__row", has=page.locator("input:not(:checked)")).first
    price = float(row.locator(".todo__sum").inner_text())
    row.tap()
    expect(line).to_have_text(re.compile(rf"^{done + 1} of "))
    assert figures(line)[1] == pytest.approx(left - price)


def test_a_tick_looks_through_no_list_of_fields(a_phone, parts):
    """A long cut list has hundreds of them: each look would be felt."""
    page = a_phone()
    page.add_init_script("""
        window.looks = 0;
        const each = HTMLFormControlsCollection.prototype[Symbol.iterator];
        HTMLFormControlsCollection.prototype[Symbol.iterator] = function () { looks += 1; return each.call(this); };
    """)
    with page.expect_response("**/ping"):  # the last that a page does by itself
        page.goto(parts[2])
    begun(page)
    page.evaluate("looks = 0; [...document.forms[1].elements]")
    assert page.evaluate("looks") == 1
    line = page.locator(".tally")
    before = line.inner_text()
    page.locator(".todo__row").first.tap()
    expect(line).not_to_have_text(before)
    assert page.evaluate("looks") == 1


def test_the_line_of_what_is_saved_moves_nothing(offline, parts):
    page = offline
    page.goto(parts[6])
    expect(page.locator(".strip")).to_contain_text("Saved")
    place = "document.querySelector('h1').getBoundingClientRect().top + scrollY"
    page.locator(".case__job").evaluate("(job) => { job.textContent = 'A job whose name takes two lines here' }")
    high = page.evaluate(place)
    cut_off(page)
    page.locator(".todo__row").first.tap()
    link = page.locator(".strip a")
    expect(link).to_contain_text("1 waiting")
    assert page.evaluate(place) == high
    assert link.bounding_box()["height"] >= 44
    page.evaluate("dispatchEvent(new CustomEvent('newer'))")  # a second line
    expect(page.locator(".strip > *")).to_have_count(2)
    assert page.evaluate(place) == high


def test_the_head_of_a_page_leaves_a_phone_to_what_it_says(a_phone, parts):
    page = a_phone()
    for address in parts:
        page.goto(address)
        foot = page.locator(".parts").bounding_box()
        assert foot["y"] + foot["height"] <= 205, address


def test_what_is_left_to_pay_is_written_as_the_server_writes_it(a_phone, parts):
    page = a_phone()
    for language, sum_of_money in (("en", words.money(1_234_567_89)), ("de", "1\u202f234\u202f567,89")):
        page.context.add_cookies([{"name": "language", "value": language, "url": parts[1]}])
        page.goto(parts[1])
        begun(page)
        page.evaluate("""() => {
            const ticks = [...document.querySelectorAll("[data-cents]")];
            for (const tick of ticks) Object.assign(tick, { checked: true }).dataset.cents = 123456789;
            ticks[0].checked = false;
            dispatchEvent(new CustomEvent("marked", { detail: {} }));
        }""")
        assert sum_of_money in page.locator(".tally").inner_text()


def figures(line):
    done, _, left = re.search(r"(\d+) of (\d+) bought, ([\d.]+)", line.inner_text()).groups()
    return int(done), float(left)


def test_one_cut_after_the_other_without_the_server(offline, parts):
    page = offline
    page.goto(f"{parts[3]}?at=1")
    page.evaluate("window.isStillThere = true")
    cut_off(page)
    page.get_by_role("link", name="Next").tap()
    expect(page.locator("[data-line='2']")).to_be_visible()
    expect(page.locator("[data-line='1']")).to_be_hidden()
    expect(page).to_have_url(re.compile(r"\?at=2$"))
    expect(page.locator("[data-line='2'] h2")).to_be_focused()
    page.get_by_role("link", name="Back").tap()
    expect(page.locator("[data-line='1']")).to_be_visible()
    page.go_back()
    expect(page.locator("[data-line='2']")).to_be_visible()
    assert page.evaluate("window.isStillThere")


def test_it_says_whether_the_screen_stays_on(a_phone, parts):
    page = a_phone()
    page.add_init_script(
        "Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => new EventTarget() } })"
    )
    page.goto(parts[3])
    expect(page.get_by_text("The screen stays on")).to_be_visible()
    other = a_phone()
    other.add_init_script(
        "Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => { throw new Error() } } })"
    )
    other.goto(parts[3])
    expect(other.get_by_text("lets the screen go dark")).to_be_visible()


# Other tests measure here too. Scripts may come late: until they count.
EMPTIED = """() => new Promise((done) => {
    const line = document.querySelector("p.tally");
    line.textContent = "";
    for (const each of document.querySelectorAll("[data-due]")) each.value = "";
    const ask = () => {
        dispatchEvent(new CustomEvent("marked", { detail: {} }));
        if (line.textContent) done();
        else setTimeout(ask, 100);
    };
    ask();
})"""


def test_from_one_value_to_the_next_by_the_link_and_by_enter_without_the_server(offline, parts):
    page = offline
    page.goto(parts[7])
    within(page, EMPTIED)
    expect(page.locator(".for-no-script")).to_be_hidden()  # ticks and values are taken by the script
    cut_off(page)
    due = page.locator("[data-due]")
    onward, line = page.get_by_role("link", name="Next value to measure"), page.locator("p.tally")
    expect(line).to_have_text(f"0 of {due.count()} measured")
    expect(onward).to_be_in_viewport()
    onward.tap()
    expect(due.nth(0)).to_be_focused()
    due.nth(0).fill("12.5")
    due.nth(0).press("Enter")
    expect(due.nth(1)).to_be_focused()
    expect(line).to_have_text(f"1 of {due.count()} measured")
    expect(page.locator(".jump a").first).to_contain_text("1 of 1")
    due.nth(2).focus()  # one that was left out on purpose
    due.nth(2).press("Enter")
    expect(due.nth(3)).to_be_focused()
    assert page.evaluate("location.hash") == ""  # the way back is not through every value
    page.emulate_media(media="print")
    expect(onward).to_be_hidden()


def test_what_cannot_be_read_is_not_counted_and_come_back_to_without_the_server(offline, parts):
    page = offline
    page.goto(parts[7])
    within(page, EMPTIED)
    cut_off(page)
    due, line = page.locator("[data-due]"), page.locator("p.tally")
    expect(line).to_have_text(f"0 of {due.count()} measured")
    for n in range(due.count()):
        due.nth(n).fill("12.x" if n == 1 else "12.5")
        due.nth(n).blur()
    expect(line).to_have_text(f"{due.count() - 1} of {due.count()} measured")
    onward = page.get_by_role("link", name="Next value to measure")
    onward.tap()
    expect(due.nth(1)).to_be_focused()
    due.nth(1).fill("12.4")
    due.nth(1).blur()
    expect(line).to_have_text(f"{due.count()} of {due.count()} measured")
    expect(onward).to_be_hidden()


def test_a_longer_run_is_judged_without_the_server(offline, parts):
    page = offline
    page.goto(parts[7])
    cut_off(page)
    page.locator("summary", has_text="than planned?").first.tap()
    one = page.locator(".reading", has_text="Run really laid").first
    most = float(one.get_attribute("data-most"))
    over = f"{most + 0.01:.2f}"
    for typed, verdict in ((f"{most}", "within"), (over, "above"), ("-1", "reversed"), ("long", "unreadable")):
        one.locator("input").fill(typed)
        one.locator("input").blur()
        expect(one.locator("[data-verdict]:visible")).to_have_attribute("data-verdict", verdict)
    for typed, verdict in (("3100 ft", "above"), ("1e9", "unreadable"), ("0 ft 3 in", "within")):
        one.locator("input").fill(typed)
        one.locator("input").blur()
        expect(one.locator("[data-verdict]:visible")).to_have_attribute("data-verdict", verdict)


TYPED = """
12|12.1|12,1|-12|−12|.5|,5|12V|12,1V|12100mV|12.100mV|12,100mV|1,234V|1.234V|0,125V|12MV|12mv|1e9|1e3|12.1.2|12A|twelve
5ft|15'|15ft6in|15'6"|320cm|31|1kW|1KW|5MW|500mA|12V.|12VDC|12VAC|12~|1/2|++3|3+|3-4|0x10|Infinity|NaN|12 V|20 000
20 000,5 mV|12 34 V|1 234| 12 |5 ft 6 in|12 V dc|- 3|99999999999999999999999999999999999999999|1 V
"""
TEXTS = re.split("[|\n]", TYPED.strip("\n"))


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_figure_is_judged_the_same_with_and_without_the_server(a_phone, parts, origin, language):
    page = a_phone()
    page.goto(parts[7])
    script = page.locator("script[src$='main.js']").get_attribute("src").replace("main.js", "modules/recheck.js")
    told = page.evaluate(
        """async ([script, texts, point]) => {
            const { judged } = await import(script);
            const worth = JSON.parse(document.getElementById('worth').dataset.units);
            const said = (kind) => (text) => [kind, text, judged(text, 2.5, 300, worth[kind], point)];
            return Object.keys(worth).flatMap((kind) => texts.map(said(kind)));
        }""",
        [script, TEXTS, {"en": ".", "de": ","}[language]],
    )
    assert len(told) > 200
    with speaking(language):
        kept = {text: marks.clean_value("measured/C1/end_v", text) for text in TEXTS}
        assert [(kind, text, said) for kind, text, said in told if kind != "ft"] == [
            (kind, text, judged(kept[text], kind, 2.5, 300)) for kind, text, _ in told if kind != "ft"
        ]


def test_a_run_measured_in_feet_is_kept_as_feet(a_phone, parts, origin):
    """The script sends what was typed: without its unit, another device would read it in metres."""
    page = a_phone()
    page.context.add_cookies([{"name": "units", "value": "awg", "url": origin}])
    page.goto(parts[7])
    begun(page)
    laid = page.locator("input[name$='/run_m']").first
    name = laid.get_attribute("name")
    laid.evaluate("(input) => { input.closest('details').open = true; }")
    laid.fill("10")
    with page.expect_response("**/sync"):
        laid.press("Tab")
    all_sent(page)
    anew(page)
    expect(page.locator(f"input[name='{name}']")).to_have_value("10")
    page.context.add_cookies([{"name": "units", "value": "metric", "url": origin}])
    page.goto(parts[7])
    begun(page)
    expect(page.locator(f"input[name='{name}']")).to_have_value("3.05")
    page.locator(f"input[name='{name}']").fill("")
    with page.expect_response("**/sync"):
        page.locator(f"input[name='{name}']").press("Tab")
    all_sent(page)


def test_the_next_step_to_build_is_one_tap_away(a_phone, parts):
    page = a_phone()
    page.goto(parts[6])
    onward, next_row = page.get_by_role("link", name="To the next step"), page.locator("#next .todo__row")
    expect(next_row).not_to_be_in_viewport()
    onward.tap()
    expect(next_row).to_be_in_viewport()
    line = page.locator(".tally")
    before, done = line.inner_text(), next_row.locator("input[data-mark]").get_attribute("name")
    next_row.tap()
    expect(line).not_to_have_text(before)
    first_open = page.locator(".todo__tick:not(:checked)").first.get_attribute("name")
    assert first_open != done
    assert next_row.locator("input[data-mark]").get_attribute("name") == first_open
    page.evaluate("scrollTo(0, 0)")
    onward.tap()
    expect(next_row).to_be_in_viewport()
    page.wait_for_timeout(SAME_HIT_MS)  # a quick machine is back here in less
    page.locator(".todo__row", has=page.locator(f"input[name='{done}'][data-mark]")).tap()
    expect(line).to_have_text(before)


@pytest.mark.parametrize("spoken", ["en-GB", "de-DE"])
def test_the_pages_of_a_plan_stand_in_two_rows_on_every_phone(a_phone, parts, spoken):
    page = a_phone(locale=spoken)
    page.goto(parts[1])
    for width in range(320, 431, 5):
        page.set_viewport_size({"width": width, "height": 740})
        tops = page.locator(".parts__link").evaluate_all("all => all.map(each => each.getBoundingClientRect().top)")
        assert len(tops) == 9
        assert len(set(tops)) == 2, width
