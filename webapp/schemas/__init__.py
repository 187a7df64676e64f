"""Documents in and out: text and objects to values with every fault at once, values to documents.

One definition per document (job.py, catalogue.py, plan.py) serves command line, JSON API and forms.
"""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from optimizer.catalogue import Catalogue
from optimizer.job import Job
from optimizer.plan import Plan

from .catalogue import CatalogueRecord
from .cross import cross_faults
from .cutlist import dump_cuts, read_cutlist
from .faults import Fault, Reading
from .fields import Person
from .job import DraftRecord, JobRecord
from .plan import ANSWERS, PlanRecord
from .records import read
from .text import LIMIT_BYTES, read_json

__all__ = [
    "LIMIT_BYTES",
    "Fault",
    "Reading",
    "cross_faults",
    "dump_catalogue",
    "dump_cuts",
    "dump_job",
    "dump_plan",
    "read_catalogue",
    "read_cutlist",
    "read_draft",
    "read_job",
    "read_json",
    "read_person",
    "read_plan",
]

_PERSON = Person(ANSWERS)
_JOB, _DRAFT, _CATALOGUE, _PLAN = JobRecord(), DraftRecord(), CatalogueRecord(), PlanRecord()


def read_job(document: object) -> Reading[Job]:
    """A job/1 document as a value, or all its faults. Never raises."""
    return read(_JOB, document)


def read_draft(document: object) -> tuple[Fault, ...]:
    """The faults of a job in the making: `places` and `loads` may still be empty. Never raises."""
    return read(_DRAFT, document).faults


def read_catalogue(document: object) -> Reading[Catalogue]:
    """A catalogue/1 document as a value, or all its faults. Never raises."""
    return read(_CATALOGUE, document)


def read_plan(document: object) -> Reading[Plan]:
    """A plan/1 document as a value, or all its faults; fields that are not known are left alone. Never raises."""
    return read(_PLAN, document)


def read_person(name: str) -> Reading[str]:
    """The name of who answers for a plan, without spaces around it, or what is wrong with it. Never raises."""
    try:
        return Reading(value=_PERSON.sound(name.strip()))
    except ValidationError as trouble:
        return Reading(value=None, faults=tuple(Fault(pointer="", message=str(each)) for each in trouble.messages))


def dump_job(job: Job) -> dict[str, Any]:
    """The job/1 document of a value."""
    return _dumped(_JOB, job)


def dump_catalogue(catalogue: Catalogue) -> dict[str, Any]:
    """The catalogue/1 document of a value."""
    return _dumped(_CATALOGUE, catalogue)


def dump_plan(plan: Plan) -> dict[str, Any]:
    """The plan/1 document of a value."""
    return _dumped(_PLAN, plan)


def _dumped(record: JobRecord | CatalogueRecord | PlanRecord, value: object) -> dict[str, Any]:
    document: dict[str, Any] = record.dump(value)
    return document
