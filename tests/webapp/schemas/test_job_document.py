"""job/1: what is read, and every refusal with its pointer and its sentence."""

from __future__ import annotations

import math

import pytest

from optimizer.job import CutLead, SuppliedLead
from tests.webapp.schemas.documents import GONE, JOB, at, spoiled
from webapp.schemas import read_draft, read_job


def found(document: object) -> dict[str, str]:
    reading = read_job(document)
    assert (reading.value is None) == bool(reading.faults)
    return {fault.pointer: fault.message for fault in reading.faults}


def test_a_sound_job_becomes_a_value():
    job = read_job(JOB).value
    assert job is not None
    assert [load.lead for load in job.loads] == [CutLead(length_m=1.5), SuppliedLead(loop_ohm=1.2)]
    assert job.places[0].ambient_c is None
    assert job.ambient_c(job.places[0]) == 30


def test_numbers_stay_as_they_were_written():
    job = read_job(spoiled(JOB, bus__spare_ways=3.0, limits__drop_pct=3)).value
    assert job is not None
    assert repr(job.bus.spare_ways) == "3"
    assert repr(job.limits.drop_pct) == "3"
    assert repr(job.bus.low_v) == "11.5"


WRONG_TYPES = [
    ("bus/low_v", "12"),
    ("bus/low_v", True),
    ("bus/low_v", None),
    ("bus/low_v", [12]),
    ("bus/low_v", math.nan),
    ("bus/low_v", math.inf),
    ("bus/high_v", -math.inf),
    ("bus/spare_ways", 2.5),
    ("bus/spare_ways", False),
    ("bus/spare_ways", 10**400),
    ("bus/fuse_style", 7),
    ("bus", []),
    ("bank", "lithium"),
    ("bank/may_buy", 1),
    ("bank/may_buy", "yes"),
    ("places", {}),
    ("places/0", "desk"),
    ("places/0/bundled", "2"),
    ("loads", "none"),
    ("loads/1", None),
    ("loads/0/switch", 0),
    ("loads/0/lead", 1.5),
    ("loads/0/lead/kind", ["cut"]),
    ("loads/0/needs", []),
    ("title", 12),
    ("title", None),
    ("owned", None),
    ("owned/0", 3),
    ("assumed", [3]),
]


@pytest.mark.parametrize(("pointer", "value"), WRONG_TYPES)
def test_a_wrong_type_is_refused_at_its_place(pointer, value):
    faults = found(at(JOB, pointer, value))
    assert any(at_.startswith(pointer) for at_ in faults)


IMPOSSIBLE = [
    ("bus/nominal_v", 0, "at least 1 V"),
    ("bus/low_v", -11.5, "at least"),
    ("bus/low_v", 14.7, "above the highest bus voltage"),
    ("bus/high_v", 11.9, "above the highest bus voltage"),
    ("bus/spare_ways", -1, "at least 0"),
    ("bus/way_max_a", 0, "at least"),
    ("bus/fault_a", 0, "at least 1 A"),
    ("bus/ambient_c", 200, "hotter than"),
    ("bus/ambient_c", -100, "colder than"),
    ("bank/existing/usable_fraction", 0, "at least"),
    ("bank/existing/usable_fraction", 80, "write 0.9 for 90\u00a0%"),
    ("bank/existing/capacity_ah", -100, "at least"),
    ("bank/existing/rated_hours", 0, "at least"),
    ("bank/existing/peukert", 0.9, "below 1"),
    ("bank/existing/nominal_v", 24, "the bank is 24\u00a0V but the bus 12\u00a0V"),
    ("places/0/run_m", 0, "at least"),
    ("places/0/run_m", -3, "at least"),
    ("places/0/run_m", 900, "outside what we have tested"),
    ("limits/panel_run_m", 6, "make it a place"),
    ("limits/panel_run_m", 0, "at least"),
    ("places/0/bundled", 0, "at least 1"),
    ("loads/0/peak_w", 0, "too little to plan for"),
    ("loads/0/peak_w", -5, "at least"),
    ("loads/0/typical_w", 48.1, "above the peak power"),
    ("loads/0/hours_per_day", 24.5, "more than a day has"),
    ("loads/0/hours_per_day", -1, "at least 0 h"),
    ("loads/0/needs/min_v", 15.5, "above the highest voltage"),
    ("loads/0/lead/length_m", 0, "at least"),
    ("loads/1/lead/loop_ohm", -0.1, "at least"),
    ("loads/1/brick/efficiency", 1.01, "more than the whole"),
    ("loads/0/drop_pct", 0, "no cable loses nothing"),
    ("limits/drop_pct", 0, "no cable loses nothing"),
    ("limits/autonomy_h", 0, "at least"),
    ("limits/bank_derate", 1.2, "more than the whole"),
    ("limits/slack_m", -0.1, "at least"),
    ("limits/conductor_c", 900, "outside what we have tested"),
    ("limits/fuse_ratio_max", 0.5, "at least 1"),
    ("ac/efficiency", 0, "at least"),
    ("ac/on_hours_per_day", 25, "more than a day has"),
    ("owned/1/count", 0, "at least 1"),
    ("owned/0/length_m", -2, "at least"),
]


