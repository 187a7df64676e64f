"""`pack` against every assignment there is, and against packings known by construction."""

from __future__ import annotations

import itertools
import random

import pytest

from optimizer.cutting import UNDECIDED, Packing, pack


def fits_by_trying_all(lengths, pieces, kerf_mm, trim_mm):
    for where in itertools.product(range(len(lengths)), repeat=len(pieces)):
        for spool, length in enumerate(lengths):
            cuts = [piece for piece, at in zip(pieces, where, strict=True) if at == spool]
            if cuts and sum(cuts) + kerf_mm * (len(cuts) - 1) + trim_mm > length:
                break
        else:
            return True
    return False


def assert_sound(packing, lengths, by_metre_mm, pieces, kerf_mm, trim_mm):
    cut_from = [*zip(packing.spools, lengths, strict=True), (packing.by_metre, by_metre_mm)]
    assert sorted(itertools.chain(*packing.spools, packing.by_metre)) == list(range(len(pieces)))
    for cuts, length in cut_from:
        used_mm = sum(pieces[piece] for piece in cuts) + kerf_mm * (len(cuts) - 1) + trim_mm
        assert not cuts or used_mm <= length


@pytest.mark.parametrize("seed", range(150))
def test_pack_agrees_with_trying_all(seed):
    rng = random.Random(seed)
    lengths = [rng.randint(8, 30) for _ in range(rng.randint(1, 3))]
    by_metre_mm = rng.choice([0, rng.randint(5, 25)])
    kerf_mm, trim_mm = rng.choice([(0, 0), (1, 0), (0, 2), (1, 3)])
    room = sum(lengths) + by_metre_mm
    pieces = []
    while sum(pieces) < room * rng.uniform(0.7, 1.0) and len(pieces) < 7:
        pieces.append(rng.randint(3, 14))
    packing = pack(lengths, pieces, by_metre_mm=by_metre_mm, kerf_mm=kerf_mm, trim_mm=trim_mm)
    every_length = [*lengths, by_metre_mm] if by_metre_mm else lengths
    assert (packing is not None) == fits_by_trying_all(every_length, pieces, kerf_mm, trim_mm)
    if packing is not None:
        assert_sound(packing, lengths, by_metre_mm, pieces, kerf_mm, trim_mm)


@pytest.mark.parametrize("seed", range(20))
def test_pack_finds_what_was_cut_without_waste(seed):
    rng = random.Random(seed)
    lengths = [rng.choice([10_000, 30_000]) for _ in range(4)]
    pieces = []
    for length in lengths:
        marks = sorted(rng.sample(range(10, length, 10), 7))
        pieces += [b - a for a, b in itertools.pairwise([0, *marks, length])]
    packing = pack(lengths, pieces)
    assert isinstance(packing, Packing)
    assert_sound(packing, lengths, 0, pieces, 0, 0)


def test_pieces_longer_than_half_need_a_spool_each():
    assert pack([10_000] * 5, [5_100] * 6) is None


def test_an_exact_end_needs_no_kerf():
    assert pack([10_000], [4_998, 5_000], kerf_mm=2) == Packing(spools=((0, 1),), by_metre=())
    assert pack([10_000], [4_999, 5_000], kerf_mm=2) is None


def test_the_work_limit_is_admitted():
    pieces = [3_001 + 7 * (i * i % 97) for i in range(50)]
    assert pack([10_000] * 17, pieces, work=3) in (UNDECIDED, None)


def test_nothing_to_cut_fits_nothing():
    assert pack([], []) == Packing(spools=(), by_metre=())
