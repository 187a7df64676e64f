"""Long tight lists in two parts: most lengths filled exactly, the last few dozen pieces left to the exact method.

Where pieces abound, exact fills abound too; what is hard is the end. The end is a list of its own, small enough.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from .fill import fullest
from .greedy import Packed
from .mixes import Mix, mix_of, rooms_of
from .normal import Instance
from .pieces import Counts, Loads


def filled(instance: Instance, mix: Mix, leave: int, seed: int) -> tuple[list[int], Loads] | None:
    """Positions of lengths of a mix that are filled exactly, with their loads, so that about `leave` pieces stay."""
    rng = random.Random(seed)  # noqa: S311  # a search order, nothing secret
    rooms = [room for room, _ in rooms_of(instance, mix)]
    kept_back = _sample(instance.counts, leave // 2, rng)
    left = [count - back for count, back in zip(instance.counts, kept_back, strict=True)]
    at_hand = sorted(range(sum(mix.counts)), key=lambda at: (-rooms[at], at))
    kept: list[int] = []
    loads: Loads = []
    for at in at_hand:
        if sum(left) <= leave - leave // 2:
            break
        load = _exact(rooms[at], instance.sizes, left, rng)
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


def _exact(room: int, sizes: Sequence[int], left: Counts, rng: random.Random) -> Counts | None:
    """A load without waste that holds one of the longest pieces."""
    longest = next((at for at, count in enumerate(left) if count and sizes[at] <= room), None)
    if longest is None:
        return None
    left[longest] -= 1
    for spread in (1.1, 2.0, 4.0):
        order = sorted(range(len(sizes)), key=lambda at: -sizes[at] * rng.uniform(1, spread))
        load = fullest(room - sizes[longest], sizes, left, order)
        if sum(sizes[at] * taken for at, taken in load.items()) == room - sizes[longest]:
            left[longest] += 1
            load[longest] = load.get(longest, 0) + 1
            return [load.get(at, 0) for at in range(len(sizes))]
    left[longest] += 1
    return None


def rest_of(instance: Instance, mix: Mix, kept: Sequence[int], loads: Loads) -> Instance:
    """The list that is left when some spools of a mix are done."""
    done = _of_each_kind(instance, mix, kept)
    kinds = [replace(kind, most=kind.most - used) for kind, used in zip(instance.kinds, done, strict=True)]
    counts = [count - sum(load[at] for load in loads) for at, count in enumerate(instance.counts)]
    return replace(instance, kinds=tuple(kinds), counts=tuple(counts))


def joined(instance: Instance, mix: Mix, kept: Sequence[int], loads: Loads, rest: Packed) -> Packed:
    """The whole list from its two parts."""
    done = _of_each_kind(instance, mix, kept)
    kind_of = [number for number, count in enumerate(mix.counts) for _ in range(count)]
    by_kind: list[Loads] = [[] for _ in instance.kinds]
    for at, load in zip(kept, loads, strict=True):
        by_kind[kind_of[at]].append(load)
    others = iter(rest.loads)
    for number, count in enumerate(rest.mix.counts):
        by_kind[number] += [next(others) for _ in range(count)]
    counts = [used + count for used, count in zip(done, rest.mix.counts, strict=True)]
    whole = mix_of(instance, counts, rest.mix.steps)
    return Packed(whole, [load for group in by_kind for load in group] + list(others))


def _of_each_kind(instance: Instance, mix: Mix, kept: Sequence[int]) -> list[int]:
    kind_of = [number for number, count in enumerate(mix.counts) for _ in range(count)]
    done = [0] * len(instance.kinds)
    for at in kept:
        done[kind_of[at]] += 1
    return done
