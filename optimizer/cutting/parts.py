"""Long tight lists in two parts: most lengths filled exactly, the last few dozen pieces left to the exact method.

Where pieces abound, exact fills abound too; what is hard is the end. The end is a list of its own, small enough.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import islice

from .fill import fullest
from .greedy import Packed
from .instance import Instance
from .mixes import Mix, mix_of, rooms_of
from .pieces import Counts, Loads, Pieces


def filled(instance: Instance, mix: Mix, leave: int, seed: int) -> tuple[list[int], Loads] | None:
    """Positions of lengths of a mix that are filled exactly, with their loads, so that about `leave` pieces stay."""
    rng = random.Random(seed)  # noqa: S311  # a search order, nothing secret
    rooms = rooms_of(instance, mix)
    served = Pieces(instance.sizes, instance.allowed).served_by
    kept_back = _sample(instance.counts, leave // 2, rng)
    left = [count - back for count, back in zip(instance.counts, kept_back, strict=True)]
    at_hand = sorted(range(sum(mix.counts)), key=lambda at: (-rooms[at][0], at))
    kept: list[int] = []
    loads: Loads = []
    for at in at_hand:
        if sum(left) <= leave - leave // 2:
            break
        room, cable = rooms[at]
        load = _exact(room, instance.sizes, left, served.get(cable, ()), rng)
        if load is not None:
            kept.append(at)
            loads.append(load)
            left = [count - taken for count, taken in zip(left, load, strict=True)]
    return (kept, loads) if kept and sum(left) <= 2 * leave else None


def _sample(counts: Sequence[int], number: int, rng: random.Random) -> Counts:
    """A sample of the pieces, evenly from long to short: an end of one sort of length is hard to fill."""
    pieces = sum(counts)
    step = pieces / min(number, pieces)
    picked = {int(step * (at + rng.random())) for at in range(min(number, pieces))}
    sample, start = [], 0
    for count in counts:
        sample.append(sum(1 for at in range(start, start + count) if at in picked))
        start += count
    return sample


def _exact(room: int, sizes: Sequence[int], left: Counts, served: Sequence[int], rng: random.Random) -> Counts | None:
    """A load without waste, of classes that are served, that holds one of the longest pieces."""
    longest = next((at for at in served if left[at] and sizes[at] <= room), None)
    if longest is None:
        return None
    left[longest] -= 1
    for spread in (1.1, 2.0, 4.0):
        order = sorted(served, key=lambda at: -sizes[at] * rng.uniform(1, spread))
        load = fullest(room - sizes[longest], sizes, left, order)
        if sum(sizes[at] * taken for at, taken in load.items()) == room - sizes[longest]:
            left[longest] += 1
            load[longest] = load.get(longest, 0) + 1
            return [load.get(at, 0) for at in range(len(sizes))]
    left[longest] += 1
    return None


def done_of(instance: Instance, mix: Mix, kept: Sequence[int], loads: Loads) -> Packed:
    """The filled lengths of a mix as a list of their own, owned lengths untouched."""
    kind_of = [number for number, count in enumerate(mix.counts) for _ in range(count)]
    by_kind: list[Loads] = [[] for _ in instance.kinds]
    for at, load in zip(kept, loads, strict=True):
        by_kind[kind_of[at]].append(load)
    done = mix_of(instance, [len(group) for group in by_kind], [0] * len(instance.reels))
    untouched = [[0] * len(instance.sizes) for _ in instance.stock]
    return Packed(done, [load for group in by_kind for load in group] + untouched)


def rest_of(instance: Instance, done: Packed, *, with_stock: bool) -> Instance:
    """The list that is left: the pieces not cut yet, the offers not used up."""
    kinds = [replace(kind, most=kind.most - used) for kind, used in zip(instance.kinds, done.mix.counts, strict=True)]
    reels = [
        replace(reel, most=0 if used else reel.most) for reel, used in zip(instance.reels, done.mix.steps, strict=True)
    ]
    counts = [count - sum(load[at] for load in done.loads) for at, count in enumerate(instance.counts)]
    stock = instance.stock if with_stock else ()
    return replace(instance, kinds=tuple(kinds), reels=tuple(reels), counts=tuple(counts), stock=stock)


def joined(instance: Instance, one: Packed, other: Packed) -> Packed:
    """Two lists as one; no reel and no owned length is cut from in both."""
    grouped = [_grouped(packed) for packed in (one, other)]
    kinds, reels = len(instance.kinds), len(instance.reels)
    loads: Loads = []
    for source in range(kinds + reels):
        loads += [load for groups in grouped for load in groups[source]]
    stock = [groups[kinds + reels] for groups in grouped if groups[kinds + reels]]
    loads += [[sum(counts) for counts in zip(*same, strict=True)] for same in zip(*stock, strict=True)]
    counts = [a + b for a, b in zip(one.mix.counts, other.mix.counts, strict=True)]
    return Packed(
        mix_of(instance, counts, [max(a, b) for a, b in zip(one.mix.steps, other.mix.steps, strict=True)]), loads
    )


def _grouped(packed: Packed) -> list[Loads]:
    """Loads by kind, by reel, and last those of the owned lengths."""
    lengths = iter(packed.loads)
    groups = [list(islice(lengths, count)) for count in packed.mix.counts]
    groups += [list(islice(lengths, 1 if steps else 0)) for steps in packed.mix.steps]
    return [*groups, list(lengths)]
