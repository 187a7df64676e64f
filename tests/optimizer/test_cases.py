"""Every case reaches exactly the status and the total that it states, proven; the same input gives the same bytes."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from optimizer.checks import check_plan, failures
from optimizer.planner import plan
from tests.optimizer.cases import CASES, NUMBERS, as_bytes, case, planned

QUICK = ("002", "007", "016", "021", "062", "066")  # solved in under a second: planned several times over

each_case = pytest.mark.parametrize("number", NUMBERS)


@each_case
def test_case_reaches_its_stated_total_proven(number: str) -> None:
    _, _, status, total_cents = case(number)
    answer = planned(number)
    assert (answer.status, answer.total_cents, answer.bound_cents) == (status, total_cents, total_cents)


@each_case
def test_plan_of_a_case_has_no_failing_check(number: str) -> None:
    job, catalogue, _, _ = case(number)
    assert failures(check_plan(job, catalogue, planned(number))) == ()


@each_case
def test_plan_of_a_case_carries_its_checks_or_its_reasons(number: str) -> None:
    answer = planned(number)
    assert bool(answer.reasons) == (answer.status == "infeasible")
    assert bool(answer.checks) == answer.has_answer


@pytest.mark.parametrize("number", QUICK)
def test_same_input_gives_the_same_bytes(number: str) -> None:
    job, catalogue, _, _ = case(number)
    assert as_bytes(plan(job, catalogue)) == as_bytes(planned(number))


@pytest.mark.parametrize("number", QUICK)
def test_order_of_the_documents_does_not_matter(number: str) -> None:
    job, catalogue, _, _ = case(number)
    mixed = random.Random(int(number))

    def shuffled(things: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(mixed.sample(things, len(things)))

    job = replace(job, places=shuffled(job.places), loads=shuffled(job.loads))
    catalogue = replace(
        catalogue,
        parts=shuffled(catalogue.parts),
        offers=shuffled(catalogue.offers),
        sellers=shuffled(catalogue.sellers),
    )
    assert as_bytes(plan(job, catalogue)) == as_bytes(planned(number))


def test_case_planned_from_the_command_line(tmp_path: Path) -> None:
    stated = json.loads((CASES / "case-066.json").read_text(encoding="utf-8"))
    job, answer = tmp_path / "job.json", tmp_path / "plan.json"
    job.write_text(json.dumps(stated["job"]), encoding="utf-8")
    command = [sys.executable, "-m", "webapp.cli", "plan", job, CASES / stated["catalogue"], "--out", answer]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
    assert json.loads(answer.read_bytes())["total_cents"] == stated["expect"]["total_cents"]
    assert json.loads(answer.read_bytes()) == json.loads(as_bytes(planned("066")))


def test_case_without_a_plan_says_so_from_the_command_line(tmp_path: Path) -> None:
    stated = json.loads((CASES / "case-039.json").read_text(encoding="utf-8"))
    job, answer = tmp_path / "job.json", tmp_path / "plan.json"
    job.write_text(json.dumps(stated["job"]), encoding="utf-8")
    command = [sys.executable, "-m", "webapp.cli", "plan", job, CASES / stated["catalogue"], "--out", answer]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 3, done.stderr
    written = json.loads(answer.read_bytes())
    assert (written["status"], written["circuits"], written["total_cents"]) == ("infeasible", [], None)
    assert written["reasons"]
