"""The label sheet: every fuse once, both ends of every cable alike, and a code that opens the job."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from page_browser import read_case
from test_plan_pages import an_answer

from webapp import schemas
from webapp.present.labels import labels, tape_text
from webapp.present.qr import QUIET, qr_view
from webapp.services import plans


def made(number="062"):
    case = read_case(f"case-{number}")
    catalogue = read_case(case["catalogue"].removesuffix(".json"))
    plan = schemas.read_plan(an_answer(number)).value
    return labels(schemas.read_job(case["job"]).value, schemas.read_catalogue(catalogue).value, plan), plan


@pytest.mark.parametrize("number", ["002", "023", "033", "062"])
def test_each_circuit_has_one_fuse_label_and_two_alike_for_its_run(number):
    sheet, plan = made(number)
    for circuit in plan.circuits:
        own = [label for label in sheet if label.head == circuit.id]
        assert sum("breaks" in line for label in own for line in label.lines) == 1
        runs = Counter(label for label in own if label.lines[0].startswith("panel to"))
        assert list(runs.values()) == [2]


def test_the_fuse_label_says_rating_load_and_place():
    sheet, plan = made()
    catalogue = {part["id"]: part for part in read_case("catalogue-3")["parts"]}
    for circuit in plan.circuits:
        (label,) = [each for each in sheet if each.head == circuit.id and "breaks" in each.lines[-1]]
        assert label.figure == f"{catalogue[circuit.fuse]['rating_a']:g}\u00a0A"
        assert all(load in label.lines[0] for load in circuit.loads)
        assert label.lines[1] == circuit.place


def test_both_ends_of_a_lead_read_the_same():
    sheet, plan = made()
    leads = {feed.load for feed in plan.feeds if feed.lead is not None}
    assert leads
    ends = Counter(label for label in sheet if label.lines[0].startswith("lead of"))
    assert {label.head: number for label, number in ends.items()} == dict.fromkeys(leads, 2)


def test_a_tape_printer_gets_every_label_as_one_line():
    sheet, _ = made()
    lines = tape_text(sheet).splitlines()
    assert len(lines) == len(sheet)
    assert all(line.startswith(label.head) for line, label in zip(lines, sheet, strict=True))


def rectangles(path):
    return [tuple(map(int, found)) for found in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path)]


def test_the_code_is_the_one_of_its_address():
    import segno

    view = qr_view("http://van.example/jobs/abc")
    dark = {(x + n, y) for x, y, width in rectangles(view.path) for n in range(width)}
    matrix = segno.make("http://van.example/jobs/abc", error="m", micro=False).matrix
    expected = {(x, y) for y, row in enumerate(matrix, QUIET) for x, bit in enumerate(row, QUIET) if bit}
    assert dark == expected
    assert view.size == len(matrix) + 2 * QUIET


def test_the_page_prints_the_address_that_the_code_opens(browser, planned):
    plan_id = planned(an_answer())
    job_id = plans.get_plan(plan_id).job_id
    page = browser.open(f"/plans/{plan_id}/labels")
    address = f"http://localhost/jobs/{job_id}"
    (code,) = [at for at in page.tagged("svg") if at.get("class") == "qr"]
    assert address in code["aria-label"]
    assert address in page.words
    assert "works on this machine only" in page.words
    assert browser.open(f"/jobs/{job_id}").path == f"/plans/{plan_id}"


def test_a_name_that_others_reach_is_not_warned_about(browser, planned):
    plan_id = planned(an_answer())
    answer = browser.client.get(f"/plans/{plan_id}/labels", headers={"Host": "van.local:8000"})
    assert "http://van.local:8000/jobs/" in answer.get_data(as_text=True)
    assert "on this machine only" not in answer.get_data(as_text=True)
