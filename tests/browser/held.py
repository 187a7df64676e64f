"""The command line of a server that holds one answer back: `python -m tests.browser.held serve ...`.

The file `hold` in its data folder names a path. The next GET of it, or what else stands before the path, is answered
as ever, but the answer leaves only when the file `held`, which the first one becomes, is gone.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import waitress

from webapp import cli

FOLDER = Path(os.environ["THRIFTLOOM_DATA"])
HOLD, HELD = FOLDER / "hold", FOLDER / "held"
LONGEST_S = 120
STEP_S = 0.05


def holding(inner: Any) -> Any:
    """An application whose answers can be held back."""

    def answer(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        is_held = _is_held(environ["REQUEST_METHOD"], environ["PATH_INFO"])
        body = list(inner(environ, start_response))
        if is_held:
            _wait()
        return body

    return answer


def _is_held(method: str, path: str) -> bool:
    with suppress(OSError):
        if HOLD.read_text() in (f"{method} {path}", path if method == "GET" else None):
            HOLD.rename(HELD)  # of several requests one is the first
            return True
    return False


def _wait() -> None:
    ends = time.monotonic() + LONGEST_S
    while HELD.exists() and time.monotonic() < ends:
        time.sleep(STEP_S)


if __name__ == "__main__":
    serve = waitress.serve
    waitress.serve = lambda app, **options: serve(holding(app), **options)
    sys.exit(cli.main(sys.argv[1:]))
