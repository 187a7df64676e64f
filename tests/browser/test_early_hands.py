"""Hands faster than a part of a page's scripts, as on a thin line: what comes late catches up with them."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.hands import strip


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
