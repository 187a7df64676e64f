"""What seconds are: of the wall, or of the processor where other work shares the machine.

Every task here runs on one thread at a time, so on a machine of its own both are nearly the same. Limits are kept by
the wall either way: for processor seconds they are stretched.
"""

from __future__ import annotations

import time
from typing import Any

STRETCH = 6.0  # how many wall seconds a processor second may take
_by_processor = False


def set_for(task: dict[str, Any]) -> dict[str, Any]:
    """Counts as a task asks for; the task with its limit in wall seconds."""
    global _by_processor  # one task a process
    _by_processor = bool(task.get("by_processor"))
    return {**task, "limit_s": task["limit_s"] * STRETCH} if _by_processor else task


def now_s() -> float:
    """Seconds since some moment. [s]"""
    return time.process_time() if _by_processor else time.monotonic()
