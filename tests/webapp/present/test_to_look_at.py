"""What does not simply hold, in brief: a rule over several subjects is one row that unfolds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.plan import Check, Plan
from webapp import schemas
from webapp.present.to_look_at import look_rows


def a_check(subject: str, **changes) -> Check:
    figures = {"rule": "load_window_high", "value": 14.4, "limit": 15.0, "unit": "V", "state": "tight", "margin": 0.6}
    return Check(subject=subject, source="ours", **figures | changes)


@pytest.fixture
def rows_of(case):
    answer = case("plan-062") | {"checks": [], "reasons": [], "energy": {"average_w": 31, "today_average_w": None}}
    plan = schemas.read_plan(answer).value
    assert isinstance(plan, Plan)
    return lambda *checks: look_rows(replace(plan, checks=checks))


def test_a_rule_over_several_loads_is_one_row_that_names_the_least_margin(rows_of):
    (row,) = rows_of(a_check("load Router", margin=1.2), a_check("load Roof fan"), a_check("load Radio", margin=3.0))
    assert row.note == "3\N{NO-BREAK SPACE}loads, least margin +0.6\N{NO-BREAK SPACE}V at Roof fan"
    assert [line.name for line in row.lines] == ["Router", "Roof fan", "Radio"]
    assert row.lines[1].figures.replace("\N{NO-BREAK SPACE}", " ") == "14.4 V, at most 15 V, margin +0.6 V"


def test_a_single_check_says_it_all_and_unfolds_nothing(rows_of):
    (row,) = rows_of(a_check("circuit C2"))
    assert row.note.replace("\N{NO-BREAK SPACE}", " ") == "C2: 14.4 V, at most 15 V, margin +0.6 V"
    assert row.lines == ()


def test_what_there_is_one_of_needs_no_name(rows_of):
    (row,) = rows_of(a_check("bank"))
    assert row.note.startswith("14.4")


def test_checks_without_figures_are_named_in_the_row(rows_of):
    nothing = {"rule": "fuse_curve", "state": "not_checked", "value": None, "limit": None, "margin": None}
    (row,) = rows_of(*(a_check(f"circuit C{n}", **nothing) for n in (1, 2)))
    assert (row.note, row.lines) == ("C1, C2", ())


def test_without_margins_none_is_called_the_least(rows_of):
    unknown = {"rule": "inrush", "state": "not_checked", "margin": None}
    (row,) = rows_of(*(a_check(f"circuit C{n}", **unknown) for n in (4, 5)))
    assert row.note == "2\N{NO-BREAK SPACE}circuits"
    assert len(row.lines) == 2


def test_loads_and_circuits_together_are_counted_as_checks(rows_of):
    (row,) = rows_of(a_check("load Router"), a_check("circuit C1", margin=0.5))
    assert row.note.startswith("2\N{NO-BREAK SPACE}checks, least margin +0.5")


def test_one_rule_in_two_states_is_two_rows_and_trouble_comes_first(rows_of):
    states = ("holds", "not_checked", "tight", "fails")
    rows = rows_of(*(a_check(f"load {state}", state=state) for state in states))
    assert [row.state for row in rows] == ["fails", "tight", "not_checked"]
