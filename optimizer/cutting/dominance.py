"""How much of each offer a best list buys at most: what another offer beats is never bought, or not so often.

"Beats" is safe for the ties too: an exchange is cheaper, or costs the same with fewer lengths, or leaves a longer rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from .instance import Instance, Kind, Reel


@dataclass(frozen=True, slots=True)
class Demand:
    """What one cable may have to serve."""

    own: Sequence[tuple[int, int]]  # size and count of each class, long to short
    total: int
    number: int

    @classmethod
    def of(cls, bare: Instance, cable: int) -> Demand:
        """The pieces that may be cut from a cable."""
        own = [
            (size, count)
            for size, count, allowed in zip(bare.sizes, bare.counts, bare.allowed, strict=True)
            if cable in allowed
        ]
        return cls(own, sum([size * count for size, count in own]), sum([count for _, count in own]))

    @property
    def shortest(self) -> int:
        """Size of the shortest piece."""
        return self.own[-1][0]

    @property
    def longest(self) -> int:
        """Size of the longest piece."""
        return self.own[0][0]

    def enough(self, room: int) -> int:
        """More spools of this room are never opened: two that fit into one are merged."""
        return min(self.number, 2 * self.total // room + 1) if room else 0


def is_unlimited(kind: Kind, pieces: Demand) -> bool:
    return kind.spool.limit is None or kind.spool.limit > pieces.enough(kind.room)


def bounded(kinds: Iterable[Kind], pieces: Demand) -> list[Kind]:
    """Kinds with the most that a best list buys: m short ones give way to a longer one that costs no more."""
    rising = sorted(kinds, key=lambda kind: (kind.cents, -kind.room, kind.spool.offer))
    kept: list[Kind] = []
    for at, kind in enumerate(rising):
        most = min(kind.most, pieces.enough(kind.room))
        for other in rising:
            if other is not kind and is_unlimited(other, pieces):
                most = min(most, _fewer_than(kind, other, first=rising.index(other) < at))
        if most > 0:
            kept.append(kind if most == kind.most else replace(kind, most=most))
    return kept


def _fewer_than(kind: Kind, other: Kind, *, first: bool) -> int:
    """The most of `kind` when `other` can take the place of several. Same room and price: the first one stays."""
    several = max(-(-other.cents // kind.cents), 1) if kind.cents else (1 if other.cents == 0 else kind.most + 1)
    if several == 1 and (kind.room, kind.cents) == (other.room, other.cents) and not first:
        return kind.most
    return several - 1 if several * kind.room <= other.room else kind.most


def bounded_reel(reel: Reel, spools: Sequence[Kind], pieces: Demand) -> list[Reel]:
    """The reel with the most steps that a best list buys; none where a spool always beats it."""
    most = reel.least_steps(pieces.total)
    if reel.offer.limit is not None:
        most = min(most, reel.offer.limit)
    for spool in spools:
        most = min(most, _longest_beside(reel, spool, pieces, most))
    return [replace(reel, most=most)] if most > 0 and reel.room(most) >= pieces.shortest else []


def _longest_beside(reel: Reel, spool: Kind, pieces: Demand, most: int) -> int:
    """Steps beyond which a spool, or a spool and a shorter reel, would be cheaper.

    Pieces off a long reel fill a spool up to less than the longest piece: the reel shrinks by the rest of the room.
    """
    saved = (spool.room - pieces.longest + 1) * reel.unit_mm // reel.offer.step_mm
    if saved <= 0 or spool.cents >= saved * reel.cents:
        return most
    longest = min(most, max((spool.room * reel.unit_mm - reel.extra_mm) // reel.offer.step_mm, 0))
    if spool.cents and reel.cents:
        return min(longest, (spool.cents - 1) // reel.cents) if longest * reel.cents >= spool.cents else longest
    return longest
