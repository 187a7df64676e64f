"""The command line of a server whose pages arrive piece by piece: `python -m tests.browser.dripping serve ...`.

What is before the heading of a page leaves a few words at a time, the rest at once.
"""

from __future__ import annotations

import re
import sys
import time
from collections.abc import Iterable
from typing import Any

import waitress

from webapp import cli

STYLED_S = 1.0  # until the browser has the style sheet, without which it paints nothing
PAINTED_S = 0.08
PIECE = re.compile(rb"<[^/].{0,80}", re.DOTALL)


def dripping(inner: Any) -> Any:
    """An application whose pages come over a thin line."""

    def answer(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        environ.pop("HTTP_ACCEPT_ENCODING", None)
        body = b"".join(inner(environ, start_response))
        return _pieces(body) if b"<h1" in body else [body]

    return answer


def _pieces(page: bytes) -> Iterable[bytes]:
    head, heading = page.index(b"<body>"), page.index(b"<h1")
    yield page[:head]
    time.sleep(STYLED_S)
    at = head
    for piece in PIECE.finditer(page, head, heading):
        yield page[at : piece.end()]
        time.sleep(PAINTED_S)
        at = piece.end()
    yield page[at:]


if __name__ == "__main__":
    serve = waitress.serve
    waitress.serve = lambda app, **options: serve(dripping(app), send_bytes=1, **options)
    sys.exit(cli.main(sys.argv[1:]))