@pytest.mark.parametrize(("pointer", "value", "words"), IMPOSSIBLE)
def test_an_impossible_value_is_refused_with_the_reason(pointer, value, words):
    assert any(words in message for message in found(at(JOB, pointer, value)).values())


EDGES = [
    ("bus/low_v", 12),
    ("bus/low_v", 12.5),  # above the nominal 12 V
    ("bus/high_v", 60),
    ("bank/existing/usable_fraction", 1),
    ("bank/existing/peukert", 1),
    ("places/0/run_m", 500),
    ("loads/0/typical_w", 48),
    ("loads/0/typical_w", 0),
    ("loads/0/hours_per_day", 24),
    ("loads/0/hours_per_day", 0),
    ("loads/0/needs/min_v", 15),
    ("limits/slack_m", 0),
    ("limits/headroom_pct", 0),
    ("bank/existing/nominal_v", 12),
    ("loads/0/needs/max_v", 72),  # endures more than it will ever get
]


@pytest.mark.parametrize(("pointer", "value"), EDGES)
def test_the_edge_of_a_range_is_allowed(pointer, value):
    assert found(at(JOB, pointer, value)) == {}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("bus/high_v", 60.1),
        ("bus/nominal_v", 96),
        ("bank/existing/nominal_v", 72),
        ("loads/0/needs/min_v", 61),
        ("loads/0/rated_v", 110),
    ],
)
def test_more_than_60_v_dc_is_refused_with_the_reason(pointer, value):
    assert "above 60\u00a0V DC, our ceiling" in found(at(JOB, pointer, value))[pointer]


@pytest.mark.parametrize(
    "form",
    [
        "mains",
        "AC",
        "ac-mains",
        "230V",
        "120 V AC",
        "240vac",
        "230-v",
        "Shore power",
        "schuko",
        "ＭＡＩＮＳ",
        "hook-up",
    ],
)
def test_mains_wiring_is_refused_with_the_reason(form):
    assert "mains wiring is not planned here" in found(at(JOB, "loads/1/needs/form", form))["loads/1/needs/form"]


@pytest.mark.parametrize("form", ["dc-plug", "usb-c", "powered-ethernet", "12v-socket", "48v", "package", "vacuum"])
def test_forms_of_low_voltage_are_no_mains(form):
    assert found(at(JOB, "loads/1/needs/form", form)) == {}


def test_the_input_line_of_an_adapter_is_recognised():
    message = found(at(JOB, "loads/1/needs", {"form": "dc-plug", "min_v": 100, "max_v": 240}))["loads/1/needs/min_v"]
    assert "state its OUTPUT line" in message


@pytest.mark.parametrize("value", [GONE, None])
def test_an_unknown_fault_current_says_what_to_do(value):
    message = found(at(JOB, "bus/fault_a", value))["bus/fault_a"]
    assert message.startswith("fault current unknown")
    assert "20\u202f000\u00a0A for lithium" in message
    assert "5\u202f000\u00a0A for lead-acid" in message


def test_no_bank_and_none_to_buy_is_refused():
    assert "none may be bought" in found(spoiled(JOB, bank={"may_buy": False}))["bank"]
    assert "none may be bought" in found(spoiled(JOB, bank={"existing": None}))["bank"]
    assert found(spoiled(JOB, bank={"may_buy": True})) == {}


def test_a_faulty_bank_is_not_also_called_missing():
    assert list(found(spoiled(JOB, bank__existing__peukert=0))) == ["bank/existing/peukert"]


def test_a_load_at_an_unknown_place_is_named():
    assert found(at(JOB, "loads/1/place", "shelf")) == {"loads/1/place": "there is no place called 'shelf'"}


def test_a_place_whose_length_is_faulty_still_exists():
    assert list(found(spoiled(JOB, places__0__run_m=-1))) == ["places/0/run_m"]


@pytest.mark.parametrize(("name", "says"), [("places", "place"), ("loads", "load")])
def test_two_entries_with_one_id_are_refused(name, says):
    faults = found(at(JOB, f"{name}/1/id", JOB[name][0]["id"]))
    assert f"already the id of another {says} ({name}/0)" in faults[f"{name}/1/id"]


