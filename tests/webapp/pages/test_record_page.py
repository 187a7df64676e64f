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


@pytest.fixture
def american():
    units.choose(units.AMERICAN)
    yield
    units.choose(units.METRIC)


@pytest.mark.usefixtures("american")
def test_limits_are_said_in_the_unit_of_their_field_whatever_was_chosen():
    answer = an_answer()
    answer["circuits"][0]["holds"] = [HOLD]
    job = schemas.read_job(read_case("case-062")["job"]).value
    known = schemas.read_catalogue(read_case("catalogue-3")).value
    sections = record_sections(job, known, schemas.read_plan(answer).value, {})
    (run,) = [one for section in sections for one in section.rechecks if one.unit == "m"]
    assert run.expected.startswith("up to 9.25\u00a0m")
    assert "9.25\u00a0m" in run.words["above"]
