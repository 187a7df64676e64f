"""The loads that pieces can make, as bits of one big integer: bit s is set where some are s long together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reachable:
    """The loads that pieces can make, known up to a limit."""

    bits: int
    limit: int

    def down(self, room: int) -> int:
        """The largest load within a room: the rest of it is lost whatever is cut."""
        if room > self.limit or self.bits >> room & 1:
            return room
        return (self.bits & ((1 << room) - 1)).bit_length() - 1

    def up(self, load: int) -> int:
        """The smallest load at least so large; beyond the limit every load is taken to exist."""
        above = self.bits >> load
        if not above:
            return max(load, self.limit + 1)
        return load + (above & -above).bit_length() - 1


def reachable(pieces: Iterable[tuple[int, int]], limit: int) -> Reachable:
    """The loads up to a limit of so many pieces (second) of a size (first)."""
    mask, bits = (1 << (limit + 1)) - 1, 1
    for size, count in pieces:
        left, copies = min(count, limit // size), 1
        while left:
            copies = min(copies, left)
            bits |= (bits << (size * copies)) & mask
            left -= copies
            copies *= 2
    return Reachable(bits, limit)
