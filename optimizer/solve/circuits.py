"""The circuits that a plan may lay: which loads can hang together.

Loads at one place that may share form a group. In a group of a few loads every set of them is a circuit of its own that
is laid whole or not at all: what it draws is then nearly known, and so are the conductors and fuses that serve it. That
relaxation was measured to be within a few per cent of the plan, where circuits that loads join one by one leave a third
open. In a group of many loads the sets would be too many: there a circuit is named by its first load and others join.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from optimizer.by_hand import improved
from optimizer.job import Load
from optimizer.solve.fits import Fit, Fits
from optimizer.solve.instance import Instance
from optimizer.solve.runs import RunPair, may_share

MOST_TOGETHER = 12  # loads in a group up to which every way to share is open
FEW_LOADS = 12  # in a job; up to which price and power are asked for together
MANY_LOADS = 30  # beyond, whatever prices parts of the model takes longer than it saves for long
MOST_BY_SETS = 7  # loads in a group up to which every set of them is listed: 127 sets


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """A circuit that may be laid."""

    members: tuple[Load, ...]
    pairs: tuple[RunPair, ...]  # that may serve it
    ratings_a: tuple[float, ...]  # fuses that may protect it
    fit: Fit | None  # what is known of a circuit laid whole; None: opened by the first, joined by others
    at_panel: bool = False  # it only reaches a converter there, and a run of its own goes on (additions 2)

    @property
    def is_whole(self) -> bool:
        """Whether it is laid with all its members or not at all."""
        return self.fit is not None

    @property
    def first(self) -> Load:
        return self.members[0]

    @property
    def place(self) -> str:
        return self.first.place

    @property
    def switch(self) -> bool:
        return self.first.switch

    @cached_property
    def key(self) -> str:
        if self.at_panel:
            return f"{self.first.id}@panel"
        return "+".join(load.id for load in self.members) if self.is_whole else f"{self.first.id}.."


@dataclass(frozen=True, kw_only=True)
class Group:
    """Loads that may share circuits, with all the circuits they may be on."""

    loads: tuple[Load, ...]
    circuits: tuple[Circuit, ...]

    @property
    def is_whole(self) -> bool:
        return all(circuit.is_whole for circuit in self.circuits)

    def of(self, load: Load) -> list[Circuit]:
        """The circuits that a load may be on."""
        return [circuit for circuit in self.circuits if load in circuit.members]

    @property
    def families(self) -> list[list[Circuit]]:
        """Circuits of which a plan lays at most one."""
        if self.is_whole:
            return [self.of(load) for load in self.loads]
        return [[circuit] for circuit in self.circuits]


def groups(instance: Instance, most_by_sets: int = MOST_BY_SETS) -> list[Group]:
    """All groups of loads that the bus can feed, in a stated order."""
    found = []
    for loads in _loads_that_share(instance):
        to_place = tuple(load for load in loads if instance.options[load.id])
        laid = _whole if len(to_place) <= most_by_sets else _joined
        if len(to_place) > MOST_TOGETHER and most_by_sets > 0:
            laid = _as_by_hand
        circuits = laid(instance, to_place) if to_place else ()
        # where every circuit is joined one by one, limits may be off: nothing is left out for not holding them
        at_panel = _at_panel(instance, loads, fitting=most_by_sets > 0)
        found.append(Group(loads=loads, circuits=(*circuits, *at_panel)))
    return found


def is_restricted(instance: Instance) -> bool:
    """Whether some group is so large that not every way to share is open: a cheaper plan may exist."""
    return any(len(loads) > MOST_TOGETHER for loads in _loads_that_share(instance))


def _loads_that_share(instance: Instance) -> Iterator[tuple[Load, ...]]:
    left = [load for load in instance.loads if instance.options[load.id] or instance.boosted[load.id]]
    while left:
        shared = tuple(load for load in left if may_share(left[0], load))
        yield shared
        left = [load for load in left if load not in shared]


def _whole(instance: Instance, loads: tuple[Load, ...]) -> Iterator[Circuit]:
    """Every set of loads that some conductor pair and fuse can serve."""
    fits = Fits(instance, loads)
    for size in range(1, min(len(loads), _most_outlets(instance)) + 1):
        for members in combinations(loads, size):
            fit = fits.of(members)
            if fit.pairs and fit.ratings_a:
                yield Circuit(members=members, pairs=fit.pairs, ratings_a=fit.ratings_a, fit=fit)


def _as_by_hand(instance: Instance, loads: tuple[Load, ...]) -> Iterator[Circuit]:
    """Far too many loads for every way to share: the circuits of a careful person, those less one load, and singles."""
    answer = improved(instance)
    chosen = [circuit.loads for circuit in answer.choices.circuits] if answer else []
    sets: set[tuple[Load, ...]] = {(load,) for load in loads}
    for names in chosen:
        members = tuple(load for load in loads if load.id in names)
        sets.add(members)
        sets.update(tuple(other for other in members if other is not load) for load in members)
    fits = Fits(instance, loads)
    for members in sorted(filter(None, sets), key=lambda members: [load.id for load in members]):
        fit = fits.of(members)
        if fit.pairs and fit.ratings_a:
            yield Circuit(members=members, pairs=fit.pairs, ratings_a=fit.ratings_a, fit=fit)


def _at_panel(instance: Instance, loads: tuple[Load, ...], *, fitting: bool) -> Iterator[Circuit]:
    """One for every load that can be boosted; only with fitting conductors and fuses where that is asked."""
    for load in loads:
        if instance.boosted[load.id]:
            fit = Fits(instance, (load,), at_panel=True).of((load,))
            pairs = fit.pairs if fitting else tuple(instance.panel_pairs[load.place])
            ratings_a = fit.ratings_a if fitting else tuple(instance.ratings_a)
            if pairs and ratings_a:
                yield Circuit(members=(load,), pairs=pairs, ratings_a=ratings_a, fit=fit, at_panel=True)


def _most_outlets(instance: Instance) -> int:
    """Feeds that a circuit can have: as many as the largest junction takes, where joints are counted."""
    if not instance.job.limits.count_joints or instance.job.limits.share_stages:
        return len(instance.loads)
    return max((junction.outlets for junction in instance.junctions), default=1)


def _joined(instance: Instance, loads: tuple[Load, ...]) -> Iterator[Circuit]:
    pairs, ratings_a = tuple(instance.pairs[loads[0].place]), tuple(instance.ratings_a)
    for n in range(len(loads)):
        yield Circuit(members=loads[n:], pairs=pairs, ratings_a=ratings_a, fit=None)
