"""A load behind a resistive line, against circuit theory, ngspice and powered Ethernet."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.physics import line


@pytest.mark.parametrize(
    ("source_v", "loop_ohm", "load_w", "expected_v"),
    [
        pytest.param(11.5, 0.05, 100, 11.0474, id="ngspice 39 gave 11.04741"),
        pytest.param(56, 1.5, 75, 53.9133, id="quadratic formula"),
        pytest.param(12, 0.1, 360, 6.0, id="limit: half the source voltage"),
        pytest.param(12, 0.05, 600, 8.449, id="stable root, not 3.55 V"),
    ],
)
def test_constant_power_load(source_v: float, loop_ohm: float, load_w: float, expected_v: float) -> None:
    assert line.constant_power_v(source_v, loop_ohm, load_w) == pytest.approx(expected_v, abs=1e-3)


def test_no_solution_above_the_limit_of_the_line() -> None:
    assert line.constant_power_v(12, 0.1, 360.01) is None  # P = U² / (4 R) = 360 W


# IEEE 802.3 (memory): what the source gives at its least voltage, the loop it allows, what the device may count on
@pytest.mark.parametrize(
    ("source_v", "loop_ohm", "device_w", "source_w"),
    [pytest.param(44, 20, 12.95, 15.4, id="type 1"), pytest.param(50, 12.5, 25.5, 30.0, id="type 2")],
)
def test_powered_ethernet_loses_what_the_standard_allows(
    source_v: float, loop_ohm: float, device_w: float, source_w: float
) -> None:
    device_v = line.constant_power_v(source_v, loop_ohm, device_w)
    assert device_v is not None
    assert source_v * device_w / device_v == pytest.approx(source_w, rel=2e-3)


@given(source_v=st.floats(5, 60), loop_ohm=st.floats(0.001, 5), share=st.floats(0.01, 0.99))
def test_constant_power_obeys_ohm_and_takes_the_stable_root(source_v: float, loop_ohm: float, share: float) -> None:
    load_w = share * source_v**2 / (4 * loop_ohm)
    load_v = line.constant_power_v(source_v, loop_ohm, load_w)
    assert load_v is not None
    assert load_v + loop_ohm * load_w / load_v == pytest.approx(source_v)
    assert load_v >= source_v / 2


@given(source_v=st.floats(5, 60), loop_ohm=st.floats(0, 5), load_ohm=st.floats(0.1, 500))
def test_resistive_load_divides_the_voltage(source_v: float, loop_ohm: float, load_ohm: float) -> None:
    load_v = line.resistive_v(source_v, loop_ohm, load_ohm)
    assert load_v + loop_ohm * load_v / load_ohm == pytest.approx(source_v)
