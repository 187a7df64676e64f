"""What each kind of change does."""

from __future__ import annotations

from collections.abc import Callable
from functools import singledispatch
from typing import Any

from webapp import db, units
from webapp.forms import battery_fields, entries, load_fields, merging, naming, presets
from webapp.forms.output_line import read_output_line
from webapp.forms.reading import Unreadable
from webapp.forms.steps import BY_NAME, Step
from webapp.schemas.ops import (
    DeleteOp,
    DuplicateOp,
    FormOp,
    MarkOp,
    Op,
    OutputOp,
    PlanOp,
    PresetOp,
    RemoveOp,
    RestoreOp,
    StartOp,
    UndoOp,
)
from webapp.services import catalogue, jobs, marks, ops, plans, statements
from webapp.services.errors import FaultyDocument, NotFound
from webapp.services.statements import EntryGone, Outcome, PlaceInUse
from webapp.texts import N_, _

Result = dict[str, Any]

IN_BIN = N_("This job is in the bin.")
NOT_THERE = N_("It is not there, or not any more.")
NO_FIELD = N_("There is no such field.")
NO_PRESET = N_("There is no such usual load.")
TAKEN = N_("There is a job of this id already.")
HANDLE_TAKEN = N_("Another change has used this handle.")
NOT_CHANGED = N_("What you have is added and removed, not changed.")
NO_UNDO = N_("There is nothing left to undo.")
MARK_LABELS = {"measured": N_("Measured value"), "note": N_("Note")}
TICK = N_("Tick")
HANDLE_START = "new-"
PLACE_FIELDS = ("place", "where")


def work_of(op: Op, *, device: str, asked_by: str | None) -> Callable[[], tuple[Result, bool]]:
    """The work of a change. What comes of it is final, unless Busy is raised."""

    def work() -> tuple[Result, bool]:
        try:
            if op.handle and ops.entry_called(op.handle):
                return refused(general=[_(HANDLE_TAKEN)]), True
            with (
                units.counting_in(getattr(op, "units", "")),
                db.current().writing(),
            ):  # all of it, or nothing but the answer
                return _work(op, device, asked_by), True
        except (FaultyDocument, PlaceInUse) as trouble:
            return refused(general=_sentences(trouble)), True
        except NotFound as trouble:
            return {"state": "gone", "general": [str(trouble)]}, True

    return work


def refused(*, errors: dict[str, str] | None = None, general: list[str] | None = None) -> Result:
    """Nothing of it was stored, and why: by field, and beside."""
    return {"state": "refused", "errors": errors or {}, "general": general or []}


@singledispatch
def _work(op: Op, _device: str, _asked_by: str | None) -> Result:
    raise TypeError(type(op))


@_work.register
def _mark(op: MarkOp, device: str, _asked_by: str | None) -> Result:
    _kept_job(plans.job_of(op.plan))
    theirs = marks.set_mark(op.plan, op.key, op.old, op.new, device=device, made_at=op.at)
    if theirs is None:
        return {"state": "done"}
    field = {
        "label": _(MARK_LABELS.get(op.key.partition("/")[0], TICK)),
        "yours": op.new,
        "theirs": theirs.value,
        "yours_words": marks.in_full(op.key, op.new),
        "theirs_words": marks.in_full(op.key, theirs.value),
        "when": theirs.made_at.isoformat(),
        "whose": theirs.device,
    }
    return {"state": "conflict", "fields": {op.key: field}}


@_work.register
def _form(op: FormOp, device: str, _asked_by: str | None) -> Result:
    step, job = BY_NAME[op.form], _kept_job(op.job)
    entry = _named(op.entry) if op.entry is not None else None
    if step.name == "owned" and entry is not None:
        return refused(general=[_(NOT_CHANGED)])
    changes = _with_places(op.changes)
    strangers = _strangers(step, job.document, entry, changes)
    if strangers:
        return refused(errors=strangers)
    if step.array and entry is None:
        answers = {name: new for name, (_old, new) in changes.items()}
        return _told(statements.add_entry(op.job, step, answers, device=device))
    earlier = [
        result["filled"] for result in ops.results_in(op.job) if result.get("stated") == [step.name, entry or ""]
    ]
    outcome = statements.edit_entry(op.job, step, entry or "", changes, device=device, filled=earlier)
    told = _told(outcome)
    if outcome.filled:
        told |= {"stated": [step.name, entry or ""], "filled": outcome.filled}
    return told


@_work.register
def _start(op: StartOp, device: str, _asked_by: str | None) -> Result:
    if jobs.exists(op.job):
        return refused(general=[_(TAKEN)])
    known = {naming.DAY, *(spec.name for spec in battery_fields.FIRST)}
    strangers = {name: _(NO_FIELD) for name in op.changes if name not in known}
    if strangers:
        return refused(errors=strangers)
    answers = {name: new for name, (_old, new) in op.changes.items()}
    told = _told(statements.start_job(answers, job_id=op.job, device=device))
    return {**told, "job": op.job} if told["state"] == "done" else told


