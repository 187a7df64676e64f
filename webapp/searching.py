"""One search of the command line, in a thread of its own, so that signals are heard and time ticks meanwhile."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import TypeVar

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Alternative, Binding, Plan
from webapp.progress import Display

T = TypeVar("T")

TICK_S = 0.25
_ASKS_TO_STOP = {signal.SIGINT, signal.SIGTERM}
_CAN_HOLD_BACK = hasattr(signal, "pthread_sigmask")  # not on Windows: there Ctrl-C ends the program, plan or no plan


def search(job: Job, catalogue: Catalogue, time_limit_s: float | None, display: Display) -> tuple[Plan, bool]:
    """The plan, and whether somebody asked to stop early: by Ctrl-C or SIGTERM, once. A second time ends the program.

    Raises:
        OptimizerError: As the planner does.
        MemoryError: There is not enough.
    """

    def plan(stop: threading.Event) -> Plan:
        from optimizer import planner  # loads the solver: not for commands that do without

        return planner.plan(job, catalogue, time_limit_s=time_limit_s, on_progress=display.report, stop=stop)

    return apart(plan, display)


def why_this(
    job: Job, catalogue: Catalogue, plan: Plan, time_limit_s: float, display: Display
) -> tuple[tuple[Alternative, ...], bool]:
    """Why each part of a plan, and whether somebody asked to stop early."""

    def work(stop: threading.Event) -> tuple[Alternative, ...]:
        from optimizer import planner

        return planner.why_this(job, catalogue, plan, time_limit_s=time_limit_s, on_progress=display.report, stop=stop)

    return apart(work, display)


def what_limits_cost(
    job: Job, catalogue: Catalogue, plan: Plan, time_limit_s: float, display: Display
) -> tuple[tuple[Binding, ...], bool]:
    """What each limit of a plan costs, and whether somebody asked to stop early."""

    def work(stop: threading.Event) -> tuple[Binding, ...]:
        from optimizer import planner

        return planner.what_limits_cost(
            job, catalogue, plan, time_limit_s=time_limit_s, on_progress=display.report, stop=stop
        )

    return apart(work, display)


def apart(work: Callable[[threading.Event], T], display: Display) -> tuple[T, bool]:
    """What a search finds that runs in a thread of its own, and whether somebody asked to stop early.

    Args:
        work: Ends soon, with the best so far, once the event is set.
        display: Ticks meanwhile.
    """
    stop = threading.Event()
    with _signals_held_back(), display, ThreadPoolExecutor(max_workers=1) as pool:
        try:
            found = pool.submit(work, stop)
        except RuntimeError as error:  # a thread that cannot be started lacks memory for its stack
            raise MemoryError from error
        while wait([found], timeout=TICK_S).not_done:
            _listen(stop)
            display.tick(stopping=stop.is_set())
        return found.result(), stop.is_set()


@contextmanager
def _signals_held_back() -> Iterator[None]:
    """Handlers never run: the solver may set one of its own, which aborts the program in any thread but its own."""
    if not _CAN_HOLD_BACK:
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _ASKS_TO_STOP)
    try:
        yield
    finally:
        _take()  # whoever asks as the search ends gets what it has found
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _listen(stop: threading.Event) -> None:
    """Sets `stop` at the first wish; at the second, ends the program as the signal would have."""
    for number in _take():
        if not stop.is_set():
            stop.set()
            continue
        signal.signal(number, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {number})
        os.kill(os.getpid(), number)


def _take() -> list[signal.Signals]:
    """The wishes that wait, each once."""
    if not _CAN_HOLD_BACK:
        return []
    return [signal.Signals(signal.sigwait({number})) for number in _ASKS_TO_STOP & signal.sigpending()]
