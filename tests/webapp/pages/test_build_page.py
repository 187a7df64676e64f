"""The order of work: fuses out until everything is made and measured, each caution at its step."""

from __future__ import annotations

import re

import pytest
from page_browser import read_case
from test_plan_pages import an_answer

from webapp import schemas
from webapp.present.build_steps import build_sections
from webapp.present.cautions import plan_cautions
from webapp.services import marks

CASES = ["002", "023", "033", "062"]


def made(number):
    case = read_case(f"case-{number}")
    job = schemas.read_job(case["job"]).value
    known = schemas.read_catalogue(read_case(case["catalogue"].removesuffix(".json"))).value
    plan = schemas.read_plan(an_answer(number)).value
    return build_sections(job, known, plan, plan_cautions(job, known, plan, "")), plan


def keys(sections):
    return [step.key for section in sections for step in section.steps]


@pytest.mark.parametrize("number", CASES)
def test_every_step_has_a_tick_of_its_own(number):
    sections, _ = made(number)
    assert len(keys(sections)) == len(set(keys(sections)))
    assert all(key.startswith("build/") and not marks.key_fault(key) for key in keys(sections))


@pytest.mark.parametrize("number", CASES)
def test_no_fuse_goes_in_before_all_circuits_are_made_and_rung_out(number):
    sections, plan = made(number)
    order = keys(sections)
    assert order.index("build/before/isolate") < order.index("build/before/dead")
    rung_out = [order.index(f"build/{circuit.id}/ring-out") for circuit in plan.circuits]
    fused = [order.index(f"build/{circuit.id}/fuse") for circuit in plan.circuits]
    assert rung_out
    assert max(rung_out) < order.index("build/power/battery") < order.index("build/power/main") < min(fused)


@pytest.mark.parametrize("number", CASES)
def test_polarity_is_measured_before_any_device_goes_on(number):
    sections, plan = made(number)
    order = keys(sections)
    for circuit in plan.circuits:
        steps = [order.index(f"build/{circuit.id}/{step}") for step in ("fuse", "polarity", "loads")]
        assert steps == sorted(steps)
        assert steps[-1] < order.index("build/after/warm-10") < order.index("build/after/warm-30")


@pytest.mark.parametrize("number", CASES)
def test_every_part_of_a_circuit_that_is_fitted_has_its_step(number):
    sections, plan = made(number)
    order = set(keys(sections))
    for circuit in plan.circuits:
        for step, part in (("switch", circuit.switch), ("holder", circuit.holder), ("junction", circuit.junction)):
            assert (f"build/{circuit.id}/{step}" in order) == (part is not None)
    leads = {f"build/{feed.circuit}/lead-{feed.load}" for feed in plan.feeds if feed.lead}
    assert leads <= order


def test_a_caution_stands_once_where_it_first_bites():
    sections, _ = made("062")
    steps = {step.key: step.cautions for section in sections for step in section.steps}
    assert any("lock off shore" in each for each in steps["build/before/isolate"])
    assert any("can burst" in each for each in steps["build/C1/fuse"])
    assert any("10 and 30 minutes" in each for each in steps["build/after/warm-10"])
    said = [each for cautions in steps.values() for each in cautions]
    assert len(said) == len(set(said))


def test_steps_are_ticked_and_counted(browser, planned):
    plan_id = planned(an_answer())
    page = browser.open(f"/plans/{plan_id}/build")
    all_steps = sum("data-mark" in at for at in page.tagged("input"))
    assert f"0 of {all_steps} done" in page.words
    page = browser.send("Save", **{"build/before/isolate": "yes", "build/C1/cut": "yes"})
    assert f"2 of {all_steps} done" in page.words
    first_open = re.search(r'<li id="next">.*?data-mark', page.html, re.S)
    assert first_open is not None
    assert 'name="build/before/dead"' in first_open.group()
    assert "#next" in [at.get("href") for at in page.tagged("a")]
    assert set(marks.marks_of(plan_id)) == {"build/before/isolate", "build/C1/cut"}
