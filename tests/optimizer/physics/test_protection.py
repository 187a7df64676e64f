"""Fuses against continuous load and far faults."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.physics import protection


def test_fuse_carries_125_percent_of_a_continuous_load() -> None:
    assert protection.least_rating_a(12) == 15  # NFPA 70 210.20(A): continuous loads 125 %


@pytest.mark.parametrize(
    ("nominal_v", "fault_a", "loop_ohm", "expected_a"),
    [
        pytest.param(12, 1200, 0.05, 200, id="12 V / (0.01 Ω + 0.05 Ω)"),  # Ohm's law
        pytest.param(48, 4800, 0, 4800, id="at the panel itself"),
        pytest.param(24, 2400, 0.47, 50, id="24 V / (0.01 Ω + 0.47 Ω)"),
    ],
)
def test_far_fault_is_ohms_law(nominal_v: float, fault_a: float, loop_ohm: float, expected_a: float) -> None:
    assert protection.far_fault_a(nominal_v, fault_a, loop_ohm) == pytest.approx(expected_a)


@given(loop_ohm=st.floats(0, 10), more_ohm=st.floats(0.001, 1))
def test_longer_run_means_less_fault_current(loop_ohm: float, more_ohm: float) -> None:
    near_a = protection.far_fault_a(12, 1000, loop_ohm)
    assert protection.far_fault_a(12, 1000, loop_ohm + more_ohm) < near_a <= 1000 * (1 + 1e-12)
