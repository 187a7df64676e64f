"""Fields about what would have to give: read back as they were written, refused where they make no sense."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.plan import Alternative, Binding, Change, Hold, Plan, WayOut
from tests.webapp.schemas.documents import JOB, PLAN, at
from webapp.schemas import dump_job, dump_plan, read_job, read_plan


def test_budget_reads_back_and_is_left_out_where_there_is_none() -> None:
    job = read_job(at(JOB, "limits/budget_cents", 25000)).value
    assert job is not None
    assert job.limits.budget_cents == 25000
    assert read_job(dump_job(job)).value == job
    assert "budget_cents" not in dump_job(read_job(JOB).value)["limits"]


@pytest.mark.parametrize("cents", [-1, 10.5, "250", True])
def test_budget_is_a_number_of_cents(cents: object) -> None:
    assert [fault.pointer for fault in read_job(at(JOB, "limits/budget_cents", cents)).faults] == [
        "limits/budget_cents"
    ]


WAY = WayOut(
    text="Autonomy of 17 h instead of 24 h",
    limit="autonomy_h",
    change=(Change(pointer="limits/autonomy_h", value=17), Change(pointer="bank/may_buy", value=True)),
    total_cents=17108,
    bound_cents=17000,
    status="feasible",
    least=True,
    uncounted="the second string",
)
REFUSED = Plan(status="infeasible", total_cents=None, bound_cents=None, ways_out=(WAY,), untried=("a new bank",))


def test_ways_out_read_back_as_they_were_written() -> None:
    document = dump_plan(REFUSED)
    assert document["ways_out"][0]["change"][1] == {"pointer": "bank/may_buy", "value": True}
    assert read_plan(document).value == REFUSED


def test_plan_without_ways_out_says_nothing_of_them() -> None:
    assert not {"ways_out", "untried"} & set(dump_plan(Plan(status="unknown", total_cents=None, bound_cents=None)))


@pytest.mark.parametrize(
    ("field", "value"),
    [("total_cents", -1), ("total_cents", None), ("status", "infeasible"), ("text", 3), ("change", {})],
)
def test_way_out_that_makes_no_sense_is_refused(field: str, value: object) -> None:
    faults = read_plan(at(dump_plan(REFUSED), f"ways_out/0/{field}", value)).faults
    assert [fault.pointer for fault in faults] == [f"ways_out/0/{field}"]


@pytest.mark.parametrize("value", ["24", [], {}])
def test_changed_value_is_a_number_or_yes_or_no(value: object) -> None:
    faults = read_plan(at(dump_plan(REFUSED), "ways_out/0/change/0/value", value)).faults
    assert [fault.pointer for fault in faults] == ["ways_out/0/change/0/value"]


def test_how_far_figures_hold_reads_back_where_it_stands() -> None:
    plain = read_plan(PLAN).value
    hold = Hold(field="run_m", most=5.9, rule="drop")
    circuits = tuple(replace(circuit, holds=(hold,)) for circuit in plain.circuits)
    feeds = (replace(plain.feeds[0], holds=(hold, hold)), *plain.feeds[1:])
    plan = replace(plain, circuits=circuits, feeds=feeds, bank=replace(plain.bank, holds=(hold,)))
    document = dump_plan(plan)
    assert document["circuits"][0]["holds"] == [{"field": "run_m", "most": 5.9, "rule": "drop"}]
    assert read_plan(document).value == plan
    assert "holds" not in dump_plan(plain)["bank"]


@pytest.mark.parametrize("most", [-1, "6 m", None])
def test_hold_is_a_figure(most: object) -> None:
    document = at(PLAN, "circuits/0/holds", [{"field": "run_m", "most": most, "rule": "drop"}])
    assert [fault.pointer for fault in read_plan(document).faults] == ["circuits/0/holds/0/most"]


def test_what_limits_cost_reads_back_as_it_was_written() -> None:
    tighter = Binding(
        text="Autonomy of 25 h",
        limit="autonomy_h",
        change=(Change(pointer="limits/autonomy_h", value=25),),
        total_cents=None,
        saves_cents=0,
        bound_cents=None,
        status="infeasible",
    )
    dearer = replace(tighter, total_cents=9000, saves_cents=-500, bound_cents=9000, status="optimal")
    plan = replace(read_plan(PLAN).value, binding=(dearer, tighter))
    assert read_plan(dump_plan(plan)).value == plan
    assert "binding" not in dump_plan(read_plan(PLAN).value)


def test_why_a_part_reads_back_as_it_was_written() -> None:
    dearer = Alternative(
        subject="feed router",
        chosen="Boost 60",
        other="Boost 90",
        text="Boost 90 would cost 8.40 more with everything else as it is.",
        why="price",
        more_cents=840,
    )
    untried = replace(dearer, other="", text="Not tried: the time was up.", why="time", more_cents=None)
    plan = replace(read_plan(PLAN).value, alternatives=(dearer, untried))
    assert read_plan(dump_plan(plan)).value == plan
    assert "alternatives" not in dump_plan(read_plan(PLAN).value)
    document = at(dump_plan(plan), "alternatives/0/more_cents", 8.4)
    assert [fault.pointer for fault in read_plan(document).faults] == ["alternatives/0/more_cents"]
