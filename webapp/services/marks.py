"""Ticks and measured values of a plan. Every change is kept with its device and time: nothing is overwritten unseen.

A plan and the same plan with its reasons are one plan here: what is ticked on one is ticked on the other.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from webapp import db, schemas
from webapp.repositories import marks, plans
from webapp.repositories.rows import MarkRecord, Ticked
from webapp.schemas import typed
from webapp.schemas.faults import UNPRINTABLE, Fault
from webapp.services.errors import FaultyDocument, NotFound
from webapp.texts import N_, _

__all__ = [
    "MarkRecord",
    "clean_value",
    "fault_of",
    "in_full",
    "is_length",
    "is_set",
    "key_fault",
    "last_change",
    "marks_of",
    "set_mark",
    "set_marks",
    "ticked",
    "value_of",
    "values_of",
]

TICKS = ("buy", "cut", "build", "caution")
KINDS = (*TICKS, "measured", "note", "person")
TICKED = "yes"
KEY_CHARS, VALUE_CHARS, NOTE_CHARS = 300, 80, 1000
MOST_CHANGES = 20_000  # of one plan: far more than its parts, cuts and measurements
UNKNOWN_KEY = N_("There is no such mark on a plan.")
NOT_A_TICK = N_("This can only be ticked or not.")
TOO_LONG = N_("Keep this to %(most)s characters.")
NOT_SHOWN = N_("This holds characters that cannot be shown or printed.")
TOO_MANY = N_("This plan has been changed too often to take more marks.")
SHOWN_M = 0.0051  # fields show lengths to the centimetre or the hundredth of a foot
_COMMA_NUMBER = re.compile(r"[+-]?\d+,\d+")
_METRES = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*m")


def marks_of(plan_id: str, *, up_to: int | None = None) -> dict[str, str]:
    """What is ticked or measured, key to value, empty values left out; as it was after change `up_to`."""
    with db.current().reading() as session:
        found = marks.of_plan(session, marks.home(session, plan_id), up_to=up_to)
    return {key: mark.value for key, mark in found.items() if mark.value}


def value_of(plan_id: str, key: str) -> str:
    """One mark; empty where it is not set."""
    with db.current().reading() as session:
        found = marks.find(session, marks.home(session, plan_id), key)
    return found.value if found else ""


def values_of(plan_ids: Sequence[str], key: str) -> dict[str, str]:
    """One mark of several plans, by plan; those where it is not set are left out."""
    with db.current().reading() as session:
        return marks.of_plans(session, plan_ids, key)


def ticked(plan_ids: Sequence[str]) -> dict[str, Ticked]:
    """Those of some plans that somebody works by, with what is ticked; two queries, however many they are."""
    with db.current().reading() as session:
        keys = marks.ticked(session, plan_ids, TICKED)
        documents = plans.documents(session, keys) if keys else {}
    return {plan_id: Ticked(document=each, keys=keys[plan_id]) for plan_id, each in documents.items()}


def last_change(plan_id: str) -> int:
    """The number of a plan's newest change: a page that says so can be told from what others changed since."""
    with db.current().reading() as session:
        return marks.last_number(session, marks.home(session, plan_id))


def is_set(job_id: str, key: str) -> bool:
    """Whether a mark was ever set on any plan of a job, as a caution that was read."""
    with db.current().reading() as session:
        return marks.was_set(session, job_id, key)


def set_mark(
    plan_id: str, key: str, old: str, new: str, *, device: str = "", made_at: datetime | None = None
) -> MarkRecord | None:
    """Change one mark from `old` to `new`: None, or what somebody else made of it meanwhile; then nothing is stored.

    Args:
        old: The value the change was made on.
        device: What the device is called.
        made_at: When, by the clock of the device.
    Raises:
        NotFound: There is no such plan.
        FaultyDocument: No such key, or a value that it cannot have.
    """
    return set_marks(plan_id, {key: (old, new)}, device=device, made_at=made_at).get(key)


def set_marks(
    plan_id: str, changes: Mapping[str, tuple[str, str]], *, device: str = "", made_at: datetime | None = None
) -> dict[str, MarkRecord]:
    """Change several marks, each from its old value to its new; those that somebody else changed meanwhile, by key."""
    faults = [
        Fault(pointer="" if key_fault(key) else key, message=wrong)
        for key, (_old, new) in changes.items()
        if (wrong := fault_of(key, new))
    ]
    if faults:
        raise FaultyDocument(faults)
    theirs: dict[str, MarkRecord] = {}
    with db.current().writing() as session:
        home = marks.home(session, plan_id)
        if not home:
            raise NotFound(_("There is no such plan here."))
        for key, (old, new) in changes.items():
            found = marks.find(session, home, key)
            value, wanted = found.value if found else "", clean_value(key, new)
            if _same(key, wanted, value) or _same(key, wanted, clean_value(key, old)):
                continue
            if found is not None and not _same(key, value, clean_value(key, old)):
                theirs[key] = found
                continue
            _refuse_more(session, home, key)
            marks.add(session, home, key, wanted, device=device, made_at=made_at or datetime.now(UTC))
    return theirs


def clean_value(key: str, text: str) -> str:
    """A value as it is kept: without spaces around it, a decimal comma as a point, a length in metres without its m."""
    text = text.strip()
    if is_length(key) and (metres := _METRES.fullmatch(text)):
        text = metres.group(1)
    return text.replace(",", ".") if _COMMA_NUMBER.fullmatch(text) else text


def is_length(key: str) -> bool:
    """Whether a mark is a measured length: kept in metres, or with its unit."""
    return key.startswith("measured/") and key.endswith("/run_m")


def in_full(key: str, value: str) -> str:
    """A length that is kept in metres with its unit: of two that are chosen from, the other may be in feet."""
    return f"{value} m" if is_length(key) and value[-1:].isdigit() else value


def _same(key: str, one: str, other: str) -> bool:
    """Whether two values say the same; a length in feet and one in metres as far as a field shows them."""
    if one == other:
        return True
    if not (is_length(key) and one and other) or ("ft" in one) == ("ft" in other):
        return False
    with suppress(typed.Untypable):
        return abs(typed.read("length", one) - typed.read("length", other)) <= SHOWN_M
    return False


def key_fault(key: str) -> str:
    """What is wrong with a key; empty if nothing is."""
    kind, _stroke, rest = key.partition("/")
    if kind not in KINDS or not rest or len(key) > KEY_CHARS or not _shows(key):
        return _(UNKNOWN_KEY)
    return ""


def fault_of(key: str, value: str) -> str:
    """What is wrong with a mark; empty if nothing is."""
    kind = key.partition("/")[0]
    most = NOTE_CHARS if kind == "note" else VALUE_CHARS
    if key_fault(key):
        return key_fault(key)
    if kind == "person" and value.strip():  # nothing takes the name back
        return " ".join(fault.message for fault in schemas.read_person(value).faults)
    if kind in TICKS and value not in (TICKED, ""):
        return _(NOT_A_TICK)
    if len(value) > most:
        return _(TOO_LONG, most=most)
    return "" if _shows(value.replace("\r\n", " ").replace("\n", " ")) else _(NOT_SHOWN)


def _refuse_more(session: Session, plan_id: str, key: str) -> None:
    if marks.count(session, plan_id) >= MOST_CHANGES:
        raise FaultyDocument([Fault(pointer=key, message=_(TOO_MANY))])


def _shows(text: str) -> bool:
    return not any(unicodedata.category(char) in UNPRINTABLE for char in text)
