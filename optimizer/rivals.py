"""Candidates compared by figures, each the smaller the better, and by price only where those allow it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Generic, Protocol, TypeVar

import numpy as np


class Rated(Protocol):
    """A candidate with its figures; all candidates of one comparison have equally many."""

    @property
    def figures(self) -> tuple[float, ...]: ...


R = TypeVar("R", bound=Rated)


class Rivals(Generic[R]):
    """A growing set of candidates. Figures are compared with all of them at once."""

    def __init__(self, beats: Callable[[R, R], bool], members: Iterable[R] = ()) -> None:
        """Args: beats: whether the first is surely no dearer than the second, its figures being no worse."""
        self._beats = beats
        self.members: list[R] = []
        self._figures = np.empty((0, 0))
        for member in members:
            self.add(member)

    def add(self, member: R) -> None:
        count = len(self.members)
        if count == len(self._figures):
            grown = np.empty((max(64, 2 * count), len(member.figures)))
            grown[:count] = self._figures[:count] if count else grown[:0]
            self._figures = grown
        self._figures[count] = member.figures
        self.members.append(member)

    def beats(self, candidate: R) -> bool:
        """Whether some member beats a candidate."""
        if not self.members:
            return False
        no_worse = (self._figures[: len(self.members)] <= candidate.figures).all(axis=1)
        rivals = (self.members[n] for n in np.flatnonzero(no_worse))
        return any(self._beats(rival, candidate) for rival in rivals if rival is not candidate)

    def drop_beaten_by(self, candidate: R) -> None:
        """Lets go of the members that a candidate beats."""
        if not self.members:
            return
        no_better = (self._figures[: len(self.members)] >= candidate.figures).all(axis=1)
        beaten = {int(n) for n in np.flatnonzero(no_better) if self._beats(candidate, self.members[n])}
        if beaten:
            left = [n for n in range(len(self.members)) if n not in beaten]
            self._figures[: len(left)] = self._figures[left]
            self.members = [self.members[n] for n in left]
