"""The blueprint of the pages and what all of them need."""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from typing import Any

from flask import Blueprint, current_app, flash, redirect, session, url_for
from flask.typing import ResponseReturnValue

from optimizer.catalogue import Catalogue
from webapp import canonical, schemas
from webapp.forms import pointers
from webapp.forms.fields import Form, place_faults
from webapp.present import cautions, words
from webapp.present.job_state import job_state
from webapp.services import catalogue, jobs
from webapp.services.errors import FaultyDocument, StaleRevision

bp = Blueprint("pages", __name__)
TRIES = 3  # a change made by a tap is made again on what somebody else has saved meanwhile
REMEMBERED = 4  # catalogues kept as values

Document = dict[str, Any]


@bp.app_template_filter("as_sentence")
def as_sentence(text: str) -> str:
    return words.sentence(text)


@bp.app_template_filter("bound")
def bound(text: str) -> str:
    return words.bound(text)


@bp.app_context_processor
def shared() -> dict[str, Any]:
    return {"cautions": cautions, "job_state": job_state, "step_url": step_url}


def step_url(job_id: str, step: str) -> str:
    return url_for(f"pages.{step}", job_id=job_id)


def to_step(job_id: str, step: str, **extra: Any) -> ResponseReturnValue:
    return redirect(url_for(f"pages.{step}", job_id=job_id, **extra), code=303)


def own_path(path: str) -> str:
    """A path that a form wants to go back to, if it is one of ours; else empty."""
    is_ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if is_ours else ""


def keep(job_id: str, form: Form, document: Document, *, at: str = "") -> int:
    """Save what a form says: 0, or the status of the page that shows the form again."""
    try:
        jobs.save_job(job_id, form.revision, document)
    except FaultyDocument as trouble:
        place_faults(form, trouble.faults, at=at, filled_in=document.get("assumed", ()))
        return 422
    except StaleRevision:
        form.stale = True
        form.revision = jobs.get_job(job_id).revision
        return 409
    return 0


def change(job_id: str, alter: Callable[[Document], Document]) -> None:
    """Change a job by a tap, on its newest revision. Says so on the next page where it cannot be stored."""
    for attempt in range(TRIES):
        job = jobs.get_job(job_id)
        try:
            jobs.save_job(job_id, job.revision, alter(job.document))
            return
        except FaultyDocument as trouble:
            flash(" ".join(words.sentence(fault.message) for fault in trouble.faults[:3]), "stop")
            return
        except StaleRevision:
            if attempt == TRIES - 1:
                flash("Somebody else is changing this job right now. Nothing was changed: try again.", "stop")


def take_out(job_id: str, array: str, entry_id: str, called: str) -> None:
    """Remove an entry of a list, with a way back on the next page."""
    gone: dict[str, Any] = {}

    def without(document: Document) -> Document:
        index = position(document, array, entry_id)
        if index is None:
            return document
        gone.update(job=job_id, array=array, index=index, entry=document[array][index])
        before = f"{array}/{index}/"
        gone["assumed"] = [p.removeprefix(before) for p in document.get("assumed", []) if p.startswith(before)]
        left = copy.deepcopy(document)
        del left[array][index]
        pointers.mark(left, pointers.shifted(left.get("assumed", []), array, index))
        return left

    change(job_id, without)
    if gone:
        session["removed"] = gone
        flash(f"Removed: {called}.", f"undo {url_for('pages.put_back', job_id=job_id)}")


def put_in_again(document: Document, gone: Mapping[str, Any]) -> Document:
    """The document with a removed entry where it was, and its marks."""
    array, entry = gone["array"], gone["entry"]
    if "id" in entry and position(document, array, entry["id"]) is not None:
        return document
    full = copy.deepcopy(document)
    index = min(gone["index"], len(full.setdefault(array, [])))
    full[array].insert(index, entry)
    marks = [f"{array}/{index}/{name}" for name in gone["assumed"]]
    pointers.mark(full, [*pointers.opened(full.get("assumed", []), array, index), *marks])
    return full


def position(document: Document, array: str, entry_id: str) -> int | None:
    """Where an entry stands: found by its id, or by all it says where it has none."""
    entries = document.get(array, [])
    return next(
        (at for at, entry in enumerate(entries) if (entry.get("id") or canonical.spell(entry)) == entry_id), None
    )


def catalogue_value(revision: int) -> Catalogue:
    """A stored catalogue as a value. A revision never changes, so the app remembers the last few."""
    known: dict[int, Catalogue] = current_app.extensions.setdefault("thriftloom_catalogues", {})
    if revision not in known:
        reading = schemas.read_catalogue(catalogue.at(revision).document)
        assert reading.value is not None  # only sound catalogues are stored
        if len(known) >= REMEMBERED:
            known.clear()
        known[revision] = reading.value
    return known[revision]
