"""The gauge of a proof line: both directions, over the limit, nothing to measure, and never the wrong way round."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.plan import Check
from webapp.pictures.gauge import AT_LEAST_PCT, AT_MOST_PCT, gauge_of

SOME = st.floats(min_value=0, max_value=1e7)
LIMITS = st.floats(min_value=1e-3, max_value=1e7)


def a_check(value, limit, margin, state="holds"):
    return Check(
        rule="drop", subject="C1", value=value, limit=limit, unit="V", state=state, margin=margin, source="rules 3"
    )


def at_most(value, limit):
    return a_check(value, limit, limit - value, "holds" if value <= limit else "fails")


def at_least(value, limit):
    return a_check(value, limit, value - limit, "holds" if value >= limit else "fails")


def number(pct):
    return float(pct.removesuffix("%"))


def test_half_of_what_is_allowed_is_half_way_to_the_limit():
    gauge = gauge_of(at_most(2.0, 4.0))
    assert number(gauge.value_pct) == AT_MOST_PCT / 2
    assert (gauge.barred_from_pct, gauge.barred_to_pct) == (gauge.limit_pct, "100.0%")
    assert gauge.words == "50\u00a0% of what is allowed"


def test_twice_what_is_needed_lies_past_the_end():
    gauge = gauge_of(at_least(24.0, 12.0))
    assert (gauge.value_pct, gauge.beyond) == ("100.0%", True)
    assert (gauge.barred_from_pct, number(gauge.barred_to_pct)) == ("0.0%", AT_LEAST_PCT)
    assert gauge.words == "200\u00a0% of what is needed"


def test_a_value_at_its_limit_takes_no_side():
    gauge = gauge_of(at_most(5.0, 5.0))
    assert gauge.value_pct == gauge.limit_pct == gauge.barred_from_pct == gauge.barred_to_pct


@pytest.mark.parametrize("value", [None, math.inf, math.nan])
def test_a_value_that_is_no_number_has_no_gauge(value):
    assert gauge_of(a_check(value, 5.0, 1.0)) is None


def test_nothing_to_measure_against_has_no_gauge():
    assert gauge_of(a_check(5.0, None, None)) is None
    assert gauge_of(a_check(5.0, 5.0, None)) is None  # recorded and recomputed: no side, no margin


def test_a_limit_of_zero_is_passed_by_anything():
    gauge = gauge_of(at_most(0.1, 0.0))
    assert gauge.beyond
    assert gauge.words == "The limit is zero"


@given(one=SOME, other=SOME, limit=LIMITS)
def test_more_never_reads_less(one, other, limit):
    low, high = sorted((one, other))
    for kind in (at_most, at_least):
        if low == limit or high == limit:
            continue  # takes no side, so its rail is another
        assert number(gauge_of(kind(low, limit)).value_pct) <= number(gauge_of(kind(high, limit)).value_pct)


@given(value=SOME, limit=LIMITS)
def test_the_bar_ends_on_the_side_that_the_check_is_on(value, limit):
    for kind in (at_most, at_least):
        check = kind(value, limit)
        gauge = gauge_of(check)
        barred = number(gauge.barred_from_pct), number(gauge.barred_to_pct)
        if check.state == "fails":
            assert barred[0] <= number(gauge.value_pct) <= barred[1]
        else:
            assert number(gauge.value_pct) <= barred[0] or number(gauge.value_pct) >= barred[1]


@given(value=SOME, limit=LIMITS)
def test_every_gauge_stays_on_its_rail(value, limit):
    gauge = gauge_of(replace(at_most(value, limit)))
    assert all(0 <= number(pct) <= 100 for pct in (gauge.value_pct, gauge.limit_pct, gauge.barred_to_pct))
