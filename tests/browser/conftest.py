"""One server and one browser for all tests here."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser import real


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


@pytest.fixture
def a_phone(chromium: Browser, origin: str) -> Iterator[Callable[..., Page]]:
    """Opens phones whose every request and every complaint of the console is watched."""
    contexts, strayed, complaints = [], [], []

    def open_one(**changes: Any) -> Page:
        context = chromium.new_context(**(real.PHONE | changes))
        contexts.append(context)
        context.on("request", lambda request: request.url.startswith(f"{origin}/") or strayed.append(request.url))
        context.on("console", lambda message: complaints.append(message.text))
        return context.new_page()

    yield open_one
    for context in contexts:
        context.close()
    assert strayed == []
    assert complaints == []
