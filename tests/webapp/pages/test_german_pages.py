"""Pages in German hold no English besides names."""

from __future__ import annotations

import json
import re

import pytest
from page_browser import CASES, read_case

from optimizer import planner
from webapp import schemas, spoken
from webapp.services import plans
from webapp.solver.verdict import CANCELLED

ENGLISH = re.compile(r"\b(the|and|of|with|is|are|to|for|from|that|its|can|every|no|not|this|what)\b", re.I)
PARTS = ("", "proof", "buy", "cut", "cut/line", "labels", "wiring", "build", "record", "docket")
STEPS = ("battery", "places", "loads", "loads/0", "loads/new", "limits", "owned", "assumed", "plan")


@pytest.fixture(scope="module")
def plan():
    """The case planned and checked: a plan without checks shows nothing to build from."""
    case = read_case("case-062")
    catalogue = schemas.read_catalogue(json.loads((CASES / case["catalogue"]).read_text())).value
    return schemas.dump_plan(planner.plan(schemas.read_job(case["job"]).value, catalogue, time_limit_s=20))


@pytest.fixture
def german(browser):
    browser.client.set_cookie(spoken.COOKIE, "de")
    return browser


def english(page) -> list[str]:
    """Visible text with English words in it."""
    case = read_case("case-062")
    catalogue = json.loads((CASES / case["catalogue"]).read_text()) if isinstance(case["catalogue"], str) else {}
    named = [*case["job"]["loads"], *case["job"]["places"], *catalogue.get("parts", []), *catalogue.get("sellers", [])]
    names = sorted({each.get("name") or each["id"] for each in named}, key=len, reverse=True)
    text = page.words
    for name in names:
        text = text.replace(" ".join(name.split()), "…")
    return [text[max(0, found.start() - 40) : found.end() + 40] for found in ENGLISH.finditer(text)]


@pytest.mark.parametrize("path", ["/", "/bin", "/words", "/settings", "/jobs/new", "/nowhere"])
def test_a_page_of_its_own_is_german(german, path):
    assert english(german.open(path)) == []


@pytest.mark.parametrize("step", STEPS)
def test_a_step_of_a_job_is_german(german, a_job, step):
    assert english(german.open(f"/jobs/{a_job()}/{step}")) == []


@pytest.mark.parametrize("part", PARTS)
def test_a_page_of_a_plan_is_german(german, planned, plan, part):
    path = f"/plans/{planned(plan)}/{part}".rstrip("/")
    page = german.open(path)
    assert page.path == path  # and not led away from it
    assert english(page) == []


@pytest.mark.parametrize(
    "said",
    [
        "Stopped after 2 s, before a first plan; that does not mean there is none.",  # as the planner says it
        CANCELLED,
        plans.INTERRUPTED,
    ],
)
def test_why_a_search_ended_is_said_in_german(german, a_job, said):
    plan_id = plans.start_plan(a_job())
    plans.claim_plan()
    plans.fail_plan(plan_id, said)
    assert english(german.open(f"/plans/{plan_id}")) == []


def test_english_is_found(browser, a_job):
    assert english(browser.open(f"/jobs/{a_job()}/limits"))
