"""Holds, tight, fails, not checked."""

from __future__ import annotations

import math

import pytest

from optimizer.checks import rules, verdict


@pytest.mark.parametrize(
    ("value", "state"),
    [
        pytest.param(0.95, "holds", id="5 % of the limit left"),
        pytest.param(0.951, "tight", id="less than 5 % left"),
        pytest.param(1.0, "tight", id="at the limit"),
        pytest.param(1.001, "fails", id="beyond"),
        pytest.param(math.nan, "fails", id="no operating point"),
        pytest.param(math.inf, "fails", id="no end of current"),
    ],
)
def test_drop_is_tight_where_a_tape_measures_that_much_wrong(value: float, state: str) -> None:
    assert verdict.at_most(rules.DROP, "circuit C1", value, 1.0, "").state == state


@pytest.mark.parametrize(("value", "state"), [(0.9, "holds"), (0.901, "tight"), (1.001, "fails")])
def test_power_is_tight_with_less_than_10_percent_left(value: float, state: str) -> None:
    assert verdict.at_most(rules.AUTONOMY, "bank", value, 1.0, "").state == state


@pytest.mark.parametrize(
    ("value_v", "min_v", "max_v", "low", "high"),
    [
        (19.5, 18.5, 20.5, "holds", "holds"),  # in the middle of its window: nothing to gain on either side
        (12.0, 11.4, 12.6, "holds", "holds"),  # what we assume of a load whose plate names one figure
        (56.1, 44.0, 57.0, "holds", "tight"),  # 1.6 %: a converter set a little high is over it
        (11.2, 11.0, 15.5, "tight", "holds"),  # 1.8 %
    ],
)
def test_a_window_is_tight_within_2_percent_of_its_end(
    value_v: float, min_v: float, max_v: float, low: str, high: str
) -> None:
    assert verdict.at_least(rules.LOAD_LOW, "load L1", value_v, min_v, "").state == low
    assert verdict.at_most(rules.LOAD_HIGH, "load L1", value_v, max_v, "").state == high


@pytest.mark.parametrize(("value_v", "state"), [(57.0, "holds"), (58.4, "tight"), (60.0, "tight"), (60.1, "fails")])
def test_the_ceiling_is_tight_above_57_v(value_v: float, state: str) -> None:
    assert verdict.at_most(rules.CEILING, "bus", value_v, 60.0, "").state == state


@pytest.mark.parametrize("rule", [rules.STAGE_RATING, rules.FAR_FAULT, rules.FUSE_CABLE, rules.FUSE_RATIO])
def test_what_has_a_margin_of_its_own_is_never_tight(rule: rules.Rule) -> None:
    assert verdict.at_most(rule, "load L1", 10.0, 10.0, "").state == "holds"


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
