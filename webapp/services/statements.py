"""Stating a job by its forms: every field three-way, so that no device overwrites what another one said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from webapp import db
from webapp.forms import battery, entries, fuse_styles, loads, merging, naming, places
from webapp.forms.fields import Form, Spec, judge_the_rest, place_faults
from webapp.forms.output_line import OutputLine
from webapp.forms.presets import Preset
from webapp.forms.steps import Step
from webapp.services import catalogue, jobs
from webapp.services.errors import FaultyDocument, NotFound, ServiceError
from webapp.texts import N_, _

__all__ = [
    "Clash",
    "EntryGone",
    "Outcome",
    "PlaceInUse",
    "add_entry",
    "add_output",
    "add_preset",
    "duplicate_load",
    "edit_entry",
    "edit_from",
    "remove_entry",
    "start_job",
    "undo_removal",
]

LOOKED_BACK = 50  # revisions, for who said what
STILL_USED = N_("%(called)s still has loads: %(loads)s. Move or remove them first.")
GONE = N_("It has been removed on another device.")

Document = dict[str, Any]


class EntryGone(NotFound):
    """Somebody removed the place or load that was to be changed."""


class PlaceInUse(ServiceError):
    """A place cannot go while loads sit there."""

    status = 409

    def __init__(self, called: str, loads_there: list[str]) -> None:
        super().__init__(_(STILL_USED, called=called, loads=", ".join(loads_there[:5])))


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A field that two devices changed, each to something else."""

    spec: Spec
    yours: str
    theirs: str
    whose: str  # what the other device is called; empty where nobody knows
    when: datetime


@dataclass(slots=True, kw_only=True)
class Outcome:
    """What came of a form: the form as it stands now, and what could not be stored."""

    form: Form
    entry: str = ""  # the id of the place or load that it states
    revision: int = 0
    clashes: list[Clash] = field(default_factory=list)
    filled: dict[str, list[str]] = field(default_factory=dict)  # by field: what it was told, and what we put there

    @property
    def state(self) -> str:
        return "refused" if self.form.troubled else "conflict" if self.clashes else "done"


def start_job(answers: Mapping[str, str], *, job_id: str | None = None, device: str = "") -> Outcome:
    """A new job from the first answers about its battery; `entry` is the id of the job then."""
    styles = fuse_styles.fuse_styles(catalogue.current().document)
    unnamed = jobs.fresh_name(answers.get("setting", ""), answers.get(naming.DAY, ""))
    form, document = battery.read_new(answers, styles, unnamed)
    outcome = Outcome(form=form)
    if document is None:
        judge_the_rest(form)
        return outcome
    try:
        job = jobs.start_job(document, job_id=job_id, device=device)
    except FaultyDocument as trouble:
        place_faults(form, trouble.faults, filled_in=document["assumed"])
        return outcome
    outcome.entry, outcome.revision = job.id, job.revision
    return outcome


def add_entry(job_id: str, step: Step, answers: Mapping[str, str], *, device: str = "") -> Outcome:
    """One more place, load or thing on hand. Raises NotFound."""
    with db.current().writing():
        return _read(job_id, step, None, answers, device)


def edit_entry(
    job_id: str,
    step: Step,
    entry_id: str,
    changes: merging.Changes,
    *,
    device: str = "",
    filled: Sequence[merging.Filled] = (),
) -> Outcome:
    """Change fields of the job itself, a place or a load; clashing fields stay as they are. Raises NotFound.

    Args:
        filled: What earlier changes were not told and we filled in.
    """
    with db.current().writing():
        document = jobs.get_job(job_id).document
        index = _index(document, step, entry_id)
        now = step.show(document, index, catalogue.current().document)
        texts, clashes = merging.merge(now, merging.with_filled(now, changes, filled))
        outcome = _read(job_id, step, index, texts, device)
        if not outcome.form.troubled:
            outcome.clashes = list(_told(job_id, step, entry_id, clashes))
        return outcome


def edit_from(
    job_id: str, step: Step, entry_id: str, revision: int, answers: Mapping[str, str], *, device: str = ""
) -> Outcome:
    """The same out of a whole form, which was shown as of a revision. Raises NotFound, EntryGone.

    Of a revision that never was nothing is known: then every field that says something else clashes.
    """
    with db.current().writing():
        document = jobs.get_job(job_id).document
        parts = catalogue.current().document
        before = step.show(document, _index(document, step, entry_id), parts)
        shown = jobs.revision_of_job(job_id, revision)
        if shown is None or (step.array and entries.position(shown, step.array, entry_id) is None):
            for each in before.fields.values():
                each.text = ""
        else:
            before = step.show(shown, _index(shown, step, entry_id), parts)
        changes = merging.changes_between(before, answers)
        outcome = edit_entry(job_id, step, entry_id, changes, device=device)
        if outcome.form.troubled:  # shown again as typed
            for name, (_old, new) in changes.items():
                outcome.form[name].text = new
            outcome.revision = revision
        return outcome


