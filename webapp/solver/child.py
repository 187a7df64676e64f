"""The solver process: sets limits for itself, then is the command line.

`python -m webapp.solver.child MEGABYTES plan JOB CATALOGUE ...`
"""

from __future__ import annotations

import ctypes
import os
import signal
import sys

_PR_SET_PDEATHSIG = 1  # Linux, prctl(2)


def limit_memory(megabytes: int) -> None:
    """Let a search that wants more fail, instead of the machine."""
    try:
        import resource
    except ImportError:  # Windows has no such limit
        return
    if hasattr(resource, "RLIMIT_DATA"):
        # of data, not of addresses: threads and libraries reserve far more addresses than they use
        resource.setrlimit(resource.RLIMIT_DATA, (megabytes << 20, megabytes << 20))


def die_with_parent() -> None:
    """Where the system can: no search goes on for a server that was killed."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)


def main() -> int:
    """Run the command line within limits."""
    die_with_parent()
    limit_memory(int(sys.argv[1]))
    if hasattr(os, "nice"):
        os.nice(5)  # pages stay quick while plans are worked out
    from webapp.cli import main as command_line

    return command_line(sys.argv[2:])


if __name__ == "__main__":
    sys.exit(main())
