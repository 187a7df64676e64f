"""Answers that come late: after something was saved, and after the language was changed."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.hands import begun, heading, strip
from tests.browser.site import HOLDING, SPEAKS, Hold, Site, open_kept

PATIENCE_MS = 3500  # the worker's, and a little
LONG_PATIENCE_MS = 15_500
IN_GERMAN = """async (paths) => {
    for (let tries = 0; tries < 600; tries++) {
        const name = (await caches.keys()).find((name) => /^words-.* de /.test(name));
        const words = name && (await caches.open(name));
        const found = await Promise.all(paths.map((path) => words?.match(path, { ignoreVary: true })));
        if (found.every(Boolean)) return true;
        await new Promise((done) => setTimeout(done, 100));
    }
    return false;
}"""


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("late"))
    site.start(HOLDING)
    yield site
    site.close()


def save_drop(page, site, percent):
    """Save a limit with a signal, by a form that stays on its page."""
    page.locator("[name=drop_pct]").fill(percent)
    page.get_by_role("button", name="Save only").click()


def test_a_page_late_after_saving_is_waited_for(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    hold = Hold(site, f"/jobs/{site.job}/limits")
    save_drop(page, site, "2.1")
    hold.until_asked(page)
    landed = []
    page.on("framenavigated", lambda frame: landed.append(frame.url))
    page.wait_for_timeout(PATIENCE_MS + 1500)
    assert landed == []
    hold.let_go()
    expect(page.locator("[name=drop_pct]")).to_have_value("2.1")
    expect(strip(page)).to_have_text("Saved")


def test_a_page_that_lacks_what_was_saved_while_it_was_on_its_way_gives_way(phone, site):
    """What another page saved was taken after the server made this one, and before this one listened."""
    page = phone()
    limits = f"/jobs/{site.job}/limits"
    open_kept(page, site, limits)
    other = page.context.new_page()
    other.goto(f"{site.origin}/words")
    hold = Hold(site, limits)
    other.evaluate("(path) => { location.href = path; }", limits)
    hold.until_asked(page)
    save_drop(page, site, "2.6")
    expect(page.locator("[name=drop_pct]")).to_have_value("2.6")
    expect(strip(page)).to_have_text("Saved")
    assert other.url.endswith("/words")  # soon enough: no copy stands in
    hold.let_go()
    expect(other.locator("[name=drop_pct]")).to_have_value("2.6")
    expect(strip(other)).to_have_text("Saved")


def test_a_copy_from_before_saving_says_so_and_gives_way(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    hold = Hold(site, f"/jobs/{site.job}/limits")
    save_drop(page, site, "2.2")
    hold.until_asked(page)
    page.wait_for_timeout(LONG_PATIENCE_MS)
    expect(strip(page)).to_contain_text("from before your last change")
    expect(page.locator("[name=drop_pct]")).not_to_have_value("2.2")
    hold.let_go()
    expect(page.locator("[name=drop_pct]")).to_have_value("2.2")
    expect(strip(page)).to_have_text("Saved")


def test_a_copy_does_not_give_way_under_typing_hands(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    hold = Hold(site, f"/jobs/{site.job}/limits")
    save_drop(page, site, "2.3")
    hold.until_asked(page)
    page.wait_for_timeout(LONG_PATIENCE_MS)
    expect(strip(page)).to_contain_text("from before your last change")
    page.locator("[name=headroom_pct]").fill("31")
    hold.let_go()
    newer = page.get_by_role("link", name="A newer one")
    expect(newer).to_be_visible()
    expect(page.locator("[name=headroom_pct]")).to_have_value("31")
    newer.click()
    expect(page.locator("[name=drop_pct]")).to_have_value("2.3")
    expect(page.locator("[name=headroom_pct]")).to_have_value("31")


def test_what_stands_in_for_a_page_that_is_not_here_stays_after_a_change_that_was_sent(phone, site):
    """It is older than most changes, and nothing newer can come: it loaded anew for ever."""
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    with page.expect_navigation():
        save_drop(page, site, "2.4")
    expect(strip(page)).to_have_text("Saved")
    page.context.set_offline(True)
    loaded = []
    page.on("load", lambda shown: loaded.append(shown.url))
    never_opened = [f"/jobs/{site.job}/owned?kind=cable", f"/jobs/{site.job}/what-if", "/compare"]
    for path in never_opened:
        page.goto(site.origin + path)
        begun(page)
        page.wait_for_timeout(1500)
    assert loaded == [site.origin + path for path in never_opened]


def test_an_answer_in_the_old_language_comes_too_late_to_be_kept(phone, site):
    page = phone()
    limits = f"/jobs/{site.job}/limits"
    open_kept(page, site, limits)
    other = page.context.new_page()
    hold = Hold(site, limits)
    other.goto(site.origin + limits, timeout=60_000)  # a copy, after a while
    expect(other.locator("html")).to_have_attribute("lang", "en")
    assert hold.held.exists()
    page.goto(site.origin)
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    assert page.evaluate(SPEAKS, [f"/jobs/{site.job}/plan", limits, 'lang="de"'])
    hold.let_go()
    page.wait_for_timeout(1500)
    page.context.set_offline(True)
    page.goto(site.origin + limits)
    expect(page.locator("html")).to_have_attribute("lang", "de")
    expect(strip(page)).to_contain_text("kein Netz")


def test_hands_faster_than_the_new_language_see_no_page_in_the_old_one(phone, site):
    page = phone()
    open_kept(page, site, f"/jobs/{site.job}/limits")
    page.goto(f"{site.origin}/words")
    hold = Hold(site, "/words")
    page.goto(site.origin)
    page.get_by_role("button", name="Deutsch").click()
    expect(page.locator("html")).to_have_attribute("lang", "de")
    hold.until_asked(page)
    page.context.set_offline(True)
    for path in ("/words", "/jobs/new", f"/jobs/{site.job}/limits", "/settings", "/"):
        page.goto(site.origin + path)
        is_plain = heading(page).inner_text() in ("No signal here", "Hier ist kein Netz")
        assert is_plain or page.locator("html").get_attribute("lang") == "de", path
    hold.let_go()
    page.context.set_offline(False)
    page.goto(f"{site.origin}/settings")
    assert page.evaluate(IN_GERMAN, ["/words", "/jobs/new", "/offline"])
    page.context.set_offline(True)
    for path in ("/words", "/jobs/new", "/"):
        page.goto(site.origin + path)
        expect(page.locator("html")).to_have_attribute("lang", "de")
        assert heading(page).inner_text() != "Hier ist kein Netz", path