def add_preset(job_id: str, preset: Preset, place: str, *, device: str = "") -> str:
    """One more usual load; its id. Raises NotFound, FaultyDocument."""
    return _new_load(jobs.change_job(job_id, lambda job: loads.add_preset(job, preset, place), device=device))


def add_output(job_id: str, line: OutputLine, name: str, place: str, *, device: str = "") -> str:
    """One more load out of its adapter's OUTPUT line; its id. Raises NotFound, FaultyDocument."""
    return _new_load(jobs.change_job(job_id, lambda job: loads.add_output(job, line, name, place), device=device))


def duplicate_load(job_id: str, load_id: str, *, device: str = "") -> str:
    """A copy of a load right behind it; its id. Raises NotFound, EntryGone."""
    with db.current().writing():
        index = _found(jobs.get_job(job_id).document, "loads", load_id)
        saved = jobs.change_job(job_id, lambda job: loads.duplicated(job, index), device=device)
        return str(saved.document["loads"][index + 1]["id"])


def remove_entry(job_id: str, array: str, entry_id: str, *, device: str = "") -> int:
    """Take out a place, a load or a thing on hand; the revision to undo. Raises NotFound, EntryGone, PlaceInUse."""
    with db.current().writing():
        document = jobs.get_job(job_id).document
        index = _found(document, array, entry_id)
        there = places.loads_at(document, entry_id) if array == "places" else []
        if there:
            raise PlaceInUse(str(document[array][index].get("name") or entry_id), there)
        return jobs.change_job(job_id, lambda job: entries.without(job, array, index), device=device).revision


def undo_removal(job_id: str, revision: int, *, device: str = "") -> str:
    """Put back what one revision removed; the list it went to, empty where nothing is left to put back.

    Raises:
        NotFound: There is no such job or revision.
        FaultyDocument: It has no place any more.
    """
    before, after = jobs.revision_of_job(job_id, revision - 1), jobs.revision_of_job(job_id, revision)
    if before is None or after is None:
        raise NotFound(_("There is nothing left to undo."))
    went = ""

    def full(document: Document) -> Document:
        nonlocal went
        document, went = entries.put_back(document, before, after)
        return document

    jobs.change_job(job_id, full, device=device, brings_back=True)
    return went


def _read(job_id: str, step: Step, index: int | None, answers: Mapping[str, str], device: str) -> Outcome:
    """Read the answers into the job as it stands and store it, or say what is wrong beside each field."""
    job = jobs.get_job(job_id)
    form, document = step.read(answers, job.document, index, catalogue.current().document)
    outcome = Outcome(form=form, revision=job.revision)
    if document is None:
        judge_the_rest(form)
        return outcome
    try:
        saved = jobs.change_job(job_id, lambda _job: document, device=device)
    except FaultyDocument as trouble:
        at = step.at(job.document, index)
        place_faults(form, trouble.faults, at=at, filled_in=document.get("assumed", ()))
        return outcome
    outcome.revision = saved.revision
    if index is not None or not step.array:
        outcome.filled = merging.filled_in(answers, step.show(saved.document, index, catalogue.current().document))
    if step.array:
        outcome.entry = _entry_stated(job.document, saved.document, step.array, index)
    return outcome


def _entry_stated(before: Document, after: Document, array: str, index: int | None) -> str:
    """What the entry is known by that a form stated: a new one, or stock that is counted with what was there."""
    names = [entries.name_of(entry) for entry in after[array]]
    if index is not None:
        return names[index]
    known = {entries.name_of(entry) for entry in before.get(array, [])}
    return next((name for name in names if name not in known), names[-1])


def _told(job_id: str, step: Step, entry_id: str, clashes: list[merging.Clash]) -> Iterator[Clash]:
    """The clashes with who said the other thing, and when."""
    if not clashes:
        return
    back = jobs.revisions_back(job_id, LOOKED_BACK)
    parts = catalogue.current().document
    for clash in clashes:
        said = back[0]
        for revision in back:
            index = entries.position(revision.document, step.array, entry_id) if step.array else None
            if step.array and index is None:
                break
            if step.show(revision.document, index, parts)[clash.spec.name].text != clash.theirs:
                break
            said = revision
        yield Clash(spec=clash.spec, yours=clash.yours, theirs=clash.theirs, whose=said.device, when=said.created_at)


def _index(document: Document, step: Step, entry_id: str) -> int | None:
    return _found(document, step.array, entry_id) if step.array else None


def _found(document: Document, array: str, entry_id: str) -> int:
    index = entries.position(document, array, entry_id)
    if index is None:
        raise EntryGone(_(GONE))
    return index


def _new_load(job: jobs.JobRecord) -> str:
    return str(job.document["loads"][-1]["id"])
