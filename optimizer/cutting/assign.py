"""Pieces to lengths as one CP-SAT model of a fixed mix: for mixes that neither filling nor the search decides."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from ortools.sat.python import cp_model

from .clock import Clock
from .engine import solved
from .fits import UNDECIDED, Fits
from .pieces import Pieces, Room

_MOST_VARIABLES = 20_000


def assign(rooms: Sequence[Room], pieces: Pieces, counts: Sequence[int], clock: Clock, work: float) -> Fits:
    """Loads that place every piece, None where there are none (proven), or UNDECIDED.

    Args:
        rooms: Effective length and cable of each length.
        pieces: Classes of pieces, long to short.
        counts: How many of each.
        clock: Ends the search.
        work: CP-SAT's deterministic seconds.
    """
    if len(rooms) * len(counts) > _MOST_VARIABLES or clock.is_over:
        return UNDECIDED
    model = cp_model.CpModel()
    order = sorted(range(len(rooms)), key=lambda at: (rooms[at][1], rooms[at][0]))
    taken = {
        (at, piece): model.new_int_var(0, min(counts[piece], rooms[at][0] // pieces.sizes[piece]), "")
        for at in order
        for piece in pieces.served_by.get(rooms[at][1], ())
        if counts[piece] and pieces.sizes[piece] <= rooms[at][0]
    }
    for piece, count in enumerate(counts):
        model.add(sum(taken[at, piece] for at in order if (at, piece) in taken) == count)
    used = {}
    for at in order:
        load = sum(pieces.sizes[piece] * taken[at, piece] for piece in range(len(counts)) if (at, piece) in taken)
        used[at] = model.new_int_var(0, rooms[at][0], "")
        model.add(used[at] == load)
    for one, other in itertools.pairwise(order):
        if rooms[one] == rooms[other]:
            model.add(used[one] <= used[other])
    solver, status = solved(model, clock, work)
    if status == cp_model.INFEASIBLE:
        return None
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return UNDECIDED
    return [
        [solver.value(taken[at, piece]) if (at, piece) in taken else 0 for piece in range(len(counts))]
        for at in range(len(rooms))
    ]
