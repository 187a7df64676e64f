"""A real server on data of its own, and a real browser the size of a small phone."""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from playwright.sync_api import Browser, BrowserContext, Error, Page, Response, expect, sync_playwright

from tests.said import line_of

ROOT = Path(__file__).parents[2]
NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
PHONE: dict[str, Any] = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
PROGRAM = (sys.executable, "-m", "webapp.cli")
PLANNED_MS = 240_000  # a search has a minute, and on a busy machine more around it
ENDED_S = 60  # on a busy machine
# What comes at all comes in time on a busy machine too: a device whose question went unanswered asks again after 30 s.
WAIT_MS = 60_000
GAVE_WAY = r"net::ERR_ABORTED|interrupted by another navigation"
Opened = TypeVar("Opened", BrowserContext, Page)


def chromium_path() -> str | None:
    """Where this system keeps its Chromium, if it has one."""
    return next((path for path in map(shutil.which, NAMES) if path), None)


@contextmanager
def chromium() -> Iterator[Browser]:
    """The system's own Chromium, without what it would ask the network for by itself."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(ARGUMENTS))
        yield browser
        browser.close()


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Seed a folder and serve it as people do; the address."""
    seed(folder)
    with serving([*PROGRAM], folder, free_port()) as (process, address):
        yield address
        process.terminate()
        process.wait(timeout=ENDED_S)


def seed(folder: Path) -> None:
    """Put the catalogue and the demo jobs there."""
    subprocess.run([*PROGRAM, "seed"], env=environment(folder), check=True, capture_output=True, timeout=120)


@contextmanager
def serving(program: list[str], folder: Path, port: int) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """A server on the data of a folder, and its address; killed at the end if it still runs."""
    command = [*program, "serve", "--port", str(port)]
    with subprocess.Popen(command, env=environment(folder), stdout=subprocess.PIPE, text=True) as process:
        try:
            said = line_of(process)
            found = re.search(r"http://\S+", said)
            assert found, said
            yield process, found.group()
        finally:
            process.kill()


def patient(opened: Opened) -> Opened:
    """The same, waiting for whatever comes at all, and not stopped by a page that loads anew by itself."""
    opened.set_default_timeout(WAIT_MS)
    if isinstance(opened, BrowserContext):
        opened.on("page", steady)
    else:
        steady(opened)
    return opened


def steady(page: Page) -> None:
    """Ask once more for a page given up for one that loads anew by itself, as one does once its change was sent."""

    def goto(address: str, **how: Any) -> Response | None:
        try:
            return Page.goto(page, address, **how)
        except Error as error:
            if not re.search(GAVE_WAY, error.message):
                raise
            return Page.goto(page, address, **how)

    page.goto = goto  # type: ignore[method-assign]


def environment(folder: Path) -> dict[str, str]:
    """What a program of ours needs to work on the data of a folder."""
    return {**os.environ, "THRIFTLOOM_DATA": str(folder), "PYTHONPATH": str(ROOT)}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def plan_of(page: Page, origin: str, title: str) -> None:
    """Open a job of the list, have it planned unless another test has, and wait for the answer."""
    page.goto(origin)
    page.get_by_role("link", name=re.compile(title)).first.click()
    page.wait_for_url(re.compile("/plans?(/|$)"))
    if "/plans/" not in page.url:
        page.get_by_role("button", name="Find cheapest").click()
        page.wait_for_url(re.compile("/plans/"))  # a script sends the form: the click does not wait for it
    planned(page)


def planned(page: Page) -> None:
    """Wait until a search has ended; without scripts the page looks again by itself."""
    expect(page.get_by_role("heading", level=1)).not_to_have_text("Finding the cheapest that holds", timeout=PLANNED_MS)
