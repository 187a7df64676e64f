"""The answer to a cut list, as values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Status: TypeAlias = Literal["optimal", "feasible", "infeasible", "unknown"]
Source: TypeAlias = Literal["spool", "by_the_metre", "owned"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One piece: the run it is for, which of its quantity (from 1), its length."""

    run: str
    number: int
    length_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLength:
    """One length that is cut from: a spool, what is bought by the metre, or what is owned."""

    source: Source
    id: str  # of the offer or of the owned length
    unit: int  # which of the bought ones, from 0
    cable: str
    length_mm: int
    cuts: tuple[Cut, ...]
    rest_mm: int  # left after every cut, kerf and trim
    keep: bool  # whether the rest is worth keeping


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Spools or steps of one offer."""

    offer: str
    cable: str
    quantity: int
    price_cents: int  # for all of them


@dataclass(frozen=True, slots=True, kw_only=True)
class CutListAnswer:
    """The cheapest way found to cut every run, and how far it is proven.

    `optimal` says that no list is cheaper. Among lists of the same price the one with the fewest bought lengths is
    taken (`fewest_lengths`: proven), then the one with the longest single rest (`longest_rest`: proven). A rest counts
    wherever it is, also an owned length that is not touched; owned lengths of cables that serve no run are left out.
    """

    status: Status
    total_cents: int | None = None
    bound_cents: int | None = None
    purchases: tuple[Purchase, ...] = ()
    lengths: tuple[CutLength, ...] = ()
    fewest_lengths: bool = False
    longest_rest: bool = False
    reasons: tuple[str, ...] = ()

    @property
    def has_list(self) -> bool:
        """Whether there is a list, proven cheapest or not."""
        return self.total_cents is not None

    @property
    def offcuts(self) -> tuple[CutLength, ...]:
        """The lengths whose rest is worth keeping."""
        return tuple(length for length in self.lengths if length.keep)

    @property
    def gap(self) -> float | None:
        """How much dearer than the proven bound, as a fraction of it; None without a list."""
        if self.total_cents is None or self.bound_cents is None:
            return None
        return (self.total_cents - self.bound_cents) / max(self.bound_cents, 1)
