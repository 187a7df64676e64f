"""Forms stated without a signal: what the browser says at once, and what the server says later."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.hands import add_place, all_sent, anew, heading, strip, within
from tests.browser.site import open_kept


def loads(site):
    return [load.get("name") for load in site.document(site.job)["loads"]]


def test_what_is_missing_is_said_before_anything_waits(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/loads/new")
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/{site.job}/loads/new")
    add = page.get_by_role("button", name="Add this load")
    add.click()
    name = page.get_by_label("What it is")
    expect(name).to_be_focused()
    assert name.evaluate("(field) => field.validationMessage")
    name.fill("Chart plotter")
    add.click()
    expect(page.locator("[name=form]")).to_be_focused()
    expect(page).to_have_url(re.compile("/loads/new$"))
    expect(strip(page)).not_to_contain_text("waiting")
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    add_place(page, "Wheelhouse", "2,5 m")
    expect(strip(page)).to_contain_text("1 waiting")


def test_what_cannot_be_is_said_before_anything_waits(phone, site):
    """By what the definition of a job says, in the page's own unit; another unit is for the server to judge."""
    page = phone()
    places = f"/jobs/{site.job}/places"
    open_kept(page, site, places)
    page.context.set_offline(True)
    page.goto(site.origin + places)
    name, run = page.get_by_label("Name of the place"), page.get_by_label("Length of the run")
    add = page.get_by_role("button", name="Add this place")
    refused = (
        ("   ", "3", name, ""),
        ("Bow", "  ", run, ""),
        ("Bow", "far", run, ""),
        ("Bow", "501", run, "From 0.01 to 500\u00a0m."),
        ("Bow", "0,001", run, "From 0.01 to 500\u00a0m."),
    )
    for called, length, wrong, said in refused:
        name.fill(called)
        run.fill(length)
        add.click()
        expect(wrong).to_be_focused()
        assert said in wrong.evaluate("(field) => field.validationMessage")
        page.get_by_role("heading", level=1).click()
    expect(strip(page)).not_to_contain_text("waiting")
    run.fill("501 ft")
    add.click()
    expect(strip(page)).to_contain_text("1 waiting")


