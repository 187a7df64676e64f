"""plan/1: a plan is read back as it was written, and refused where it makes no sense."""

from __future__ import annotations

import dataclasses
import math

import pytest

from optimizer.checks import check_plan
from optimizer.plan import Check, Energy, Plan, PlanBank, Reason
from tests.builders import a_catalogue, a_job, a_plan
from tests.webapp.schemas.documents import GONE, PLAN, at, spoiled
from webapp.schemas import dump_plan, ranges, read_plan

CHECK = Check(
    rule="drop", subject="C1", value=0.3, limit=0.36, unit="V", state="tight", margin=0.06, source="rule 3", formula="x"
)


def found(document: object) -> dict[str, str]:
    reading = read_plan(document)
    assert (reading.value is None) == bool(reading.faults)
    return {fault.pointer: fault.message for fault in reading.faults}


def test_a_finished_plan_reads_back_equal():
    plan = dataclasses.replace(
        read_plan(PLAN).value,
        energy=Energy(average_w=12.5, today_average_w=None),
        checks=(CHECK, dataclasses.replace(CHECK, value=None, limit=None, margin=None, state="not_checked")),
        cautions=("Fuse in last.",),
    )
    document = dump_plan(plan)
    assert read_plan(document).value == plan
    assert document["energy"] == {"average_w": 12.5, "today_average_w": None}
    assert document["reasons"] == []


def test_a_boosted_and_a_shared_feed_read_back_equal():
    document = spoiled(PLAN, circuits__0__run_m=0.5, feeds__0__panel_stages=1, feeds__1__shares="printer")
    document["feeds"][0]["run"] = {"cable": ["TWIN-2_5"], "cut_mm": 5000}
    document["cuts"][0]["pieces"].append({"run": "printer", "mm": 5000})
    plan = read_plan(document).value
    assert plan.circuits[0].run_m == 0.5
    assert plan.feeds[0].run.cut_mm == 5000
    assert (plan.feeds[0].panel_stages, plan.feeds[1].shares) == (1, "printer")
    assert plan.cuts[0].pieces[2].run == "printer"
    assert dump_plan(plan) == document


def test_a_bought_bank_names_its_battery():
    bought = PlanBank(keep=False, part="BAT", series=1, parallel=2, average_w=9.5, available_w=12, kit="KIT")
    plan = dataclasses.replace(read_plan(PLAN).value, bank=bought)
    assert dump_plan(plan)["bank"] == {
        "part": "BAT",
        "series": 1,
        "parallel": 2,
        "average_w": 9.5,
        "available_w": 12,
        "kit": "KIT",
    }
    assert read_plan(dump_plan(plan)).value == plan
    assert "names the battery" in found(at(PLAN, "bank", {"average_w": 1, "available_w": 2}))["bank/part"]


def test_a_plan_that_does_not_exist_gives_its_reasons():
    reasons = (Reason(subject="radio", text="No stage puts out 44 V to 57 V."),)
    document = dump_plan(Plan(status="infeasible", total_cents=None, bound_cents=None, reasons=reasons))
    assert document["reasons"] == [{"subject": "radio", "text": "No stage puts out 44 V to 57 V."}]
    assert document["bank"] is None
    assert read_plan(document).value == Plan(status="infeasible", total_cents=None, bound_cents=None, reasons=reasons)


def test_names_as_long_as_they_may_be_are_told_in_a_plan():
    """A check is about "load NAME" or "cut list, NAME": longer than any name."""
    name = "n" * ranges.NAME_CHARS
    job, catalogue = a_job(router={"name": name}, desk={"name": name}), a_catalogue(twin4={"name": name})
    plan = dataclasses.replace(a_plan(), checks=check_plan(job, catalogue, a_plan()))
    assert max(len(check.subject) for check in plan.checks) > len(name)
    assert read_plan(dump_plan(plan)).value.checks == plan.checks


def test_what_a_plan_says_beyond_the_fixed_fields_is_left_alone():
    assert found(spoiled(PLAN, notes="x", circuits__0__colour="red")) == {}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("status", "perfect"),
        ("total_cents", 12.5),
        ("total_cents", "4500"),
        ("total_cents", GONE),
        ("bound_cents", math.nan),
        ("circuits", None),
        ("circuits/0/cut_mm", -1),
        ("circuits/0/settled/place_v", math.inf),
        ("circuits/0/cable", "TWIN-2_5"),
        ("feeds/0/source", "wind"),
        ("feeds/0/lead/cable/0", 5),
        ("bank/keep", 1),
        ("orders/0/quantity", 0),
        ("cuts/0/source", {}),
        ("cuts/0/source", {"offer": "O2", "owned": 0}),
        ("cuts/0/pieces/0", {"mm": 4500}),
        ("cuts/0/pieces/0", {"mm": 4500, "circuit": "C1", "lead": "printer"}),
        ("cuts/0/pieces/0", {"mm": 4500, "run": "printer", "lead": "printer"}),
        ("feeds/0/panel_stages", -1),
        ("feeds/0/run", {"cable": ["TWIN-2_5"]}),
        ("checks", [{"rule": "drop"}]),
        ("format", "plan/2"),
    ],
)
def test_a_faulty_plan_is_refused_at_its_place(pointer, value):
    faults = found(at(PLAN, pointer, value))
    assert faults
    assert all(each.startswith(pointer) for each in faults)
