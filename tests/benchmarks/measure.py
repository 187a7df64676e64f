"""One measurement at a time in a child process with a wall and a memory limit; whatever happens is recorded."""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from typing import Any

from tests.benchmarks.clock import STRETCH

MEMORY_LIMIT_MB = 8_000
GRACE_S = 60.0  # beyond the limit that the child is told itself: a child that overstays it this far is killed


def measure(task: dict[str, Any], *, memory_mb: int = MEMORY_LIMIT_MB, grace_s: float = GRACE_S) -> dict[str, Any]:
    """The outcome of one task, with `status` "killed" or "died" and the reason where there is none."""
    command = [sys.executable, "-m", "tests.benchmarks.child", json.dumps(task)]
    wall_s = task["limit_s"] * (STRETCH if task.get("by_processor") else 1.0) + grace_s
    return {**task, **run_limited(command, wall_s, memory_mb)}


def run_limited(command: Sequence[str], wall_s: float, memory_mb: int) -> dict[str, Any]:
    """The last line of a command's output, read as JSON."""

    def limit_memory() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (memory_mb << 20, memory_mb << 20))

    start_s = time.monotonic()
    child = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=limit_memory,
    )
    try:
        out, err = child.communicate(timeout=wall_s)
    except subprocess.TimeoutExpired:
        child.kill()
        child.communicate()
        return {"status": "killed", "reason": f"not done after {wall_s:.0f} s", "seconds": time.monotonic() - start_s}
    if child.returncode != 0 or not out.strip():
        reason = (err.strip().splitlines() or [f"ended with {child.returncode}"])[-1]
        return {"status": "died", "reason": reason, "seconds": time.monotonic() - start_s}
    outcome: dict[str, Any] = json.loads(out.strip().splitlines()[-1])
    return outcome
