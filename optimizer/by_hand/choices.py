"""What a person decides before going shopping: feeds, circuits and bank, as values."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.catalogue import Junction
from optimizer.feeds import FeedOption
from optimizer.solve.banks import BankOption
from optimizer.solve.runs import RunPair


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitChoice:
    """One circuit: which loads hang on it, on which conductors, behind which rating."""

    place: str
    loads: tuple[str, ...]  # ids, smallest first
    pair: RunPair
    rating_a: float
    junction: Junction | None = None


@dataclass(frozen=True, kw_only=True)
class Choices:
    """Everything chosen; what must be bought follows from it."""

    feeds: dict[str, FeedOption | None]  # by load; None: it stays on the AC outlet
    circuits: tuple[CircuitChoice, ...]  # by first load
    bands: dict[str, int]  # by place: index of the bundling band that its conductors were sized for
    bank: BankOption

    def on_ac(self) -> Iterator[str]:
        """The loads that stay on the AC outlet."""
        return (load for load, feed in self.feeds.items() if feed is None)
