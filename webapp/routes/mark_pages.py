"""Ticks and measured values, sent by a plain form."""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import flash, redirect, render_template, request, url_for

from webapp import units
from webapp.present.clashes import ClashView, mark_label, mark_words, whose_words
from webapp.routes import askers
from webapp.routes.once import Answer, Later, not_done, once
from webapp.routes.page_base import bp, own_path
from webapp.security import is_here
from webapp.services import jobs, marks, plans
from webapp.services.errors import FaultyDocument
from webapp.texts import N_, _

NOT_FIELDS = frozenset({"csrf_token", "shown", "seen", "op_id", "back", "asked", "units"})
SAVED = N_("Saved.")
REST_SAVED = N_("All else of the form is saved.")
MOST_NAMED = 3


@bp.post("/plans/<plan_id>/marks")
@once
def save_marks(plan_id: str) -> Answer:
    """Sets the marks that a form shows, those not ticked included; then back to the page it stands on.

    One that cannot be is said; it takes no other with it.
    """
    changes = _changes(plan_id)
    faulty = {key: wrong for key, (_old, new) in changes.items() if (wrong := marks.fault_of(key, new))}
    sound = {key: change for key, change in changes.items() if key not in faulty}
    theirs: dict[str, marks.MarkRecord] = {}
    try:
        theirs = marks.set_marks(plan_id, sound, device=askers.device())
    except FaultyDocument as trouble:  # too many
        not_done()
        flash(" ".join(fault.message for fault in trouble.faults), "stop")
    else:
        if faulty or not theirs:  # the choice says itself that all else is saved
            _say(faulty)
    if theirs:
        seen = marks.last_change(plan_id)
        return Later(lambda: _choice_page(plan_id, theirs, seen), 409)
    return redirect(_back() or url_for("pages.show_plan", plan_id=plan_id), code=303)


def _say(faulty: dict[str, str]) -> None:
    if not faulty:
        return flash(_(SAVED), "done")
    not_done()
    named = [wrong if marks.key_fault(key) else f"{mark_label(key)}: {wrong}" for key, wrong in faulty.items()]
    return flash(" ".join((*named[:MOST_NAMED], _(REST_SAVED))), "stop")


def _choice_page(plan_id: str, theirs: dict[str, marks.MarkRecord], seen: int) -> str:
    """What both changed, to choose from: everything else of the form is stored."""
    clashes = []
    for key, mark in theirs.items():
        yours, other = marks.in_full(key, _with_unit(key, request.form.get(key, ""))), marks.in_full(key, mark.value)
        clashes.append(
            ClashView(
                name=key,
                label=mark_label(key),
                yours=yours,
                yours_words=mark_words(key, yours),
                theirs=other,
                theirs_words=mark_words(key, other),
                whose=whose_words(mark.device, mark.stored_at),
            )
        )
    kept = {"seen": seen, "back": _back()}
    job = jobs.get_job(plans.job_of(plan_id))
    return render_template("pages/choice.html", job=job, step="plan", clashes=clashes, kept=kept, action=request.path)


def _changes(plan_id: str) -> dict[str, tuple[str, str]]:
    """Old and new value of each mark. A page that says what it had seen is told from what others changed since."""
    seen = request.form.get("seen", "")
    up_to = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 18 else None
    before = marks.marks_of(plan_id, up_to=up_to)
    keys = dict.fromkeys(request.form.getlist("shown"), "")
    keys |= {key: _with_unit(key, value) for key, value in request.form.items() if key not in NOT_FIELDS}
    return {key: (before.get(key, ""), value) for key, value in keys.items()}


def _with_unit(key: str, value: str) -> str:
    """A length with the unit of the page it was typed on."""
    return units.with_unit("length", value) if marks.is_length(key) else value


def _back() -> str:
    """The path of the page a form was sent from, if it is one of ours."""
    address = request.form.get("back") or request.referrer or ""
    if is_here(address):
        came_from = urlsplit(address)
        address = came_from.path + (f"?{came_from.query}" if came_from.query else "")
    return own_path(address)
