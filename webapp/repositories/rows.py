"""What is read from the database, as frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

PlanState = Literal["queued", "running", "done", "failed", "cancelled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSummary:
    """A plan without its documents."""

    id: str
    state: PlanState
    status: str | None  # of the plan document, once done
    total_cents: int | None
    created_at: datetime
    job_revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AnsweredPlan:
    """A plan with an answer, and the job it belongs to."""

    plan: PlanSummary
    job_id: str
    title: str
    revision: int  # of the job as it is now


@dataclass(frozen=True, slots=True, kw_only=True)
class JobSummary:
    """A job in a list, with its newest plan."""

    id: str
    title: str
    updated_at: datetime
    revision: int
    plan: PlanSummary | None
    deleted_at: datetime | None = None
    is_example: bool = False  # came along with the program
    variant_of: str | None = None  # the job that it was made beside, with one change


@dataclass(frozen=True, slots=True, kw_only=True)
class JobInList:
    """A job in a list, with what it says so far."""

    summary: JobSummary
    document: dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRecord:
    """A job as it stands: the newest revision of its document."""

    id: str
    revision: int
    title: str
    document: dict[str, Any]
    updated_at: datetime
    deleted_at: datetime | None
    is_example: bool = False  # came along with the program
    variant_of: str | None = None  # the job that it was made beside, with one change


@dataclass(frozen=True, slots=True, kw_only=True)
class RevisionRecord:
    """A job's document as it was saved once."""

    number: int
    document: dict[str, Any]
    device: str  # what the device that saved it is called; empty where nobody knows
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRecord:
    """A plan with the exact job it was made for, and how far it got."""

    id: str
    job_id: str
    job_revision: int
    job_document: dict[str, Any]
    catalogue_revision: int
    state: PlanState
    status: str | None
    total_cents: int | None
    document: dict[str, Any] | None
    message: str | None
    progress: dict[str, Any] | None
    solver: str | None
    time_limit_s: float
    explains: str | None  # the plan that this one gives once more, with reasons
    ahead: int | None  # while it waits: how many will begin before it
    created_at: datetime
    started_at: datetime | None
    cancel_asked_at: datetime | None
    finished_at: datetime | None

    @property
    def marked_as(self) -> str:
        """The plan that ticks and measured values belong to: this one, or the one it gives once more."""
        return self.explains or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """A plan with an answer, and what it was made from."""

    plan_id: str
    document: dict[str, Any]
    job: dict[str, Any]
    catalogue_revision: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanTask:
    """What the solver needs to work a plan out."""

    plan_id: str
    job_document: dict[str, Any]
    catalogue_document: dict[str, Any]
    time_limit_s: float
    finished: dict[str, Any] | None = None  # the plan to explain instead of searching


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueRecord:
    """The catalogue at one revision."""

    revision: int
    document: dict[str, Any]
    sha256: str
    origin: str
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticked:
    """A plan that somebody works by: what it says, and the keys that are ticked."""

    document: dict[str, Any]
    keys: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkRecord:
    """One change of a tick or measured value."""

    key: str
    value: str
    device: str
    made_at: datetime  # by the clock of the device
    stored_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OpRecord:
    """A change that was sent, as it was answered."""

    op_id: str
    sha256: str  # of what was sent
    job_id: str | None
    result: dict[str, Any]
