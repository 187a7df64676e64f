"""Measured values beside what to expect, and a run that came out longer: judged by the server, without JavaScript."""

from __future__ import annotations

import copy

import pytest
from page_browser import read_case
from test_plan_pages import an_answer

from webapp import schemas, units
from webapp.present.record import record_sections
from webapp.services import marks

HOLD = {"field": "run_m", "most": 9.25, "rule": "drop"}
C4 = next(circuit for circuit in an_answer()["circuits"] if circuit["id"] == "C4")
END, RUN = "measured/C4/end_v", "measured/C4/run_m"
BUS = read_case("case-062")["job"]["bus"]


@pytest.fixture
def plan_id(planned):
    answer = copy.deepcopy(an_answer())
    next(circuit for circuit in answer["circuits"] if circuit["id"] == "C4")["holds"] = [HOLD]
    return planned(answer)


def shown(page, key):
    """The verdict shown with one input, and the limits that a browser compares with."""
    tags = iter(page.reader.tags)
    limits = {}
    for tag, at in tags:
        if "data-least" in at:
            limits = at
        if tag == "input" and at.get("name") == key:
            break
    verdicts = []
    for _tag, at in tags:
        if "data-least" in at or "data-mark" in at:
            break
        if "data-verdict" in at and "hidden" not in at:
            verdicts.append(at["data-verdict"])
    return verdicts, float(limits["data-least"]), float(limits["data-most"])


def test_a_note_is_stopped_at_what_is_kept(browser, plan_id):
    """Else all that was measured would have to be typed again, where no script keeps it."""
    notes = [at for at in browser.open(f"/plans/{plan_id}/record").tagged("input") if at["name"].startswith("note/")]
    assert {int(at["maxlength"]) for at in notes} == {marks.NOTE_CHARS}


def test_the_window_is_from_the_worst_case_to_the_highest_bus_voltage(browser, plan_id):
    verdicts, least, most = shown(browser.open(f"/plans/{plan_id}/record"), END)
    assert verdicts == []
    assert least == pytest.approx(C4["settled"]["place_v"], abs=0.01)
    assert C4["settled"]["place_v"] <= least  # rounded against us
    assert most == BUS["high_v"]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (str(BUS["high_v"]), "within"),
        (str(BUS["high_v"] + 0.1), "above"),
        (f"{C4['settled']['place_v'] - 0.05:.2f}", "below"),
        ("-12", "reversed"),
        ("much", "unreadable"),
    ],
)
def test_a_measured_value_is_kept_and_judged(browser, plan_id, value, verdict):
    browser.open(f"/plans/{plan_id}/record")
    page = browser.send("Save", **{END: value, "note/C4": "at dusk"})
    assert marks.marks_of(plan_id) == {END: value, "note/C4": "at dusk"}
    assert shown(page, END)[0] == [verdict]


@pytest.mark.parametrize(("laid", "verdict"), [("9.25", "within"), ("9.26", "above"), ("31 ft", "above")])
def test_a_longer_run_is_checked_again_by_comparing(browser, plan_id, laid, verdict):
    browser.open(f"/plans/{plan_id}/record")
    page = browser.send("Save", **{RUN: laid})
    assert shown(page, RUN) == ([verdict], 0.0, HOLD["most"])
    assert "too many volts are lost" in page.words


