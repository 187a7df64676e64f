"""Ampacity as installed against the printed tables."""

from __future__ import annotations

import pytest

from optimizer.physics import ampacity


# NFPA 70 table 310.15(B), correction from 30 °C (memory): printed for a range, computed at its upper end
@pytest.mark.parametrize(
    ("insulation_c", "ambient_c", "printed"),
    [(75, 40, 0.88), (75, 45, 0.82), (75, 50, 0.75), (90, 40, 0.91), (90, 45, 0.87), (90, 50, 0.82), (90, 55, 0.76)],
)
def test_ambient_correction_is_the_printed_one(insulation_c: float, ambient_c: float, printed: float) -> None:
    assert ampacity.ambient_factor(insulation_c, ambient_c) == pytest.approx(printed, abs=0.006)


# NFPA 70 310.15(C)(1) (memory); both ends of each range
@pytest.mark.parametrize(
    ("conductors", "printed"),
    [
        *((n, 1.00) for n in (1, 3)),
        *((n, 0.80) for n in (4, 6)),
        *((n, 0.70) for n in (7, 9)),
        *((n, 0.50) for n in (10, 20)),
        *((n, 0.45) for n in (21, 30)),
        *((n, 0.40) for n in (31, 40)),
        *((n, 0.35) for n in (41, 100)),
    ],
)
def test_adjustment_for_bundled_conductors_is_the_printed_one(conductors: int, printed: float) -> None:
    assert ampacity.bundling_factor(conductors) == printed


def test_both_corrections_multiply() -> None:
    # 30 A (10 AWG, 60 °C column of NFPA 70 table 310.16, memory) with 75 °C insulation at 45 °C, six conductors
    assert ampacity.ampacity_a(30, 75, 45, 6) == pytest.approx(30 * 0.82 * 0.80, rel=0.005)


def test_nothing_may_flow_where_it_is_as_hot_as_the_insulation_stands() -> None:
    assert ampacity.ampacity_a(40, 90, 90, 1) == 0
    assert ampacity.ampacity_a(40, 90, 95, 1) == 0
