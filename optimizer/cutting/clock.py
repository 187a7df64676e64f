"""How much time is left, and whether somebody asked to stop."""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


class Clock:
    """Started when made."""

    def __init__(self, limit_s: float | None = None, stop: threading.Event | None = None) -> None:
        self._started = time.monotonic()
        self._limit_s = math.inf if limit_s is None else limit_s
        self._stop = stop

    @property
    def elapsed_s(self) -> float:
        """Seconds since the start."""
        return time.monotonic() - self._started

    @property
    def left_s(self) -> float:
        """Seconds left; 0 once stopped, infinite without a limit."""
        return 0.0 if self.stopped else max(self._limit_s - self.elapsed_s, 0.0)

    @property
    def stopped(self) -> bool:
        """Whether somebody asked to stop."""
        return self._stop is not None and self._stop.is_set()

    @property
    def is_over(self) -> bool:
        """Whether the search must end."""
        return self.left_s <= 0

    def within(self, seconds: float) -> Clock:
        """A clock that ends after so many seconds, or with this one."""
        return Clock(min(seconds, self.left_s), self._stop)

    @contextmanager
    def stopping(self, end: Callable[[], object]) -> Iterator[None]:
        """While inside, `end` is called when somebody asks to stop."""
        finished = threading.Event()

        def watch() -> None:
            while not finished.wait(0.05):
                if self.stopped:
                    end()

        watcher = threading.Thread(target=watch, daemon=True)
        watcher.start()
        try:
            yield
        finally:
            finished.set()
            watcher.join()
