"""What a search reports while it works, on standard error."""

from __future__ import annotations

import json
import shutil
import sys
import time
from contextlib import AbstractContextManager
from dataclasses import asdict

from optimizer.progress import Progress
from webapp.present.progress import gap_so_far

STOPPING = "Stopping with the best so far; once more ends it at once"
_CLEAR_LINE = "\r\x1b[2K"
_NOTHING_YET = Progress(best_cents=None, bound_cents=None, elapsed_s=0)


class Display(AbstractContextManager["Display"]):
    """Shows nothing. `report` comes from the search, `tick` a few times a second from elsewhere."""

    def report(self, progress: Progress) -> None:
        """The search found a better plan or bound."""

    def tick(self, *, stopping: bool = False) -> None:
        """Time has passed; `stopping` once somebody has asked to stop."""

    def __exit__(self, *_: object) -> None:
        """The search has ended."""


class Lines(Display):
    """One JSON object a line, for a program that listens."""

    def report(self, progress: Progress) -> None:
        _say(json.dumps(asdict(progress)) + "\n")


class TerminalLine(Display):
    """One line, rewritten, and gone at the end."""

    def __init__(self) -> None:
        self._began_s = time.monotonic()
        self._latest = _NOTHING_YET

    def report(self, progress: Progress) -> None:
        self._latest = progress

    def tick(self, *, stopping: bool = False) -> None:
        columns = shutil.get_terminal_size().columns
        words = STOPPING if stopping else in_words(self._latest, time.monotonic() - self._began_s)
        _say(_CLEAR_LINE + words[: columns - 1])  # a line that wraps could not be taken back

    def __exit__(self, *_: object) -> None:
        _say(_CLEAR_LINE)


def display(how: str) -> Display:
    """auto: a line on a terminal and nothing elsewhere; json: lines; none: nothing."""
    if how == "json":
        return Lines()
    return TerminalLine() if how == "auto" and sys.stderr.isatty() else Display()


def in_words(progress: Progress, elapsed_s: float) -> str:
    """Best so far, how much cheaper it could become at most, and the time spent."""
    if progress.best_cents is None:
        return f"Nothing found yet, {elapsed_s:.0f} s"
    gap = gap_so_far(progress.best_cents, progress.bound_cents)
    words = (f"Best so far {progress.best_cents / 100:.2f}", gap[:1].lower() + gap[1:], f"{elapsed_s:.0f} s")
    return ", ".join(word for word in words if word)


def _say(text: str) -> None:
    sys.stderr.write(text)
    sys.stderr.flush()
