"""What a search knows while it works and when it ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from .greedy import Packed
from .mixes import Mix


@dataclass(slots=True)
class Found:
    """The best list so far, what is proven, and why there is none."""

    best: Packed | None = None
    bound_cents: int = 0
    is_fewest: bool = False  # no list of this price has fewer lengths
    is_longest_rest: bool = False  # nor, of so many lengths, a longer single rest
    is_infeasible: bool = False
    undecided: list[Mix] = field(default_factory=list)

    @property
    def is_optimal(self) -> bool:
        """Whether nothing is cheaper."""
        return self.best is not None and self.bound_cents >= self.best.mix.cents


Report = Callable[[Found], None]
