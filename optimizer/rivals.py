"""Candidates compared by figures, each the smaller the better, and by price only where those allow it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from optimizer.price_table import Bools, Floats, Ints


def unbeaten(
    figures: Floats,
    order: Ints,
    is_dearer: Callable[[Ints, int], Bools],
    may_beat: Bools | None = None,
) -> Ints:
    """The candidates that no other beats: none that has no worse figures is surely no dearer.

    To be beaten by one that is itself beaten is as good a reason: what beats that one beats both.

    Args:
        figures: (candidate, figure), each the smaller the better.
        order: In which they are tried; those that beat most first.
        is_dearer: For each of some candidates, whether one candidate can surely stand for it as to price.
        may_beat: Which candidates beat others at all; None: all of them.
    """
    alive, left = order, np.ascontiguousarray(figures[order].T)  # a figure a row: comparing all at once is fast so
    at = 0
    while at < len(alive):
        one = int(alive[at])
        if may_beat is None or may_beat[one]:
            rivals = np.flatnonzero((left >= figures[one][:, np.newaxis]).all(axis=0))
            rivals = rivals[rivals != at]
            beaten = rivals[is_dearer(alive[rivals], one)] if len(rivals) else rivals
            if len(beaten):
                keep = np.ones(len(alive), dtype=bool)
                keep[beaten] = False
                at -= int((beaten < at).sum())
                alive, left = alive[keep], left[:, keep]
        at += 1
    return np.sort(alive)
