"""One server and one browser for all tests here."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect

from tests.browser import real
from tests.browser.shelf import Shelf, filled
from tests.browser.site import Site

expect.set_options(timeout=real.WAIT_MS)
# A page takes no tap in its first third of a second. What is not about that need not wait for it at each step.
TAPS_AT_ONCE = """
    const stays = new CSSStyleSheet();
    stays.replaceSync("body { animation: none !important; }");
    document.adoptedStyleSheets = [stays];
"""
# Nor is a button hit that no script listens to yet: that third of a second is there for the scripts to come. Where a
# test holds them back a tap comes through all the same, after 2 s. What is asked for here main.js has asked for before.
TAPS_ONCE_BEGUN = """
    const stays = new CSSStyleSheet();
    stays.replaceSync("body { animation: none !important; pointer-events: none; }");
    document.adoptedStyleSheets = [stays];
    addEventListener("DOMContentLoaded", async () => {
        const main = document.querySelector("script[src$='/js/main.js']")?.src;
        const begun = main && import(main.replace(/main\\.js$/, "offline/start.js")).catch(() => {});
        await Promise.race([begun, new Promise((done) => setTimeout(done, 2000))]);
        stays.replaceSync("body { animation: none !important; }");
    });
"""
PARTS = ("", "/buy", "/cut", "/cut/line", "/labels", "/wiring", "/build", "/record", "/proof", "/docket")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    if real.chromium_path() is None:
        message = "Chromium is not installed (package chromium): no real browser has seen these pages here"
        if os.environ.get("CI") == "true":
            pytest.fail(message)
        pytest.skip(message)
    with real.chromium() as browser:
        yield browser


@pytest.fixture(scope="session")
def origin(tmp_path_factory: pytest.TempPathFactory, chromium: Browser) -> Iterator[str]:
    """A seeded server; asked for after the browser, so that nothing is started where there is none."""
    with real.served(tmp_path_factory.mktemp("browser")) as address:
        yield address


@pytest.fixture(scope="session")
def shelf(origin: str) -> Shelf:
    """Jobs and plans of every kind on that server."""
    return filled(origin)


@pytest.fixture(scope="session")
def planned_van(shelf: Shelf) -> str:
    """The address of a job that is planned."""
    return f"{shelf.origin}/jobs/{shelf.van}"


@pytest.fixture(scope="session")
def parts(shelf: Shelf) -> list[str]:
    """The addresses of all pages of its plan, its critical cautions read."""
    return [f"{shelf.origin}/plans/{shelf.van_plan}{part}" for part in PARTS]


def asks_back(message: ConsoleMessage) -> bool:
    """Whether this is only what Chromium says of a page that the server sends back to be put right."""
    return re.search("status of (409|422)", message.text) is not None and "/jobs/" in message.location["url"]


@pytest.fixture
def a_phone(chromium: Browser, origin: str) -> Iterator[Callable[..., Page]]:
    """Opens phones whose every request and every complaint of the console is watched."""
    contexts, strayed, complaints = [], [], []

    def open_one(**changes: Any) -> Page:
        context = real.patient(chromium.new_context(**(real.PHONE | changes)))
        contexts.append(context)
        context.add_init_script(TAPS_AT_ONCE)
        context.on("request", lambda request: request.url.startswith(f"{origin}/") or strayed.append(request.url))
        context.on("console", lambda message: asks_back(message) or complaints.append(message.text))
        return context.new_page()

    yield open_one
    for context in contexts:
        context.close()
    assert strayed == []
    assert complaints == []


@pytest.fixture(scope="module")
def site(tmp_path_factory, chromium):
    site = Site(tmp_path_factory.mktemp("offline"))
    site.start()
    yield site
    site.close()


@pytest.fixture
def phone(chromium):
    contexts = []

    def open_one(*, takes_taps_once_begun=True, **changes):
        contexts.append(real.patient(chromium.new_context(**(real.PHONE | changes))))
        if takes_taps_once_begun:
            contexts[-1].add_init_script(TAPS_ONCE_BEGUN)
        return contexts[-1].new_page()

    yield open_one
    for context in contexts:
        context.close()
