"""Ticks and measured values of a plan, with their history."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.models import Mark, Plan
from webapp.repositories.rows import MarkRecord

_HOME = func.coalesce(Plan.explains, Plan.id)  # a plan given once more, with reasons, is worked by like the first


def home(session: Session, plan_id: str) -> str:
    """The plan that a plan's marks belong to: itself, or the one it explains; empty where there is no such plan."""
    return session.scalar(select(_HOME).where(Plan.id == plan_id)) or ""


def of_plan(session: Session, plan_id: str, *, up_to: int | None = None) -> dict[str, MarkRecord]:
    """The newest change of every key; as it was after change `up_to` where that is given."""
    newest = select(func.max(Mark.number)).where(Mark.plan_id == plan_id).group_by(Mark.key)
    if up_to is not None:
        newest = newest.where(Mark.number <= up_to)
    query = select(Mark).where(Mark.number.in_(newest)).order_by(Mark.number)
    return {mark.key: _record(mark) for mark in session.scalars(query)}


def ticked(session: Session, plan_ids: Sequence[str], value: str) -> dict[str, frozenset[str]]:
    """The keys that have this value now, by plan; plans without one are left out."""
    homes = select(_HOME).where(Plan.id.in_(plan_ids))
    newest = select(func.max(Mark.number)).where(Mark.plan_id.in_(homes)).group_by(Mark.plan_id, Mark.key)
    keys: defaultdict[str, set[str]] = defaultdict(set)
    query = select(Plan.id, Mark.key).join(Mark, Mark.plan_id == _HOME)
    for plan_id, key in session.execute(
        query.where(Plan.id.in_(plan_ids), Mark.number.in_(newest), Mark.value == value)
    ):
        keys[plan_id].add(key)
    return {plan_id: frozenset(found) for plan_id, found in keys.items()}


def find(session: Session, plan_id: str, key: str) -> MarkRecord | None:
    """The newest change of one key."""
    query = select(Mark).where(Mark.plan_id == plan_id, Mark.key == key).order_by(Mark.number.desc()).limit(1)
    mark = session.scalar(query)
    return None if mark is None else _record(mark)


def of_plans(session: Session, plan_ids: Collection[str], key: str) -> dict[str, str]:
    """What a key says now, by plan; plans where it says nothing are left out."""
    homes = select(_HOME).where(Plan.id.in_(plan_ids))
    newest = select(func.max(Mark.number)).where(Mark.plan_id.in_(homes), Mark.key == key).group_by(Mark.plan_id)
    query = select(Plan.id, Mark.value).join(Mark, Mark.plan_id == _HOME)
    found = session.execute(query.where(Plan.id.in_(plan_ids), Mark.number.in_(newest), Mark.value != ""))
    return {row.id: row.value for row in found}


def was_set(session: Session, job_id: str, key: str) -> bool:
    """Whether some plan of a job has ever had this key with a value."""
    query = select(Mark.number).join(Plan, Plan.id == Mark.plan_id)
    return session.scalar(query.where(Plan.job_id == job_id, Mark.key == key, Mark.value != "").limit(1)) is not None


def last_number(session: Session, plan_id: str) -> int:
    """The number of the newest change; 0 before the first."""
    return session.scalar(select(func.max(Mark.number)).where(Mark.plan_id == plan_id)) or 0


def count(session: Session, plan_id: str) -> int:
    """How many changes there were."""
    return session.scalar(select(func.count()).where(Mark.plan_id == plan_id)) or 0


def add(session: Session, plan_id: str, key: str, value: str, *, device: str, made_at: datetime) -> None:
    """One more change."""
    session.add(Mark(plan_id=plan_id, key=key, value=value, device=device, made_at=made_at))
    session.flush()


def _record(mark: Mark) -> MarkRecord:
    return MarkRecord(
        key=mark.key, value=mark.value, device=mark.device, made_at=mark.made_at, stored_at=mark.stored_at
    )
