"""Work in a second thread beside the search: what looks for solutions, while the proof goes on.

Both solvers let go of Python's lock while they compute, so that the two use a core each.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from types import TracebackType
from typing import Self

from optimizer.solve.engine import Halt


class AnyOf:
    """Set once any of several is."""

    def __init__(self, *halts: Halt | None) -> None:
        self._halts = [halt for halt in halts if halt is not None]

    def is_set(self) -> bool:
        return any(halt.is_set() for halt in self._halts)


class Beside:
    """A thread for the length of a `with` block. Its error, if any, comes out at the end of the block."""

    def __init__(self, work: Callable[[], None], ended: threading.Event) -> None:
        """work: Ends soon once `ended` is set, which the end of the block and the end of the work both do."""
        self._work, self._ended = work, ended
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._error: BaseException | None = None

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        self._ended.set()
        self._thread.join()
        if error is None and self._error is not None:
            raise self._error

    def _run(self) -> None:
        try:
            self._work()
        except BaseException as error:
            self._error = error
            self._ended.set()
