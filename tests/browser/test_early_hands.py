"""Hands faster than a part of a page's scripts, as on a thin line: what comes late catches up with them."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.hands import all_sent, begun, strip, until


@pytest.fixture
def late(phone, site):
    """Opens a page of the plan one of whose modules comes when it is let go; nothing is sent meanwhile."""

    def open_one(part, module):
        page, held = phone(service_workers="block"), []
        page.route("**/ping", lambda route: route.abort())
        page.route(f"**/modules/{module}.js", lambda route: held.append(route))
        page.goto(f"{site.origin}/plans/{site.plan}/{part}")

        def let_go():
            expect(strip(page)).to_contain_text("1 waiting")  # all the others have had their say
            held[0].continue_()

        return page, let_go

    return open_one


def test_a_tick_before_the_count_is_there_is_counted(late):
    page, let_go = late("buy", "tally")
    expect(page.locator(".tally")).to_have_text(re.compile("^0 of "))
    page.locator(".todo__row").first.tap()
    let_go()
    expect(page.locator(".tally")).to_have_text(re.compile("^1 of "))


def test_cautions_ticked_before_their_page_can_open_open_it(late):
    page, let_go = late("labels", "read-first")
    page.get_by_label("I have read this").check()
    let_go()
    expect(page.locator("#after-reading")).to_be_focused()
    expect(page.get_by_role("heading", name="Label sheet")).to_be_visible()


def test_a_value_typed_before_it_can_be_judged_is_judged(late):
    page, let_go = late("record", "recheck")
    one = page.locator(".reading").first
    one.locator("input").tap()  # what no hand has touched is not taken for typed
    one.locator("input").fill("-12")
    one.locator("input").blur()
    let_go()
    expect(one.locator("[data-verdict]:visible")).to_have_attribute("data-verdict", "reversed")


@pytest.fixture
def before_anybody_listens(phone, site):
    """Opens a step of a job whose forms nobody listens to until it is let go, and tells how its forms were sent."""
    page, sent = phone(service_workers="block"), []
    page.on("request", lambda each: each.method == "POST" and sent.append(each.headers.get("thriftloom-go")))

    def open_one(step):
        held = []
        page.route("**/offline/start.js", lambda route: held.append(route), times=1)
        page.goto(f"{site.origin}/jobs/{site.job}/{step}")

        def let_go():
            until(page, lambda: held)
            held[0].continue_()

        return page, let_go, sent

    return open_one


def drafts(page):
    return page.evaluate("Object.keys(localStorage).filter((name) => name.startsWith('draft:'))")


def add_early(page, name):
    page.get_by_label("Name of the place").fill(name)
    page.get_by_label("Length of the run").fill("3")
    until(page, lambda: drafts(page))
    page.get_by_role("button", name="Add this place").click()


def test_a_form_sent_before_anybody_listens_is_sent_once_somebody_does(before_anybody_listens):
    """Sent by the browser itself it left what was typed behind: the next page offered to save it once more."""
    page, let_go, sent = before_anybody_listens("places")
    add_early(page, "Fore peak")
    assert sent == []
    let_go()
    expect(page.locator("[data-list=place]")).to_contain_text("Fore peak")
    all_sent(page)
    assert sent == ["1"]
    expect(page.get_by_label("Name of the place")).to_have_value("")
    assert drafts(page) == []


def test_a_form_sent_and_nobody_comes_to_listen_is_sent_by_the_browser(before_anybody_listens):
    page, _let_go, sent = before_anybody_listens("places")
    add_early(page, "Chain locker")
    expect(page.locator("[data-list=place]")).to_contain_text("Chain locker")
    assert sent == [None]


def test_what_was_typed_another_day_is_not_sent_unseen(before_anybody_listens, site):
    page, _let_go, _sent = before_anybody_listens("limits")
    page.locator("[name=drop_pct]").fill("4.5")
    until(page, lambda: drafts(page))
    page, let_go, sent = before_anybody_listens("limits")
    page.locator("[name=headroom_pct]").fill("27")
    page.get_by_role("button", name="Save only").click()
    let_go()
    expect(page.locator("[name=drop_pct]")).to_have_value("4.5")
    expect(page.locator("[name=headroom_pct]")).to_have_value("27")
    expect(strip(page)).to_contain_text("Not saved yet")
    assert sent == []
    page.get_by_role("button", name="Save only").click()
    all_sent(page)
    limits = site.document(site.job)["limits"]
    assert (limits["drop_pct"], limits["headroom_pct"]) == (4.5, 27)


def test_a_form_whose_page_was_left_before_anybody_listened_is_not_sent_on_the_way_back(before_anybody_listens):
    """A browser that keeps the page as it was shows it again, and its timers go on."""
    page, let_go, sent = before_anybody_listens("places")
    add_early(page, "Lazarette")
    busy = page.locator("form[aria-busy]")
    expect(busy).to_have_count(1)
    page.evaluate("void dispatchEvent(new PageTransitionEvent('pagehide', { persisted: true }))")
    expect(busy).to_have_count(0)
    let_go()
    begun(page)
    expect(strip(page)).to_contain_text("Not saved yet")
    assert sent == []
