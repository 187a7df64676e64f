"""One spool filled as full as it goes, and a whole set of spools filled one after the other.

Reachable loads are the bits of one big integer: adding a piece of size s is `reached | reached << s`. Pieces come long
first and a fill stops as soon as the spool is exactly full, so short pieces stay over for the spools that come last.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from typing import TypeAlias

Sizes: TypeAlias = Sequence[int]  # distinct, descending
Counts: TypeAlias = list[int]  # how many of each size
Loads: TypeAlias = list[Counts]  # a spool: how many of each size it carries

_RANDOM_TRIES = 8
_MEND_TRIES = 6


def fullest(room: int, sizes: Sequence[int], counts: Sequence[int], order: Sequence[int]) -> Counts:
    """How many of each size make the largest load that fits; sizes early in `order` are taken rather than late ones."""
    mask = (1 << (room + 1)) - 1
    reached = 1
    steps: list[tuple[int, int, int]] = []
    for index in order:
        size = sizes[index]
        left = min(counts[index], room // size)
        copies = 1
        while left:
            copies = min(copies, left)
            steps.append((index, copies, reached))
            reached |= (reached << (size * copies)) & mask
            left -= copies
            copies *= 2
        if reached >> room & 1:
            break
    return _traced(reached.bit_length() - 1, sizes, steps)


def _traced(load: int, sizes: Sequence[int], steps: list[tuple[int, int, int]]) -> Counts:
    taken = [0] * len(sizes)
    for index, copies, before in reversed(steps):
        if not before >> load & 1:
            taken[index] += copies
            load -= copies * sizes[index]
    return taken


def fill(
    rooms: Sequence[int], sizes: Sizes, counts: Counts, *, tries: int = _RANDOM_TRIES, seed: int = 0
) -> Loads | None:
    """Loads that place every piece, or None where no try did: which proves nothing."""
    if sum(rooms) < sum(size * count for size, count in zip(sizes, counts, strict=True)):
        return None
    ascending = sorted(range(len(rooms)), key=lambda spool: rooms[spool])
    descending = ascending[::-1]
    plain = list(range(len(sizes)))
    for order, forced in ((ascending, True), (descending, True), (ascending, False), (descending, False)):
        loads, left = _one_try(rooms, sizes, counts, order, plain, forced)
        if not any(left):
            return loads
    rng = random.Random(seed)  # noqa: S311  # a search order, nothing secret
    for _ in range(tries):
        order = sorted(ascending, key=lambda spool: rooms[spool] * rng.uniform(0.7, 1.4))
        shuffled = sorted(plain, key=lambda index: -sizes[index] * rng.uniform(0.5, 1.5))
        loads, left = _one_try(rooms, sizes, counts, order, shuffled, True)
        if not any(left):
            return loads
    return None


def _one_try(
    rooms: Sequence[int], sizes: Sizes, counts: Counts, spools: Sequence[int], order: Sequence[int], forced: bool
) -> tuple[Loads, Counts]:
    left = list(counts)
    loads: Loads = [[0] * len(sizes) for _ in rooms]
    for spool in spools:
        loads[spool] = _loaded(rooms[spool], sizes, left, order, forced)
        for index, taken in enumerate(loads[spool]):
            left[index] -= taken
    return loads, left


def _loaded(room: int, sizes: Sizes, left: Counts, order: Sequence[int], forced: bool) -> Counts:
    """The fullest load, with the longest open piece in it if `forced`."""
    longest = next((i for i, size in enumerate(sizes) if left[i] and size <= room), None)
    if longest is None:
        return [0] * len(sizes)
    if not forced:
        return fullest(room, sizes, left, order)
    left[longest] -= 1
    load = fullest(room - sizes[longest], sizes, left, order)
    left[longest] += 1
    load[longest] += 1
    return load
