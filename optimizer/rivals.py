"""Candidates compared by figures, each the smaller the better, and by price only where those allow it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from optimizer.arrays import Bools, Floats, Ints

# Candidates compared with all others at once: few while each of them may beat many, and never more than so many pairs.
_FIRST, _MOST, _MOST_PAIRS = 4, 64, 100_000


def unbeaten(
    figures: Floats,
    order: Ints,
    are_dearer: Callable[[Ints, Ints], Bools],
    may_beat: Bools | None = None,
) -> Ints:
    """The candidates that no other beats: none that has no worse figures is surely no dearer.

    To be beaten by one that is itself beaten is as good a reason: what beats that one beats both.

    Args:
        figures: (candidate, figure), each the smaller the better.
        order: In which they are tried; those that beat most first.
        are_dearer: For each of some candidates and one other candidate each, whether the other can surely stand for it
            as to price.
        may_beat: Which candidates beat others at all; None: all of them.
    """
    alive, left = order, np.ascontiguousarray(figures[order].T)  # a figure a row: comparing all at once is fast so
    done, many = 0, _FIRST
    while done < len(alive):
        ones = alive[done : done + min(many, max(1, _MOST_PAIRS // len(alive)))]
        at, rival = np.nonzero(_no_better(left, figures[ones], done, None if may_beat is None else may_beat[ones]))
        dearer = are_dearer(alive[rival], ones[at]) if len(at) else np.empty(0, dtype=bool)
        keep = np.ones(len(alive), dtype=bool)
        at, rival = at[dearer], rival[dearer]
        starts = np.searchsorted(at, np.arange(len(ones) + 1))
        for n in np.unique(at).tolist():
            if keep[done + n]:  # of two that could stand for each other one stays
                keep[rival[starts[n] : starts[n + 1]]] = False
        done = int(keep[: done + len(ones)].sum())
        if len(at):
            alive, left = alive[keep], left[:, keep]
        many = min(_MOST, 2 * many)
    return np.sort(alive)


def _no_better(left: Floats, figures: Floats, first: int, may_beat: Bools | None) -> Bools:
    """(one, candidate): the candidates that are no better in any figure than each of some that come one after another.

    Args:
        left: (figure, candidate).
        figures: (one, figure), of the candidates from the first on.
        may_beat: Which of these are asked about; None: all of them.
    """
    worse = (
        np.ones((len(figures), left.shape[1]), dtype=bool)
        if may_beat is None
        else np.repeat(may_beat[:, np.newaxis], left.shape[1], axis=1)
    )
    for figure, theirs in zip(figures.T, left, strict=True):
        worse &= theirs >= figure[:, np.newaxis]
    itself = np.arange(len(figures))
    worse[itself, first + itself] = False
    return worse
