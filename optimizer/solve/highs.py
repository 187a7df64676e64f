"""HiGHS as every question here is put to it: without a word, and its bounds in whole cents."""

from __future__ import annotations

import ctypes
import functools
import math
import os
import sys
from typing import Any

import highspy

from optimizer.solve.engine import Halt

CENT = 1e-4  # a bound this close below a whole cent is that cent


def silent_highs() -> highspy.Highs:
    """HiGHS without a word on standard output, which carries the plan."""
    _greet_nobody()
    highs = highspy.Highs()  # type: ignore[no-untyped-call]
    highs.setOptionValue("log_to_console", False)
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("threads", 1)  # in every one of a process: the first run sets how many, and others then fail
    return highs


def stop_with(highs: highspy.Highs, stop: Halt | None) -> None:
    """A relaxation that is being solved is left once somebody asks to stop."""

    def working(event: Any) -> None:
        event.data_in.user_interrupt = stop is not None and stop.is_set()

    highs.cbIpmInterrupt.subscribe(working)
    highs.cbSimplexInterrupt.subscribe(working)


@functools.cache
def _greet_nobody() -> None:
    """The first HiGHS of a process greets on standard output. Once, since other threads may want to write there."""
    sys.stdout.flush()
    output, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        highspy.Highs()  # type: ignore[no-untyped-call]
        if os.name == "posix":
            ctypes.CDLL(None).fflush(None)
    finally:
        os.dup2(output, 1)
        os.close(output)
        os.close(nowhere)


def whole_cents(bound: float) -> int:
    """A bound on whole cents. [cents]"""
    return math.ceil(bound - CENT) if math.isfinite(bound) and bound > 0 else 0
