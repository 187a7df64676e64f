"""The command line of a server before which something else can answer: `python -m tests.browser.astray serve ...`.

The file `astray` in its data folder says what to whom: {"POST /sync": "portal"}; "short" is our own answer without its
end, "busy" a server of ours that cannot do it. Every request is noted in `asked`.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import waitress

from webapp import cli

FOLDER = Path(os.environ["THRIFTLOOM_DATA"])
ASTRAY, ASKED = FOLDER / "astray", FOLDER / "asked"
STATUS = {
    "portal": "200 OK",
    "away": "302 Found",
    "400": "400 Bad Request",
    "401": "401 Unauthorized",
    "403": "403 Forbidden",
    "404": "404 Not Found",
    "413": "413 Content Too Large",
    "429": "429 Too Many Requests",
    "500": "500 Internal Server Error",
    "502": "502 Bad Gateway",
    "busy": "503 Service Unavailable",  # of ours
}
PAGE = b"<!doctype html><title>Harbour network</title><h1>Welcome, please sign in</h1>"
CUT = 40  # bytes that never come


def led_astray(inner: Any) -> Any:
    """An application that is not always the one that answers."""

    def answer(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        asked = f"{environ['REQUEST_METHOD']} {environ['PATH_INFO']}"
        with ASKED.open("a") as noted:
            noted.write(f"{asked}\n")
        kind = json.loads(ASTRAY.read_text()).get(asked) if ASTRAY.exists() else None
        if kind is None:
            return inner(environ, start_response)  # type: ignore[no-any-return]
        if kind == "short":
            return [b"".join(inner(environ, start_response))[:-CUT]]
        environ["wsgi.input"].read()
        headers = [("Content-Type", "text/html"), ("Content-Length", str(len(PAGE)))]
        if kind == "away":
            headers.append(("Location", "/words"))
        if kind == "busy":
            headers.append(("Content-Security-Policy", "default-src 'none'"))
        if kind == "429":
            headers.append(("Retry-After", "3600"))
        start_response(STATUS[kind], headers)
        return [PAGE]

    return answer


if __name__ == "__main__":
    serve = waitress.serve
    waitress.serve = lambda app, **options: serve(led_astray(app), **options)
    sys.exit(cli.main(sys.argv[1:]))
