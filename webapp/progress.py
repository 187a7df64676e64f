"""What a search reports while it works, on standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict

from optimizer.progress import Progress

_CLEAR_LINE = "\r\x1b[2K"


def on_lines(progress: Progress) -> None:
    """One JSON object a line, for a program that listens."""
    _say(json.dumps(asdict(progress)) + "\n")


@contextmanager
def on_terminal() -> Iterator[Callable[[Progress], None]]:
    """One line, rewritten, and gone at the end."""

    def report(progress: Progress) -> None:
        _say(_CLEAR_LINE + in_words(progress))

    try:
        yield report
    finally:
        _say(_CLEAR_LINE)


def in_words(progress: Progress) -> str:
    """Best so far, how cheap it could still become, and the time spent."""
    if progress.best_cents is None:
        return f"Nothing found yet, {progress.elapsed_s:.0f} s"
    best = f"Best so far {progress.best_cents / 100:.2f}"
    if progress.bound_cents is not None:
        best += f", no plan is below {progress.bound_cents / 100:.2f}"
    return f"{best}, {progress.elapsed_s:.0f} s"


def _say(text: str) -> None:
    sys.stderr.write(text)
    sys.stderr.flush()