def test_a_cut_lead_needs_a_wire():
    assert (
        "can be cut only where" in found(at(JOB, "loads/1/lead", {"kind": "cut", "length_m": 1}))["loads/1/lead/kind"]
    )


def test_a_resistive_load_needs_its_rated_voltage():
    resistive = at(JOB, "loads/0/behaviour", "resistive")
    assert "rated_v" in found(resistive)["loads/0/rated_v"]
    assert found(at(resistive, "loads/0/rated_v", 12)) == {}
    assert "must be a number" in found(at(resistive, "loads/0/rated_v", "12"))["loads/0/rated_v"]


@pytest.mark.parametrize(
    ("pointer", "hint"),
    [("bus/low_volts", "'low_v'"), ("loads/0/peakw", "'peak_w'"), ("limits/dropp_pct", "'drop_pct'"), ("notes", "")],
)
def test_an_unknown_field_is_refused(pointer, hint):
    message = found(at(JOB, pointer, 1))[pointer]
    assert message.startswith("there is no field called")
    assert hint in message


def test_the_lead_of_the_other_kind_has_other_fields():
    assert list(found(at(JOB, "loads/0/lead", {"kind": "cut", "loop_ohm": 1}))) == [
        "loads/0/lead/length_m",
        "loads/0/lead/loop_ohm",
    ]


@pytest.mark.parametrize("field", ["title", "bus", "bank", "places", "loads", "limits", "format"])
def test_what_is_missing_is_named(field):
    assert "missing" in found(at(JOB, field, GONE))[field]


@pytest.mark.parametrize("version", ["job/2", "plan/1", "", "job/1 "])
def test_another_format_is_the_only_fault(version):
    faults = found(spoiled(JOB, format=version, title=3))
    assert list(faults) == ["format"]
    assert "job/1" in faults["format"]


@pytest.mark.parametrize("format_", [1, None, ["job/1"]])
def test_a_format_that_is_no_text_is_refused(format_):
    assert "format" in found(spoiled(JOB, format=format_))


@pytest.mark.parametrize("amount", [{}, {"count": 1, "length_m": 2}])
def test_stock_on_hand_has_one_amount(amount):
    assert "count" in found(at(JOB, "owned/0", {"part": "TWIN-2_5", **amount}))["owned/0"]


@pytest.mark.parametrize("bad", ["a\x00b", "line\nbreak", "tab\tbed", "\x7f", "\x85", "\ud800", "\u2028"])
@pytest.mark.parametrize("pointer", ["title", "places/0/name", "loads/0/id", "bus/fuse_style"])
def test_text_that_cannot_be_shown_is_refused(pointer, bad):
    message = found(at(JOB, pointer, bad))[pointer]
    assert message.isprintable()
    assert message.encode()


@pytest.mark.parametrize(("pointer", "most"), [("title", 200), ("places/0/name", 200), ("loads/0/id", 80)])
def test_overlong_text_is_refused(pointer, most):
    assert f"at most {most}" in found(at(JOB, pointer, "x" * (most + 1)))[pointer]
    assert pointer not in found(at(JOB, pointer, "x" * most))


@pytest.mark.parametrize("pointer", ["places/0/id", "loads/0/id", "bus/fuse_style"])
def test_an_id_is_not_blank(pointer):
    assert "is empty" in found(at(JOB, pointer, "  "))[pointer]


def test_too_many_entries_are_one_fault():
    assert list(found(spoiled(JOB, loads=[{}] * 5000))) == ["loads"]


def test_every_fault_is_told_at_once():
    document = spoiled(
        JOB,
        title="\x00",
        bus__low_v="12",
        bus__fault_a=GONE,
        places__1__run_m=900,
        loads__0__place="shelf",
        loads__1__id="printer",
        limits__extra=1,
        bank={"may_buy": False},
    )
    expected = {"title", "bus/low_v", "bus/fault_a", "places/1/run_m", "loads/0/place", "loads/1/id", "limits/extra"}
    assert set(found(document)) == {*expected, "bank"}


def test_an_empty_job_is_no_job_but_a_draft():
    empty = spoiled(JOB, places=[], loads=[])
    assert set(found(empty)) == {"places", "loads"}
    assert read_draft(empty) == ()


def test_a_draft_is_judged_like_a_job_otherwise():
    assert [fault.pointer for fault in read_draft(spoiled(JOB, loads=[], bus__high_v=90))] == ["bus/high_v"]


@pytest.mark.parametrize("document", [None, [], "job/1", 3, True, {}, object()])
def test_anything_else_is_refused_without_a_trace(document):
    assert read_job(document).faults
    assert read_draft(document)
