"""plan/1: a plan is read back as it was written, and refused where it makes no sense."""

from __future__ import annotations

import dataclasses
import math

import pytest

from optimizer.plan import Check, Energy, Plan, PlanBank, Reason
from tests.webapp.schemas.documents import CATALOGUE, GONE, JOB, PLAN, at, spoiled
from webapp.schemas import dump_plan, plan_faults, read_catalogue, read_job, read_plan

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
        ("checks", [{"rule": "drop"}]),
        ("format", "plan/2"),
    ],
)
def test_a_faulty_plan_is_refused_at_its_place(pointer, value):
    faults = found(at(PLAN, pointer, value))
    assert faults
    assert all(each.startswith(pointer) for each in faults)


@pytest.mark.parametrize(
    ("pointer", "value", "words"),
    [
        ("circuits/0/place", "shelf", "no place called 'shelf'"),
        ("circuits/0/loads/0", "lamp", "no load called 'lamp'"),
        ("circuits/0/cable/0", "TWIN-9", "no part called"),
        ("circuits/0/fuse", "FUSE-9", "no part called"),
        ("circuits/0/switch", "SW", "no part called"),
        ("feeds/0/load", "lamp", "no load called"),
        ("feeds/0/circuit", "C9", "no circuit called 'C9'"),
        ("feeds/0/stages/0", "UP-9", "no part called"),
        ("feeds/0/lead/cable/0", "X", "no part called"),
        ("orders/0/offer", "O9", "no offer called 'O9'"),
        ("orders/0/seller", "S9", "no seller called 'S9'"),
        ("deliveries/0/seller", "S9", "no seller called"),
        ("cuts/0/part", "X", "no part called"),
        ("cuts/0/source/offer", "O9", "no offer called"),
        ("cuts/0/pieces/0/circuit", "C9", "no circuit called"),
        ("cuts/0/pieces/1/lead", "lamp", "no load called"),
    ],
)
def test_a_plan_names_nothing_that_job_and_catalogue_lack(pointer, value, words):
    job, catalogue = read_job(JOB).value, read_catalogue(CATALOGUE).value
    faults = plan_faults(job, catalogue, read_plan(at(PLAN, pointer, value)).value)
    assert [fault.pointer for fault in faults if words in fault.message] == [pointer]


def test_a_plan_of_this_job_and_catalogue_names_only_what_exists():
    assert plan_faults(read_job(JOB).value, read_catalogue(CATALOGUE).value, read_plan(PLAN).value) == ()


def test_a_cut_from_an_offcut_nobody_owns_is_found():
    plan = read_plan(at(PLAN, "cuts/0/source", {"owned": 2})).value
    faults = plan_faults(read_job(JOB).value, read_catalogue(CATALOGUE).value, plan)
    assert [fault.pointer for fault in faults] == ["cuts/0/source/owned"]
