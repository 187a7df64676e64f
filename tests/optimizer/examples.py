"""The example plans of tests/cases with their jobs and catalogues, as values."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from webapp import schemas

CASES = Path(__file__).parents[1] / "cases"
NUMBERS = ("002", "023", "033", "062")


class Example(NamedTuple):
    job: Job
    catalogue: Catalogue
    plan: Plan
    total_cents: int  # the exact optimum that the case states


@cache
def example(number: str) -> Example:
    """One example plan; every document of it is without a fault."""
    case = _read(f"case-{number}.json")
    job, catalogue = schemas.read_job(case["job"]), schemas.read_catalogue(_read(case["catalogue"]))
    plan = schemas.read_plan(_read(f"plan-{number}.json"))
    assert (*job.faults, *catalogue.faults, *plan.faults) == ()
    assert job.value is not None
    assert catalogue.value is not None
    assert plan.value is not None
    return Example(job.value, catalogue.value, plan.value, case["expect"]["total_cents"])


def _read(name: str) -> Any:
    return json.loads((CASES / name).read_text(encoding="utf-8"))