def test_less_and_more_stop_at_what_a_field_takes(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/{site.job}/places/0")
    page.get_by_text("More about this run").click()
    bundled = page.locator("[name=bundled]")
    bundled.fill("2")
    for _tap in range(3):
        page.get_by_role("button", name="Less: Conductors bundled").click()
    expect(bundled).to_have_value("1")
    bundled.fill("999")
    for _tap in range(3):
        page.get_by_role("button", name="More: Conductors bundled").click()
    expect(bundled).to_have_value("1000")


# As browsers were in 2022.
OLDER = """
    delete AbortSignal.timeout;
    const Data = FormData;
    window.FormData = function (form) { return new Data(form); };
"""


def test_a_browser_of_some_years_ago_sends_a_form_at_once_and_with_its_button(phone, site):
    page = phone(service_workers="block")
    page.add_init_script(OLDER)
    page.goto(f"{site.origin}/jobs/{site.job}/loads")
    all_sent(page)
    before, queued = len(loads(site)), []
    page.on("request", lambda request: request.url.endswith("/sync") and queued.append(request.url))
    page.get_by_role("button", name="Router 12").tap()
    expect(page.locator("#added")).to_be_visible()
    all_sent(page)
    assert len(loads(site)) == before + 1
    assert queued == []


def test_a_refused_usual_load_leads_back_to_where_it_was_tapped(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/loads")
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/{site.job}/loads")
    where = page.locator("[name=where]")
    place = where.locator("option").last.get_attribute("value")
    where.select_option(place)
    usual = page.get_by_role("button", name="Router 12")
    usual.evaluate("(button) => { button.value = 'from-an-older-page'; }")
    usual.click()
    expect(strip(page)).to_contain_text("1 waiting")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    page.get_by_role("link", name="Open it and mend it").click()
    expect(heading(page)).to_have_text("What should it feed?")
    expect(where).to_have_value(place)
    before = len(loads(site))
    page.locator("[name=preset][value=router]").click()
    all_sent(page)
    expect(strip(page)).to_have_text("Saved")
    assert len(loads(site)) == before + 1


def test_a_closed_part_of_the_form_opens_where_something_is_missing(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/places/0")
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/{site.job}/places/0")
    bundled = page.locator("[name=bundled]")
    bundled.evaluate("(field) => { field.value = ''; }")
    page.get_by_role("button", name="Save").click()
    expect(bundled).to_be_focused()
    expect(strip(page)).not_to_contain_text("waiting")


def test_a_usual_load_asks_for_no_output_line(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/loads")
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/{site.job}/loads")
    page.get_by_role("button", name="Add from its OUTPUT line").click()
    expect(page.locator("[name=output]")).to_be_focused()
    expect(strip(page)).not_to_contain_text("waiting")
    page.get_by_role("button", name="Router 12").click()
    expect(strip(page)).to_contain_text("1 waiting")


def test_a_refused_output_line_is_mended_where_it_was_typed(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/loads")
    page.context.set_offline(True)
    page.goto(f"{site.origin}/jobs/{site.job}/loads")
    page.locator("[name=output]").fill("nineteen volts")
    page.locator("[name=what]").fill("Old laptop")
    page.get_by_role("button", name="Add from its OUTPUT line").click()
    expect(strip(page)).to_contain_text("1 waiting")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    page.get_by_role("link", name="Open it and mend it").click()
    expect(heading(page)).to_have_text("What should it feed?")
    expect(page.locator("[name=output]")).to_have_value("nineteen volts")
    expect(page.locator("[name=what]")).to_have_value("Old laptop")
    page.locator("[name=output]").fill("19.5V 3.34A")
    page.get_by_role("button", name="Add from its OUTPUT line").click()
    all_sent(page)
    expect(strip(page)).to_have_text("Saved")
    assert loads(site).count("Old laptop") == 1


def test_a_refused_mark_is_mended_where_it_was_typed(phone, site):
    page = phone()
    record = f"/plans/{site.plan}/record"
    open_kept(page, site, record)
    page.goto(site.origin + record)
    field = page.locator("input[type=text][data-mark]").first
    too_long = "1" * 500
    field.fill(too_long)
    field.press("Tab")
    expect(strip(page)).to_contain_text("Needs you (1)")
    page.goto(f"{site.origin}/settings")
    page.get_by_role("link", name="Open it and mend it").click()
    expect(field).to_have_value(too_long)
    field.fill("12.5")
    field.press("Tab")
    expect(strip(page)).to_have_text("Saved")
    anew(page)
    expect(field).to_have_value("12.5")


def test_a_tick_taken_back_is_set_on_no_copy(phone, site):
    page = phone()
    buy = f"/plans/{site.plan}/buy"
    open_kept(page, site, buy)
    tick = page.locator("[data-mark]").last
    expect(tick).not_to_be_checked()
    page.context.set_offline(True)
    page.goto(site.origin + buy)
    tick.check()
    expect(strip(page)).to_contain_text("1 waiting")
    page.goto(f"{site.origin}/settings")
    page.get_by_role("button", name="Take back").click()
    expect(page.get_by_text("Nothing waits")).to_be_visible()
    page.goto(site.origin + buy)
    expect(strip(page)).to_contain_text("no signal")
    expect(tick).not_to_be_checked()


def test_the_list_of_jobs_says_of_which_one_a_tick_waits(phone, site):
    page = phone()
    buy = f"/plans/{site.plan}/buy"
    open_kept(page, site, buy)
    page.context.set_offline(True)
    page.goto(site.origin + buy)
    page.locator("[data-mark]").first.tap()
    expect(strip(page)).to_contain_text("1 waiting")
    page.goto(site.origin)
    expect(page.locator(f"[data-entry='job/{site.job}'] .card__title")).to_contain_text("waiting")


# What is chosen is noted after it has left the list of what waits.
REMARKED = """async ([plan, key, said]) => {
    const main = document.querySelector("script[src$='/js/main.js']").src;
    const { marked } = await import(main.replace(/main\\.js$/, "offline/outbox.js"));
    while ((await marked(plan))[key]?.[0] !== said) await new Promise((done) => setTimeout(done, 50));
}"""


def test_what_the_other_device_measured_is_on_every_copy_once_it_is_chosen(phone, site):
    page = phone()
    record = f"/plans/{site.plan}/record"
    open_kept(page, site, record)
    field = page.locator("input[type=text][data-mark]").last
    key = field.get_attribute("name")
    page.context.set_offline(True)
    page.goto(site.origin + record)
    field.fill("12.1")
    field.press("Tab")
    expect(strip(page)).to_contain_text("1 waiting")
    site.mark(key, "12.4")
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    page.get_by_role("button", name="The other").click()
    expect(page.get_by_text("Nothing waits")).to_be_visible()
    within(page, REMARKED, [site.plan, key, "12.4"])
    page.context.set_offline(True)
    page.goto(site.origin + record)
    expect(strip(page)).to_contain_text("no signal")
    expect(field).to_have_value("12.4")


def test_a_list_says_what_was_changed_here_and_then_what_the_server_has(phone, site):
    """The old length stood there without a word, and after the change was sent as well."""
    page = phone()
    places = f"/jobs/{site.job}/places"
    open_kept(page, site, places)
    row = page.locator("[data-list=place] > *").first
    name = row.locator(".card__title").inner_text()
    page.context.set_offline(True)
    row.get_by_role("link").click()
    page.get_by_label("Length of the run").fill("7,3")
    page.get_by_role("button", name="Save").click()
    expect(heading(page)).to_have_text("Where are the loads?")
    expect(row).to_contain_text("Length of the run, metres: 7,3")
    expect(row.locator(".card__title")).to_have_text(f"{name} waiting")
    page.context.set_offline(False)
    all_sent(page)
    expect(row).to_contain_text("7.3 m from the panel")
    expect(row.locator(".card__title")).to_have_text(name)


def test_a_page_somebody_types_in_is_not_taken_away_when_what_waited_was_sent(phone, site):
    page = phone()
    places = f"/jobs/{site.job}/places"
    open_kept(page, site, places)
    row = page.locator("[data-list=place] > *").first
    page.context.set_offline(True)
    row.get_by_role("link").click()
    page.get_by_label("Length of the run").fill("6,1")
    page.get_by_role("button", name="Save").click()
    expect(row).to_contain_text("6,1")
    page.get_by_label("Name of the place").fill("Half a na")
    page.context.set_offline(False)
    newer = strip(page).get_by_role("link", name="A newer one is here: open it")
    expect(newer).to_be_visible()
    expect(page.get_by_label("Name of the place")).to_have_value("Half a na")
    newer.click()
    expect(row).to_contain_text("6.1 m from the panel")
    expect(page.get_by_label("Name of the place")).to_have_value("Half a na")


def test_what_a_page_says_is_not_stored_is_not_called_saved_above_it(phone, site):
    """Where two changed the same, and where a form came too late."""
    page = phone()
    place = f"{site.origin}/jobs/{site.job}/places/0"
    page.goto(place)
    other = page.context.new_page()
    other.goto(place)
    for tab, length in ((other, "4,4"), (page, "4,6")):
        tab.get_by_label("Length of the run").fill(length)
        tab.get_by_role("button", name="Save").click()
        expect(heading(tab)).not_to_have_text("Change a place")
    expect(heading(page)).to_have_text("Two devices changed the same")
    expect(strip(page)).to_have_text("Not saved yet")
    page.locator(".radios__one", has_text="yours, just now").click()
    page.get_by_role("button", name="Save my choice").click()
    expect(strip(page)).to_have_text("Saved")
    page.goto(f"{site.origin}/jobs/{site.job}/what-if")
    page.context.clear_cookies()
    page.get_by_role("button", name="Plan and compare").click()
    expect(heading(page)).to_have_text("Open for too long")
    expect(strip(page)).to_have_text("Not saved yet")


def test_on_the_way_back_a_choice_is_what_the_server_holds_by_now(phone, site):
    """The browser put in what was sent before: the page said "Not saved yet" and kept a draft nobody had typed."""
    page, other, at = phone(), phone(), f"{site.origin}/jobs/{site.job}/battery"
    page.goto(at)
    chosen = page.get_by_label("Type of battery")
    expect(chosen).not_to_have_value("lithium")
    for device, kind in ((page, "lithium"), (other, "agm")):
        device.goto(at)
        device.get_by_label("Type of battery").select_option(kind)
        device.get_by_role("button", name="Save, next: places").tap()
        expect(heading(device)).to_have_text("Where are the loads?")
    page.go_back()
    expect(strip(page)).to_have_text("Saved")
    expect(chosen).to_have_value("agm")


def test_once_what_waited_is_sent_nothing_says_that_there_is_no_signal(phone, site):
    page = phone()
    open_kept(page, site, f"/plans/{site.plan}/buy")
    page.context.set_offline(True)
    anew(page)
    expect(strip(page)).to_contain_text("no signal")
    page.locator(".todo__row").first.tap()
    expect(strip(page)).to_contain_text("1 waiting")
    page.context.set_offline(False)
    expect(strip(page)).to_have_text(re.compile(r"^As of [^,]+$"))  # still a copy
