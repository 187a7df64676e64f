"""The cases of tests/cases as values, each planned once a test run."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan
from optimizer.planner import plan
from webapp import schemas

CASES = Path(__file__).parents[1] / "cases"
NUMBERS = tuple(sorted(path.stem.removeprefix("case-") for path in CASES.glob("case-*.json")))


class Case(NamedTuple):
    job: Job
    catalogue: Catalogue
    status: str
    total_cents: int | None  # None where no plan exists


@cache
def case(number: str) -> Case:
    """One case with the outcome that it states."""
    stated = _read(f"case-{number}.json")
    job, catalogue = schemas.read_job(stated["job"]), read_catalogue(stated["catalogue"])
    assert job.faults == ()
    assert job.value is not None
    return Case(job.value, catalogue, stated["expect"]["status"], stated["expect"]["total_cents"])


@cache
def read_catalogue(name: str) -> Catalogue:
    catalogue = schemas.read_catalogue(_read(name))
    assert catalogue.faults == ()
    assert catalogue.value is not None
    return catalogue.value


@cache
def planned(number: str) -> Plan:
    return plan(case(number).job, case(number).catalogue)


def as_bytes(answer: Plan) -> bytes:
    """A plan as its document."""
    return json.dumps(schemas.dump_plan(answer)).encode()


def _read(name: str) -> Any:
    return json.loads((CASES / name).read_text(encoding="utf-8"))
