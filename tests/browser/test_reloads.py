"""Pages that are gone a moment after something was typed, and what the strip says until it is kept."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hands import all_sent, anew, strip, within
from tests.browser.site import installed, open_kept
from tests.webapp.marks_kept import changes_of
from webapp import db

# Somebody else is at the database for a while.
BUSY_DATABASE = """(ms) => new Promise((begun) => {
    indexedDB.open('thriftloom').onsuccess = ({target}) => {
        const store = target.result.transaction('kept', 'readwrite').objectStore('kept'), ends = Date.now() + ms;
        const again = () => Date.now() < ends && (store.get('nothing').onsuccess = again);
        again();
        begun();
    };
})"""
SEND_AND_GO = """() => {
    document.querySelector('form[data-op=place]').requestSubmit();
    setTimeout(() => location.reload(), 20);
}"""
LISTEN = """() => {
    window.said = [];
    const strip = document.querySelector('.strip');
    new MutationObserver(() => said.push(strip.textContent)).observe(strip, {childList: true, subtree: true});
}"""


@pytest.fixture
def record(phone, site):
    """A phone on the page of measured values, with a server that hears it."""
    page = phone()
    open_kept(page, site, f"/plans/{site.plan}/record")
    all_sent(page)
    return page


def history(site, key):
    """Every value that a mark was ever given, oldest first."""
    return [mark.value for mark in changes_of(site.app.extensions[db.EXTENSION], site.plan, key)]


def first_reading(page):
    return page.locator(".reading input[data-mark]").first


def set_and_reload(page, key, value):
    """Change a mark as hands do, and be gone at once."""
    with page.expect_navigation():
        page.evaluate(
            """([key, value]) => {
                const mark = document.querySelector(`[name="${key}"]`);
                mark.value = value;
                for (const kind of ['input', 'change']) mark.dispatchEvent(new Event(kind, {bubbles: true}));
                location.reload();
            }""",
            [key, value],
        )


def test_a_value_changed_just_before_a_reload_is_kept_once(record, site):
    key = first_reading(record).get_attribute("name")
    within(record, BUSY_DATABASE, 2000)
    set_and_reload(record, key, "12.61")
    expect(first_reading(record)).to_have_value("12.61")
    all_sent(record)
    assert history(site, key) == ["12.61"]
    assert record.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('jot:'))") == []


def test_a_value_still_being_typed_is_kept_when_the_page_goes(record, site):
    box = record.locator(".reading input[data-mark]").nth(1)
    key = box.get_attribute("name")
    box.press_sequentially("12.5")
    expect(strip(record)).to_have_text("Not saved yet")
    with record.expect_navigation():
        record.evaluate("void location.reload()")
    expect(record.locator(".reading input[data-mark]").nth(1)).to_have_value("12.5")
    all_sent(record)
    assert history(site, key) == ["12.5"]


def test_saved_is_said_only_when_it_is(record):
    record.evaluate(LISTEN)
    record.context.set_offline(True)
    within(record, BUSY_DATABASE, 1500)
    box = record.locator(".reading input[data-mark]").nth(2)
    box.fill("12.4")
    box.blur()
    expect(strip(record)).to_have_text("Kept here, 1 waiting")
    assert record.evaluate("said") == ["Not saved yet", "Saving…", "Kept here, 1 waiting"]
    record.context.set_offline(False)
    anew(record)
    all_sent(record)


def test_a_form_sent_just_before_a_reload_is_done_once(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/places")
    before = [place.get("name") for place in site.document(site.job)["places"]]
    page.get_by_label("Name of the place").fill("Gone at once")
    page.get_by_label("Length of the run").fill("3")
    site.pause()
    try:
        page.evaluate(SEND_AND_GO)
        page.wait_for_timeout(300)
    finally:
        site.go_on()
    expect(page.locator("[data-list=place]")).to_contain_text("Gone at once")
    expect(page.get_by_label("Name of the place")).to_have_value("")
    all_sent(page)
    expect(strip(page)).to_have_text("Saved")
    assert [place.get("name") for place in site.document(site.job)["places"]] == [*before, "Gone at once"]


def test_a_form_that_is_typed_in_is_not_called_saved(phone, site):
    page = phone()
    page.goto(f"{site.origin}/jobs/{site.job}/places")
    installed(page)
    expect(strip(page)).to_have_text("Saved")
    page.get_by_label("Name of the place").fill("Half")
    expect(strip(page)).to_have_text("Not saved yet")
    page.get_by_label("Name of the place").fill("")
    expect(strip(page)).to_have_text("Saved")