def test_a_converter_is_measured_against_what_its_load_takes(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/record")
    loads = {load["id"]: load["needs"] for load in read_case("case-062")["job"]["loads"]}
    keys = [at["name"] for at in page.tagged("input") if "/out_v-" in at.get("name", "")]
    assert keys
    for key in keys:
        needs = loads[key.rsplit("-", 1)[1]]
        assert shown(page, key)[1:] == (needs["min_v"], needs["max_v"])


def test_without_figures_that_hold_there_is_nothing_to_check_again(browser, planned):
    assert "than planned?" not in browser.open(f"/plans/{planned(an_answer())}/record").words


FEET = 30.34  # 9.25 m is 30.3477 ft: rounded against us


@pytest.fixture
def in_feet(browser):
    browser.client.set_cookie("units", units.AMERICAN)


@pytest.mark.usefixtures("in_feet")
@pytest.mark.parametrize(("laid", "kept", "verdict"), [("30.34", "30.34 ft", "within"), ("30.35", "30.35 ft", "above")])
def test_feet_are_shown_and_taken_alone_where_they_were_chosen(browser, plan_id, laid, kept, verdict):
    page = browser.open(f"/plans/{plan_id}/record")
    assert shown(page, RUN) == ([], 0.0, FEET)
    assert "Expected: up to 30.34 ft" in page.words
    assert "9.25" not in page.words
    page = browser.send("Save", **{RUN: laid})
    assert marks.marks_of(plan_id) == {RUN: kept}
    assert shown(page, RUN)[0] == [verdict]
    assert value_of(page, RUN) == laid


def value_of(page, key):
    (box,) = [at for at in page.tagged("input") if at.get("name") == key]
    return box["value"]


def test_what_was_typed_in_feet_is_shown_in_metres_and_left_alone(browser, plan_id):
    marks.set_mark(plan_id, RUN, "", "20 ft")
    page = browser.open(f"/plans/{plan_id}/record")
    assert value_of(page, RUN) == "6.1"
    browser.send("Save", **{"note/C4": "at dusk"})
    assert marks.marks_of(plan_id) == {RUN: "20 ft", "note/C4": "at dusk"}
    browser.send("Save", **{RUN: "6.2"})
    assert marks.marks_of(plan_id)[RUN] == "6.2"


@pytest.mark.usefixtures("in_feet")
def test_what_was_typed_in_metres_is_shown_in_feet_and_left_alone(browser, plan_id):
    marks.set_mark(plan_id, RUN, "", "9.2")
    page = browser.open(f"/plans/{plan_id}/record")
    assert value_of(page, RUN) == "30.18"
    browser.send("Save", **{"note/C4": "at dusk"})
    assert marks.marks_of(plan_id)[RUN] == "9.2"
    browser.send("Save", **{RUN: "9.3 m"})
    assert marks.marks_of(plan_id)[RUN] == "9.3"


def test_a_page_made_for_metres_is_read_in_metres_whatever_was_chosen_since(browser, plan_id):
    browser.open(f"/plans/{plan_id}/record")
    browser.client.set_cookie("units", units.AMERICAN)
    browser.send("Save", **{RUN: "9"})
    assert marks.marks_of(plan_id)[RUN] == "9"


def test_a_device_that_knew_the_length_in_its_own_unit_overwrites_nobody(plan_id):
    marks.set_mark(plan_id, RUN, "", "20 ft")
    assert marks.set_mark(plan_id, RUN, "6.1", "7") is None
    assert marks.marks_of(plan_id)[RUN] == "7"
    theirs = marks.set_mark(plan_id, RUN, "20 ft", "8 ft")
    assert theirs is not None
    assert theirs.value == "7"


@pytest.fixture
def american():
    units.choose(units.AMERICAN)
    yield
    units.choose(units.METRIC)


@pytest.mark.usefixtures("american")
def test_what_holds_is_said_in_feet_too():
    answer = an_answer()
    answer["circuits"][0]["holds"] = [HOLD]
    job = schemas.read_job(read_case("case-062")["job"]).value
    known = schemas.read_catalogue(read_case("catalogue-3")).value
    sections = record_sections(job, known, schemas.read_plan(answer).value, {})
    (run,) = [one for section in sections for one in section.rechecks if one.unit == "ft"]
    assert run.expected == "up to 30.34\u00a0ft"
    assert "30.34\u00a0ft" in run.words["above"]


def test_it_says_what_is_still_open_by_circuit_and_leads_to_the_next(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/record")
    due = [at for at in page.tagged("input") if "data-due" in at]
    of_c4 = [at for at in due if at["name"].startswith("measured/C4/")]
    assert RUN not in [at["name"] for at in due]  # what may be checked again is no duty
    assert f"0 of {len(due)} measured" in page.words
    assert f"C4 0 of {len(of_c4)}" in page.words
    first = due[0]
    assert ("#" + first["id"], "Next value to measure") in page.reader.links
    page = browser.send("Save", **{first["name"]: "12.5", END: "12.4", RUN: "9"})
    assert f"2 of {len(due)} measured" in page.words
    assert f"C4 1 of {len(of_c4)}" in page.words
    assert ("#" + due[1]["id"], "Next value to measure") in page.reader.links


def test_what_cannot_be_read_is_still_to_be_measured(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/record")
    due = [at for at in page.tagged("input") if "data-due" in at]
    page = browser.send("Save", **{due[0]["name"]: "abc", due[1]["name"]: "1e3", due[2]["name"]: "12.5"})
    assert f"1 of {len(due)} measured" in page.words
    assert ("#" + due[0]["id"], "Next value to measure") in page.reader.links
    assert [at["value"] for at in page.tagged("input") if "data-due" in at][:3] == ["abc", "1e3", "12.5"]


def test_where_all_is_measured_nothing_leads_on(browser, plan_id):
    page = browser.open(f"/plans/{plan_id}/record")
    due = [at["name"] for at in page.tagged("input") if "data-due" in at]
    page = browser.send("Save", **dict.fromkeys(due, "12.5"))
    assert f"{len(due)} of {len(due)} measured" in page.words
    assert "Next value to measure" not in page.words
