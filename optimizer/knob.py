"""One thing that can give, in steps from the least given up to the most."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from optimizer.catalogue import Stage
from optimizer.plan import Change, Plan

MOST_DROP_PCT = 10.0  # what ISO 13297 allows circuits that are not critical (memory); never more than this is offered


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One amount of giving way: values of the job, or a part that is not on offer as it would have to be."""

    change: tuple[Change, ...] = ()
    part: Stage | None = None  # stands in for the part of its id


@dataclass(frozen=True, slots=True, kw_only=True)
class Knob:
    """One thing that can give."""

    limit: str
    eases: frozenset[str]  # rules of the reasons it can help with
    steps: tuple[Step, ...]
    words: Callable[[int, Plan], str]
    subject: str  # what it is called where it was not tried
    guess: int | None = None  # the step that will probably do
    proven: bool = False  # whether the guess is also the least that can
    scope: frozenset[str] = frozenset()  # loads whose own limits decide: a job of them alone tells the least step
    uncounted: str = ""
    last_resort: bool = False  # not needed where another way out lets the same limit give


def on_grid(start: float, end: float, step: float) -> list[float]:
    """Multiples of a step strictly past the start, up to and with the end, in the direction of the end."""
    if start <= end:
        return [n * step for n in range(math.floor(start / step + 1e-6) + 1, math.floor(end / step + 1e-6) + 1)]
    return [n * step for n in range(math.ceil(start / step - 1e-6) - 1, math.ceil(end / step - 1e-6) - 1, -1)]
