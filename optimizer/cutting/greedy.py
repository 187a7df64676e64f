"""A list as a careful person makes it: each run of its cheapest cable, long pieces first, into the first length that
takes them (or the one they fill best); at the end every spool gives way to the cheapest that holds its cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from .instance import Instance
from .mixes import Mix, mix_of, rooms_of
from .pieces import Counts, Loads

_MANY_CLASSES = 2_000  # beyond, one of the two must do for a first answer


@dataclass(frozen=True, slots=True)
class Packed:
    """A mix with what is cut from each of its lengths, in the order of `rooms_of`."""

    mix: Mix
    loads: Loads


def is_sound(instance: Instance, packed: Packed) -> bool:
    """Whether every piece is cut once, of a cable that serves, and no length is overdrawn."""
    rooms = rooms_of(instance, packed.mix)
    if len(rooms) != len(packed.loads) or tuple(map(sum, zip(*packed.loads, strict=True))) != instance.counts:
        return False
    return all(
        sum(map(mul, instance.sizes, load)) <= room
        and all(cable in allowed for allowed, count in zip(instance.allowed, load, strict=True) if count)
        for (room, cable), load in zip(rooms, packed.loads, strict=True)
    )


@dataclass(slots=True)
class _Bin:
    free: int
    load: dict[int, int]
    source: int  # kind, or -1 - position for stock

    @property
    def is_bought(self) -> bool:
        return self.source >= 0


def greedy(instance: Instance) -> Packed | None:
    """The cheapest of first-fit and best-fit decreasing; None where neither places every piece within the limits."""
    fits = (False,) if len(instance.sizes) > _MANY_CLASSES else (False, True)
    found = [packed for fit in fits if (packed := decreasing(instance, best_fit=fit)) is not None]
    return min(found, key=lambda packed: packed.mix, default=None)


def decreasing(instance: Instance, *, best_fit: bool, base: int = 0) -> Packed | None:
    """First-fit or best-fit decreasing; spools in order of price per length, starting with the `base`-th."""
    shelves = [_Shelf(instance, cable, best_fit, base) for cable in range(len(instance.cables))]
    for piece, count in enumerate(instance.counts):
        left = count
        for cable in _cheapest_first(instance, shelves, piece):
            left = shelves[cable].place(piece, left)
            if not left:
                break
        if left:
            return None
    return _assembled(instance, shelves)


def _cheapest_first(instance: Instance, shelves: Sequence[_Shelf], piece: int) -> list[int]:
    return sorted(instance.allowed[piece], key=lambda cable: shelves[cable].cents_per_length)


class _Shelf:
    """The lengths of one cable."""

    def __init__(self, instance: Instance, cable: int, best_fit: bool, base: int) -> None:
        self._instance = instance
        self._best_fit = best_fit
        order = sorted(
            (at for at, kind in enumerate(instance.kinds) if kind.cable == cable),
            key=lambda at: instance.kinds[at].cents / instance.kinds[at].room,
        )
        self._order = order[base:] + order[:base]
        self.left = {at: instance.kinds[at].most for at in order}
        self.bins = [_Bin(s.room, {}, -1 - at) for at, s in enumerate(instance.stock) if s.cable == cable]
        self._open = list(self.bins)  # those with room for the shortest piece
        self._shortest = instance.sizes[-1]
        self.reel = next((at for at, reel in enumerate(instance.reels) if reel.cable == cable), None)
        self.on_reel: dict[int, int] = {}
        prices = [instance.kinds[at].cents / instance.kinds[at].room for at in order[:1]]
        if self.reel is not None and not prices:
            reel = instance.reels[self.reel]
            prices.append(reel.cents * reel.unit_mm / reel.offer.step_mm)
        self.cents_per_length = prices[0] if prices else float("inf")

    def place(self, piece: int, count: int) -> int:
        """How many could not be placed."""
        size = self._instance.sizes[piece]
        self._open = [bin_ for bin_ in self._open if bin_.free >= self._shortest]
        if self._best_fit:
            self._open.sort(key=lambda bin_: bin_.free)
        for bin_ in self._open:
            count = _put(bin_, piece, size, count)
            if not count:
                return 0
        while count and (kind := self._next_kind(size)) is not None:
            self.left[kind] -= 1
            self.bins.append(_Bin(self._instance.kinds[kind].room, {}, kind))
            self._open.append(self.bins[-1])
            count = _put(self.bins[-1], piece, size, count)
        return self._put_on_reel(piece, size, count) if count else 0

    def _next_kind(self, size: int) -> int | None:
        return next((at for at in self._order if self.left[at] and self._instance.kinds[at].room >= size), None)

    def _put_on_reel(self, piece: int, size: int, count: int) -> int:
        if self.reel is None:
            return count
        reel = self._instance.reels[self.reel]
        used = sum(self._instance.sizes[at] * pieces for at, pieces in self.on_reel.items())
        taken = min(count, (reel.room(reel.most) - used) // size)
        if taken > 0:
            self.on_reel[piece] = taken
        return count - max(taken, 0)

    def shrink(self) -> None:
        """Each spool gives way to the cheapest that holds its cuts, and one of them to the reel."""
        for bin_ in self.bins:
            if bin_.is_bought:
                self._swap(bin_)
        if self.reel is not None and not self.on_reel:
            self._one_to_reel(self.reel)

    def _swap(self, bin_: _Bin) -> None:
        kinds = self._instance.kinds
        used = kinds[bin_.source].room - bin_.free
        fitting = [at for at, left in self.left.items() if left and kinds[at].room >= used]
        best = min(fitting, key=lambda at: kinds[at].cents, default=bin_.source)
        if kinds[best].cents < kinds[bin_.source].cents:
            self.left[bin_.source] += 1
            self.left[best] -= 1
            bin_.source, bin_.free = best, kinds[best].room - used

    def _one_to_reel(self, number: int) -> None:
        reel, kinds = self._instance.reels[number], self._instance.kinds
        saving: list[tuple[int, int]] = []
        for at, bin_ in enumerate(self.bins):
            if bin_.is_bought:
                steps = reel.least_steps(kinds[bin_.source].room - bin_.free)
                if steps <= reel.most:
                    saving.append((kinds[bin_.source].cents - steps * reel.cents, at))
        if saving and max(saving)[0] > 0:
            self.on_reel = self.bins.pop(max(saving)[1]).load


def _put(bin_: _Bin, piece: int, size: int, count: int) -> int:
    taken = min(count, bin_.free // size)
    if taken:
        bin_.load[piece] = bin_.load.get(piece, 0) + taken
        bin_.free -= taken * size
    return count - taken


def _assembled(instance: Instance, shelves: Sequence[_Shelf]) -> Packed:
    for shelf in shelves:
        shelf.shrink()
    bins = [bin_ for shelf in shelves for bin_ in shelf.bins]
    by_kind: list[list[dict[int, int]]] = [[] for _ in instance.kinds]
    stock: list[dict[int, int]] = [{} for _ in instance.stock]
    for bin_ in bins:
        if bin_.is_bought:
            by_kind[bin_.source].append(bin_.load)
        else:
            stock[-1 - bin_.source] = bin_.load
    on_reel = {shelf.reel: shelf.on_reel for shelf in shelves if shelf.reel is not None and shelf.on_reel}
    steps = [
        reel.least_steps(sum(instance.sizes[piece] * count for piece, count in on_reel.get(at, {}).items()))
        for at, reel in enumerate(instance.reels)
    ]
    loads = [load for group in by_kind for load in group]
    loads += [on_reel[at] for at in range(len(instance.reels)) if at in on_reel]
    mix = mix_of(instance, [len(group) for group in by_kind], steps)
    return Packed(mix, [_counts(load, len(instance.sizes)) for load in [*loads, *stock]])


def _counts(load: dict[int, int], classes: int) -> Counts:
    counts = [0] * classes
    for at, count in load.items():
        counts[at] = count
    return counts
