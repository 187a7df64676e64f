"""A second engine: the system's own WebKitGTK, driven by the WebDriver protocol of the W3C, on a screen nobody sees."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from tests.browser import real
from tests.said import line_of

DRIVER, SCREEN = "WebKitWebDriver", "Xvfb"
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # how the protocol names an element
SHOWN_S = 60
ANSWERED_S = 60


def missing() -> list[str]:
    """The programs this needs and the system lacks."""
    return [name for name in (DRIVER, SCREEN) if shutil.which(name) is None]


class Window:
    """One window of the browser."""

    def __init__(self, driver: str) -> None:
        self._driver = driver
        self._session = f"{driver}/session"
        self._session += "/" + str(self._ask("POST", "", {"capabilities": {"alwaysMatch": {}}})["sessionId"])

    def close(self) -> None:
        self._ask("DELETE")

    def open(self, address: str) -> None:
        self._ask("POST", "/url", {"url": address})

    def narrow(self) -> None:
        """As narrow as its own tool bar lets it be."""
        self._ask("POST", "/window/rect", {"width": 360, "height": 740})

    def tap(self, selector: str) -> None:
        self._ask("POST", f"/element/{self._found(selector)}/click", {})

    def type(self, selector: str, text: str) -> None:
        element = self._found(selector)
        self._ask("POST", f"/element/{element}/clear", {})
        self._ask("POST", f"/element/{element}/value", {"text": text})

    def run(self, script: str) -> Any:
        """What an expression of JavaScript gives."""
        return self._ask("POST", "/execute/sync", {"script": f"return (async () => {script})()", "args": []})

    def wait(self, script: str) -> None:
        """Until an expression is true: of a page that is just being left it cannot be asked."""

        def holds() -> bool:
            try:
                return bool(self.run(script))
            except (AssertionError, OSError):
                return False

        _until(holds, script)

    def heading(self, words: str) -> None:
        """Wait for the page with this heading."""
        self.wait(f"document.querySelector('h1')?.innerText.includes({json.dumps(words)})")

    def _found(self, selector: str) -> str:
        self.wait("document.body && !document.body.getAnimations().length")  # what has just come takes no tap yet
        return str(self._ask("POST", "/element", {"using": "css selector", "value": selector})[ELEMENT])

    def _ask(self, method: str, path: str = "", body: dict[str, Any] | None = None) -> Any:
        return _asked(method, self._session + path, body)


@contextmanager
def window() -> Iterator[Window]:
    """Start all that is needed, and end it; profile and cache last as long as the window."""
    port = real.free_port()
    with tempfile.TemporaryDirectory() as home, _screen() as display:
        own = {"DISPLAY": display, "GDK_BACKEND": "x11", "LC_ALL": "C.UTF-8", "HOME": home}
        own |= dict.fromkeys(("XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_RUNTIME_DIR"), home)
        with _running([DRIVER, f"--port={port}"], env={**os.environ, **own}):
            driver = f"http://127.0.0.1:{port}"
            _until(lambda: _is_up(driver), DRIVER)
            opened = Window(driver)
            try:
                yield opened
            finally:
                opened.close()


@contextmanager
def _screen() -> Iterator[str]:
    """A screen in memory; it chooses its number itself and tells it through a pipe."""
    told, tell = os.pipe()
    command = [SCREEN, "-displayfd", str(tell), "-screen", "0", "800x900x24", "-nolisten", "tcp"]
    with os.fdopen(told) as number, _running(command, pass_fds=(tell,)) as screen:
        os.close(tell)
        yield f":{line_of(screen, number).strip()}"


@contextmanager
def _running(command: list[str], **options: Any) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(command, stderr=subprocess.DEVNULL, **options) as process:
        try:
            yield process
        finally:
            process.terminate()
            process.wait(timeout=real.ENDED_S)


def _is_up(driver: str) -> bool:
    try:
        return bool(_asked("GET", f"{driver}/status")["ready"])
    except OSError:
        return False


def _asked(method: str, address: str, body: dict[str, Any] | None = None) -> Any:
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(address, data, {"Content-Type": "application/json"}, method=method)
    try:
        with urllib.request.urlopen(request, timeout=ANSWERED_S) as answer:
            return json.load(answer)["value"]
    except urllib.error.HTTPError as error:
        raise AssertionError(json.load(error)["value"]["message"]) from error


def _until(holds: Callable[[], Any], wanted: str) -> None:
    ends = time.monotonic() + SHOWN_S
    while not holds():
        assert time.monotonic() < ends, f"not within {SHOWN_S} s: {wanted}"
        time.sleep(0.1)
