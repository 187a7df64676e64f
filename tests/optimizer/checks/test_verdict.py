"""Holds, tight, fails, not checked."""

from __future__ import annotations

import math

import pytest

from optimizer.checks import rules, verdict


@pytest.mark.parametrize(
    ("value", "state"),
    [
        pytest.param(0.85, "holds", id="15 % of the limit left"),
        pytest.param(0.851, "tight", id="less than 15 % left"),
        pytest.param(1.0, "tight", id="at the limit"),
        pytest.param(1.001, "fails", id="beyond"),
        pytest.param(math.nan, "fails", id="no operating point"),
        pytest.param(math.inf, "fails", id="no end of current"),
    ],
)
def test_drop_is_tight_with_less_than_15_percent_left(value: float, state: str) -> None:
    assert verdict.at_most(rules.DROP, "circuit C1", value, 1.0, "").state == state


@pytest.mark.parametrize(("value", "state"), [(0.9, "holds"), (0.901, "tight"), (1.001, "fails")])
def test_power_is_tight_with_less_than_10_percent_left(value: float, state: str) -> None:
    assert verdict.at_most(rules.AUTONOMY, "bank", value, 1.0, "").state == state


def test_discrete_rating_at_its_limit_is_not_called_tight() -> None:
    assert verdict.at_least(rules.FUSE_LOAD, "circuit C1", 5.0, 5.0, "").state == "holds"


def test_margin_is_positive_where_room_is_left() -> None:
    assert verdict.at_most(rules.DROP, "circuit C1", 0.25, 1.0, "").margin == 0.75
    assert verdict.at_least(rules.FUSE_LOAD, "circuit C1", 7.5, 5.0, "").margin == 2.5
    assert verdict.at_most(rules.DROP, "circuit C1", 1.25, 1.0, "").margin == -0.25


def test_binary_fractions_at_the_limit_do_not_fail() -> None:
    assert verdict.at_most(rules.DROP, "circuit C1", 0.1 + 0.2, 0.3, "").state == "tight"


def test_a_value_that_does_not_exist_is_left_out_of_the_document() -> None:
    check = verdict.at_most(rules.DROP, "circuit C1", math.inf, 1.0, "")
    assert (check.value, check.margin) == (None, None)


@pytest.mark.parametrize(
    ("value", "text"), [(0.32144, "0.3214"), (12.0, "12"), (13613.0, "13613"), (None, "∞"), (1.91, "1.91")]
)
def test_numbers_read_as_a_builder_writes_them(value: float | None, text: str) -> None:
    assert verdict.num(value) == text
