"""Autonomy of a bank against Peukert's law."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.physics import bank


# t = H (C / (I H))^k (formula), the whole of 100 Ah rated at 20 h
@pytest.mark.parametrize(
    ("peukert", "current_a", "hours"),
    [
        pytest.param(1.2, 10, 8.706, id="20 × 0.5^1.2"),
        pytest.param(1.1, 25, 3.405, id="20 × 0.2^1.1"),
        pytest.param(1.0, 25, 4.000, id="no Peukert effect"),
    ],
)
def test_current_that_lasts_so_long(peukert: float, current_a: float, hours: float) -> None:
    found_a = bank.average_current_a(
        capacity_ah=100, usable_fraction=1, rated_hours=20, peukert=peukert, autonomy_h=hours
    )
    assert found_a == pytest.approx(current_a, rel=1e-3)


@pytest.mark.parametrize("autonomy_h", [20, 40, 100])
def test_no_credit_for_a_discharge_slower_than_rated(autonomy_h: float) -> None:
    found_a = bank.average_current_a(
        capacity_ah=100, usable_fraction=1, rated_hours=20, peukert=1.3, autonomy_h=autonomy_h
    )
    assert found_a == 100 / autonomy_h


STORES = st.fixed_dictionaries(
    {
        "capacity_ah": st.floats(5, 1000),
        "usable_fraction": st.floats(0.2, 1),
        "rated_hours": st.sampled_from([5.0, 10.0, 20.0, 100.0]),
        "peukert": st.floats(1, 1.4),
    }
)


@given(store=STORES, autonomy_h=st.floats(1, 200))
def test_longer_autonomy_allows_less_current(store: dict[str, float], autonomy_h: float) -> None:
    shorter_a = bank.average_current_a(**store, autonomy_h=autonomy_h)
    assert bank.average_current_a(**store, autonomy_h=autonomy_h * 1.1) < shorter_a


@given(store=STORES, autonomy_h=st.floats(1, 200))
def test_hours_at_that_current_are_the_autonomy(store: dict[str, float], autonomy_h: float) -> None:
    current_a = bank.average_current_a(**store, autonomy_h=autonomy_h)
    assert bank.hours_at(**store, current_a=current_a) == pytest.approx(autonomy_h)
