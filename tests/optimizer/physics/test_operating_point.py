"""The settled operating point of a circuit."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.physics.operating_point import (
    ConstantPower,
    Draw,
    Regulated,
    Resistive,
    settle,
    total_current_a,
)


@pytest.mark.parametrize(
    ("source_v", "loop_ohm", "load_w", "expected_v"),
    [
        pytest.param(11.5, 0.05, 100, 11.04741, id="ngspice 39"),
        pytest.param(56, 1.5, 75, 53.9133, id="(U + √(U² − 4 R P)) / 2"),
        pytest.param(12, 0, 100, 12, id="no resistance, no drop"),
    ],
)
def test_single_constant_power_load(source_v: float, loop_ohm: float, load_w: float, expected_v: float) -> None:
    point = settle(source_v, loop_ohm, [ConstantPower(load_w=load_w)])
    assert point is not None
    assert point.place_v == pytest.approx(expected_v, abs=5e-5)
    assert point.current_a == pytest.approx(load_w / point.place_v)


def test_run_and_lead_in_series_are_one_line() -> None:
    apart = settle(12, 0.1, [ConstantPower(load_w=60, lead_ohm=0.15)])
    together = settle(12, 0.25, [ConstantPower(load_w=60)])  # circuit theory: resistances in series add
    assert apart is not None
    assert together is not None
    assert apart.current_a == pytest.approx(together.current_a)
    assert ConstantPower(load_w=60, lead_ohm=0.15).load_v(apart.place_v) == pytest.approx(together.place_v)


def test_resistive_load_is_a_voltage_divider() -> None:
    point = settle(12, 1, [Resistive(load_ohm=4, lead_ohm=1)])
    assert point is not None
    assert point.place_v == pytest.approx(10)  # 12 V × 5 / 6
    assert Resistive(load_ohm=4, lead_ohm=1).load_v(point.place_v) == pytest.approx(8)


def test_regulated_feed_keeps_its_load_voltage_whatever_the_place_sees() -> None:
    feed = Regulated(input_w=45, out_v=19, load=ConstantPower(load_w=36, lead_ohm=0.5))
    assert feed.load_v(9) == pytest.approx(18)  # 36 W at 18 V are 2 A over 0.5 Ω
    assert feed.load_v(14) == pytest.approx(18)


def test_no_operating_point_above_the_limit_of_the_run() -> None:
    assert settle(12, 0.1, [ConstantPower(load_w=359.9)]) is not None
    assert settle(12, 0.1, [ConstantPower(load_w=360.1)]) is None  # U² / (4 R) = 360 W
    assert (
        settle(12, 0.1, [ConstantPower(load_w=10), Regulated(input_w=math.inf, out_v=5, load=Resistive(load_ohm=1))])
        is None
    )


def test_no_operating_point_where_a_lead_cannot_carry_its_load() -> None:
    assert settle(12, 0.01, [ConstantPower(load_w=100, lead_ohm=0.4)]) is None  # at most 12² / (4 × 0.4) = 90 W


LOADS = st.one_of(
    st.builds(ConstantPower, load_w=st.floats(0.1, 40), lead_ohm=st.floats(0, 0.3)),
    st.builds(Resistive, load_ohm=st.floats(2, 100), lead_ohm=st.floats(0, 0.3)),
    st.builds(
        Regulated, input_w=st.floats(0.1, 60), out_v=st.just(19.0), load=st.builds(ConstantPower, load_w=st.just(1.0))
    ),
)


@given(source_v=st.floats(10, 60), loop_ohm=st.floats(0, 0.5), draws=st.lists(LOADS, min_size=1, max_size=6))
def test_settled_point_obeys_both_of_kirchhoffs_laws(source_v: float, loop_ohm: float, draws: list[Draw]) -> None:
    point = settle(source_v, loop_ohm, draws)
    if point is None:
        assert _no_root_above(source_v, loop_ohm, draws)
        return
    assert point.place_v + loop_ohm * point.current_a == pytest.approx(source_v, rel=1e-9)
    assert total_current_a(draws, point.place_v) == pytest.approx(point.current_a)


@given(source_v=st.floats(10, 60), loop_ohm=st.floats(0, 0.5), draws=st.lists(LOADS, min_size=1, max_size=6))
def test_settled_point_is_the_highest_there_is(source_v: float, loop_ohm: float, draws: list[Draw]) -> None:
    point = settle(source_v, loop_ohm, draws)
    if point is not None:
        gap_v = source_v - point.place_v
        for share in (0.01, 0.1, 0.5, 0.9):
            place_v = point.place_v + share * gap_v
            assert _excess_v(source_v, loop_ohm, draws, place_v) >= -1e-9 * source_v


def _excess_v(source_v: float, loop_ohm: float, draws: list[Draw], place_v: float) -> float:
    current_a = total_current_a(draws, place_v)
    return math.inf if current_a is None else place_v + loop_ohm * current_a - source_v


def _no_root_above(source_v: float, loop_ohm: float, draws: list[Draw]) -> bool:
    """A sweep, which knows no derivative, finds no voltage that the source could hold."""
    sweep = (source_v * i / 2000 for i in range(1, 2001))
    return all(_excess_v(source_v, loop_ohm, draws, place_v) > 0 for place_v in sweep)
