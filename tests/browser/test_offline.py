"""Without a signal: the browser's own switch, and a server that is really gone."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser import real
from tests.browser.site import Site, installed, open_kept

PARTS = ("", "/buy", "/cut", "/cut/line", "/labels", "/wiring", "/build", "/record", "/docket")


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("offline"))
    site.start()
    yield site
    site.close()


@pytest.fixture
def phone(chromium):
    contexts = []

    def open_one(**changes):
        contexts.append(chromium.new_context(**(real.PHONE | changes)))
        return contexts[-1].new_page()

    yield open_one
    for context in contexts:
        context.close()


def strip(page):
    return page.locator(".strip")


def heading(page):
    return page.get_by_role("heading", level=1)


def test_every_page_of_a_plan_opens_while_the_server_is_gone(phone, site):
    page = phone()
    plan = f"{site.origin}/plans/{site.plan}"
    open_kept(page, site, f"/plans/{site.plan}")
    bought = page.locator("[data-mark]").first
    site.stop()
    try:
        for part in PARTS:
            page.goto(plan + part)
            expect(strip(page)).to_contain_text("no signal")
            assert not page.title().startswith("No signal"), part
        page.goto(f"{plan}/buy")
        bought.check()
        expect(strip(page)).to_contain_text("1 waiting")
        page.reload()
        expect(bought).to_be_checked()
        page.goto(f"{site.origin}/?from=home")
        expect(heading(page)).to_have_text("Jobs")
        page.goto(f"{site.origin}/plans/nowhere")
        expect(heading(page)).to_have_text("No signal here")
        expect(page.locator("[data-part=list] a")).to_have_count(1)
    finally:
        site.start()


def test_the_app_can_be_installed(chromium, site, tmp_path):
    start = chromium.browser_type.launch_persistent_context
    with start(tmp_path / "profile", executable_path=real.chromium_path(), args=[*real.ARGUMENTS]) as context:
        page = context.new_page()
        page.goto(site.origin)
        installed(page)
        errors = context.new_cdp_session(page).send("Page.getInstallabilityErrors")["installabilityErrors"]
        assert errors == []
