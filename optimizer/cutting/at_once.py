"""Lists of one cable that total length alone decides: the cheapest mix with room for it, cut with the longest rest.

Real cable lengths hardly waste anything, so that mix mostly holds every piece, however one of its lengths is spared.
Where it does, nothing is cheaper, of fewer lengths, or leaves a longer rest: all three are bounds of total length.
"""

from __future__ import annotations

from itertools import islice

from .cheapest import cheapest
from .fits import Undecided
from .found import Found
from .greedy import Packed, is_sound
from .instance import Instance
from .pieces import Pieces
from .rests import longest_first
from .shortest_first import ShortestFirst

_MOST_TRIES = 24  # loads of the length that keeps the rest
_BACKTRACKS = 12


def at_once(instance: Instance, trim_mm: int) -> Found | None:
    """The best list with all its proofs; None where it takes more than this."""
    if len(instance.cables) > 1:
        return None
    pieces = ShortestFirst(Pieces(instance.sizes, instance.allowed), instance.counts)
    for one in islice(longest_first(instance, cheapest(instance), trim_mm), _MOST_TRIES):
        loads = pieces.fits(one.rooms(instance), _BACKTRACKS)
        if isinstance(loads, Undecided):
            return None
        if loads is not None:
            best = Packed(one.mix, loads)
            assert is_sound(instance, best), "a list that does not hold what it should"
            return Found(best, one.mix.cents, is_fewest=True, is_longest_rest=True)
    return None
