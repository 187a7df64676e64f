"""What is solved: whole units, one class of pieces a length and set of cables."""

from __future__ import annotations

from dataclasses import dataclass
from operator import mul

from .reachable import Reachable
from .request import ByTheMetre, Spool


@dataclass(frozen=True, slots=True)
class Kind:
    """A spool length of a cable that can be bought up to `most` times."""

    cable: int
    room: int
    cents: int
    most: int
    spool: Spool


@dataclass(frozen=True, slots=True)
class Reel:
    """One continuous length of a cable in steps."""

    cable: int
    cents: int  # a step
    most: int  # steps
    unit_mm: int
    extra_mm: int  # kerf - trim
    offer: ByTheMetre
    loads: Reachable | None = None  # rooms are rounded down to these

    def room(self, steps: int) -> int:
        """Room on so many steps; 0 steps are no length at all."""
        room = max(self.offer.step_mm * steps + self.extra_mm, 0) // self.unit_mm if steps else 0
        return room if self.loads is None else self.loads.down(room)

    def least_steps(self, room: int) -> int:
        """The fewest steps with so much room."""
        if self.loads is not None and room > 0:
            room = self.loads.up(room)
        return max(-(-(room * self.unit_mm - self.extra_mm) // self.offer.step_mm), 1) if room > 0 else 0


@dataclass(frozen=True, slots=True)
class Stock:
    """An owned length."""

    cable: int
    room: int
    at: int  # in the request
    length_mm: int


@dataclass(frozen=True, slots=True)
class Instance:
    """What is solved. Classes of pieces go from long to short."""

    cables: tuple[str, ...]
    sizes: tuple[int, ...]
    counts: tuple[int, ...]
    allowed: tuple[tuple[int, ...], ...]
    runs: tuple[tuple[int, ...], ...]  # of each class: positions of its runs in the request
    kinds: tuple[Kind, ...]
    reels: tuple[Reel, ...]
    stock: tuple[Stock, ...]
    unit_mm: int
    loads: tuple[Reachable, ...] = ()  # of each cable, that all pieces it may serve can make

    @property
    def total(self) -> int:
        """Length of all pieces together."""
        return sum(map(mul, self.sizes, self.counts))

    @property
    def pieces(self) -> int:
        """How many pieces there are."""
        return sum(self.counts)