@_work.register
def _preset(op: PresetOp, device: str, _asked_by: str | None) -> Result:
    place = _place(op.job, op.where)
    if not place:
        return _placeless(op.job)
    preset = presets.BY_KEY.get(op.preset)
    if preset is None:
        return refused(errors={"preset": _(NO_PRESET)})
    return {"state": "done", "entry": statements.add_preset(op.job, preset, place, device=device)}


@_work.register
def _output(op: OutputOp, device: str, _asked_by: str | None) -> Result:
    place = _place(op.job, op.where)
    if not place:
        return _placeless(op.job)
    try:
        line = read_output_line(op.output)
    except Unreadable as trouble:
        return refused(errors={"output": str(trouble)})
    return {"state": "done", "entry": statements.add_output(op.job, line, op.what.strip(), place, device=device)}


@_work.register
def _remove(op: RemoveOp, device: str, _asked_by: str | None) -> Result:
    _kept_job(op.job)
    try:
        array = BY_NAME[op.form].array
        return {"state": "done", "undo": statements.remove_entry(op.job, array, _named(op.entry), device=device)}
    except EntryGone:
        if op.form == "owned":  # known by all it says: it may be there and say something else
            raise
        return {"state": "done"}  # somebody else removed it too


@_work.register
def _duplicate(op: DuplicateOp, device: str, _asked_by: str | None) -> Result:
    _kept_job(op.job)
    return {"state": "done", "entry": statements.duplicate_load(op.job, _named(op.entry), device=device)}


@_work.register
def _delete(op: DeleteOp, _device: str, _asked_by: str | None) -> Result:
    jobs.delete_job(op.job)
    return {"state": "done"}


@_work.register
def _restore(op: RestoreOp, _device: str, _asked_by: str | None) -> Result:
    jobs.restore_job(op.job)
    return {"state": "done"}


@_work.register
def _plan(op: PlanOp, _device: str, asked_by: str | None) -> Result:
    return {"state": "done", "plan": plans.start_plan(op.job, asked_by=asked_by)}


@_work.register
def _undo(op: UndoOp, device: str, _asked_by: str | None) -> Result:
    _kept_job(op.job)
    removal = ops.result_of(op.op, job_id=op.job)
    if removal is None:
        raise NotFound(_(NOT_THERE))
    if "undo" not in removal:
        return refused(general=[_(NO_UNDO)])
    statements.undo_removal(op.job, removal["undo"], device=device)
    return {"state": "done"}


def _told(outcome: Outcome) -> Result:
    """What came of a form."""
    form = outcome.form
    if form.troubled:
        return refused(errors={field.spec.name: field.error for field in form.faulty}, general=form.general)
    told: Result = {"state": outcome.state, "entry": outcome.entry} if outcome.entry else {"state": outcome.state}
    if outcome.clashes:
        told["fields"] = {clash.spec.name: _clash(clash) for clash in outcome.clashes}
    return told


def _clash(clash: statements.Clash) -> dict[str, str]:
    return {
        "label": _(clash.spec.label),
        "yours": clash.yours,
        "theirs": clash.theirs,
        "yours_words": merging.in_words(clash.spec, clash.yours),
        "theirs_words": merging.in_words(clash.spec, clash.theirs),
        "when": clash.when.isoformat(),
        "whose": clash.whose,
    }


def _kept_job(job_id: str) -> jobs.JobRecord:
    job = jobs.get_job(job_id)
    if job.deleted_at is not None:
        raise NotFound(_(IN_BIN))
    return job


def _named(entry: str) -> str:
    """The id of an entry that a device may know by a handle only."""
    if not entry.startswith(HANDLE_START):
        return entry
    known = ops.entry_called(entry)
    if known is None:
        raise EntryGone(_(NOT_THERE))
    return known


def _place(job_id: str, where: str) -> str:
    """The id of a place; empty where it is not there any more."""
    job = _kept_job(job_id)
    place = ops.entry_called(where) if where.startswith(HANDLE_START) else where
    return place if place and entries.position(job.document, "places", place) is not None else ""


def _placeless(job_id: str) -> Result:
    """A load without a place can be mended: another is chosen, or stated first."""
    return refused(errors={"where": load_fields.place_gone(jobs.get_job(job_id).document)})


def _with_places(changes: merging.Changes) -> dict[str, tuple[str, str]]:
    return {
        name: (_named(old), _named(new)) if name in PLACE_FIELDS else (old, new) for name, (old, new) in changes.items()
    }


def _strangers(step: Step, document: dict[str, Any], entry: str | None, changes: merging.Changes) -> dict[str, str]:
    index = entries.position(document, step.array, entry) if step.array and entry is not None else None
    if step.array and entry is not None and index is None:
        raise EntryGone(_(NOT_THERE))
    known = step.show(document, index, catalogue.current().document).fields
    return {name: _(NO_FIELD) for name in changes if name not in known}


def _sentences(trouble: FaultyDocument | PlaceInUse) -> list[str]:
    if isinstance(trouble, FaultyDocument):
        return [f"{fault.message} ({fault.pointer})" if fault.pointer else fault.message for fault in trouble.faults]
    return [str(trouble)]
