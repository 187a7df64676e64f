"""One search of the command line, in a thread of its own, so that signals are heard and time ticks meanwhile."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import Any

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from webapp.progress import Display

TICK_S = 0.25
_ASKS_TO_STOP = (signal.SIGINT, signal.SIGTERM)


def search(job: Job, catalogue: Catalogue, time_limit_s: float | None, display: Display) -> tuple[Plan, bool]:
    """The plan, and whether somebody asked to stop early: by Ctrl-C or SIGTERM, once. A second time ends the program.

    Raises:
        OptimizerError: As the planner does.
    """
    from optimizer import planner  # loads the solver: not for commands that do without

    stop = threading.Event()
    with _stopping(stop), display, ThreadPoolExecutor(max_workers=1) as pool:
        try:
            found = pool.submit(
                planner.plan, job, catalogue, time_limit_s=time_limit_s, on_progress=display.report, stop=stop
            )
        except RuntimeError as error:  # a thread that cannot be started lacks memory for its stack
            raise MemoryError from error
        while wait([found], timeout=TICK_S).not_done:
            display.tick()
        return found.result(), stop.is_set()


@contextmanager
def _stopping(stop: threading.Event) -> Iterator[None]:
    """Sets `stop` when the program is asked to end, and leaves the next such wish to the system."""

    def on_signal(_number: int, _frame: Any) -> None:
        for number in _ASKS_TO_STOP:
            signal.signal(number, signal.SIG_DFL)
        stop.set()

    before = {number: signal.signal(number, on_signal) for number in _ASKS_TO_STOP}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
