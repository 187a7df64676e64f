"""What programs say: late on a busy machine, but not never."""

from __future__ import annotations

import subprocess
import threading
from typing import IO

SAID_S = 120


def line_of(process: subprocess.Popen[str], stream: IO[str] | None = None) -> str:
    """The next line of a program, of its standard output if no other stream is named. Whoever is silent is ended."""
    stream = stream or process.stdout
    assert stream is not None
    ending = threading.Timer(SAID_S, process.kill)
    ending.start()
    try:
        return stream.readline()
    finally:
        ending.cancel()
