"""The search from the shortest length on against trying every assignment, of one cable and of several."""

from __future__ import annotations

import random
from collections import Counter

import pytest

from optimizer.cutting import Undecided
from optimizer.cutting.pieces import Pieces
from optimizer.cutting.shortest_first import ShortestFirst


def fit_somehow(rooms, pieces):
    """Whether pieces (size, cables) fit lengths (room, cable): the longest goes everywhere in turn."""
    if not pieces:
        return True
    (size, cables), others = pieces[0], pieces[1:]
    return any(
        cable in cables and size <= room and fit_somehow([*rooms[:at], (room - size, cable), *rooms[at + 1 :]], others)
        for at, (room, cable) in enumerate(rooms)
        if (room, cable) not in rooms[:at]
    )


def made_up(rng, cables):
    """Lengths of some cables, and pieces cut from them or nearly so."""
    rooms = [(rng.randint(3, 24), rng.randrange(cables)) for _ in range(rng.randint(1, 5))]
    pieces = []
    for room, cable in rooms:
        left = room - rng.choice([0, 0, 0, 1])
        while left > 1 and len(pieces) < 11:
            size = rng.randint(2, min(left, 12))
            others = [other for other in range(cables) if rng.random() < 0.4]
            suffix = list(range(rng.randint(0, cable), cables))
            pieces.append((size, tuple(sorted({cable, *(others if rng.random() < 0.5 else suffix)}))))
            left -= size
    at = rng.randrange(len(pieces))
    pieces[at] = (max(pieces[at][0] + rng.choice([-1, 0, 0, 1]), 1), pieces[at][1])
    return rooms, sorted(pieces, reverse=True)


def asked_about(pieces):
    """The search, its classes and how many of each."""
    classes = sorted(Counter(pieces).items(), key=lambda entry: (-entry[0][0], len(entry[0][1]), entry[0][1]))
    counts = [count for _, count in classes]
    sizes, allowed = tuple(size for (size, _), _ in classes), tuple(cables for (_, cables), _ in classes)
    return ShortestFirst(Pieces(sizes, allowed), counts), sizes, allowed, counts


@pytest.mark.parametrize("cables", [1, 2, 3, 4])
@pytest.mark.parametrize("seed", range(60))
def test_agrees_with_trying_all(cables, seed):
    rng = random.Random(seed)
    rooms, pieces = made_up(rng, cables)
    asked, sizes, allowed, counts = asked_about(pieces)
    for _ in range(8):  # what it remembers must not change an answer
        lengths = [(max(room + rng.choice([-2, -1, 0, 0, 0, 0, 1, 2]), 1), cable) for room, cable in rooms]
        loads = asked.fits(lengths, 100_000)
        assert (loads is not None) == fit_somehow(lengths, pieces)
        if loads is not None:
            assert [sum(column) for column in zip(*loads, strict=True)] == counts
            for (room, cable), load in zip(lengths, loads, strict=True):
                assert sum(size * count for size, count in zip(sizes, load, strict=True)) <= room
                assert all(cable in cables for cables, count in zip(allowed, load, strict=True) if count)


def test_classes_without_pieces_need_no_cable():
    pieces = Pieces((7, 5), ((1,), (0, 1)))
    assert ShortestFirst(pieces, [0, 2]).fits([(10, 0)], 5) == [[0, 2]]


def test_says_when_it_gave_up():
    rng = random.Random(1)
    pieces = [(rng.randrange(250, 500, 2), (0,)) for _ in range(60)]
    rooms = [(1_000, 0)] * (sum(size for size, _ in pieces) // 1_000 + 1)
    assert isinstance(asked_about(pieces)[0].fits(rooms, 0), Undecided)


def test_one_load_a_length_of_hundreds_of_classes_is_no_proof():
    sizes = list(range(3_000, 2_000, -2))
    even, odd = sizes[0] + sizes[9], sizes[3] + sizes[4] + 1  # pieces are even: what is odd cannot be filled
    rooms = [(room, 0) for room in (even, odd, sum(sizes) - even - odd)]
    assert isinstance(asked_about([(size, (0,)) for size in sizes])[0].fits(rooms, 100), Undecided)


def test_what_must_be_cut_from_a_heavier_cable_is_known_before_the_search():
    # the lengths of cable 1 are 3 longer than what only it serves, and only a piece of 7 could use that
    pieces = [(7, (0, 1))] * 40 + [(10, (1,))] * 40
    rooms = [(70, 0), (70, 0), (70, 0), (67, 0), (53, 1), *[(50, 1)] * 7]
    assert asked_about(pieces)[0].fits(rooms, 0) is None
