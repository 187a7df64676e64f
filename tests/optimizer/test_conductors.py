"""Conductor pairs: which there are, what they lose and what they carry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from optimizer.catalogue import Cable, Catalogue
from optimizer.conductors import Pair, pairs_on_offer

TWIN = Cable(id="twin", mm2=4, cores=2, ohm_per_km_20c=5, ampacity_a=40, insulation_c=90)
RED = replace(TWIN, id="red", cores=1, polarity="positive")
BLACK = replace(RED, id="black", polarity="negative", ohm_per_km_20c=6, ampacity_a=30, max_fuse_a=20)


def ids(*cables: Cable, min_mm2: float = 0) -> list[tuple[str, ...]]:
    return [pair.ids for pair in pairs_on_offer(Catalogue(sellers=(), parts=cables, offers=()), min_mm2)]


def test_pairs_are_twins_and_a_positive_with_a_negative() -> None:
    assert ids(TWIN, RED, BLACK) == [("red", "black"), ("twin",)]


def test_singles_of_two_sizes_are_no_pair() -> None:
    assert ids(RED, replace(BLACK, mm2=6)) == []


def test_two_of_one_polarity_are_no_pair() -> None:
    assert ids(RED, replace(RED, id="red2")) == []


@pytest.mark.parametrize(("min_mm2", "expected"), [(4, [("twin",), ("thick",)]), (4.01, [("thick",)])])
def test_smallest_conductor_is_kept_to(min_mm2: float, expected: list[tuple[str, ...]]) -> None:
    assert ids(replace(TWIN, id="thick", mm2=6), TWIN, min_mm2=min_mm2) == expected


def test_loop_is_both_conductors_at_their_temperature() -> None:
    # R(T) = R20 × (1 + 0.00393 × (T − 20)), IEC 60228
    assert Pair(cables=(TWIN,)).loop_ohm(20, 20) == pytest.approx(0.2)  # 2 × 20 m × 5 Ω/km
    assert Pair(cables=(RED, BLACK)).loop_ohm(20, 20) == pytest.approx(0.22)  # 20 m × (5 + 6) Ω/km
    assert Pair(cables=(TWIN,)).loop_ohm(20, 70) == pytest.approx(0.2 * 1.1965)


def test_pair_carries_what_its_weaker_conductor_does() -> None:
    assert Pair(cables=(RED, BLACK)).ampacity_a(30, 2) == pytest.approx(30)
    # √((90 − 50) / (90 − 30)) = 0.8165; 4 to 6 loaded conductors 0.80 (NFPA 70 310.15)
    assert Pair(cables=(TWIN,)).ampacity_a(50, 4) == pytest.approx(40 * 0.81650 * 0.80, rel=1e-4)


def test_ceiling_is_that_of_the_weaker_conductor() -> None:
    assert Pair(cables=(RED, BLACK)).max_fuse_a == 20
    assert Pair(cables=(TWIN,)).max_fuse_a == math.inf
