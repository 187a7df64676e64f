"""Ways out of a plan that does not exist: a copy of the job with one of them taken."""

from __future__ import annotations

import copy
from typing import Any

from flask import abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue

from optimizer.plan import WayOut
from webapp import schemas
from webapp.forms import pointers
from webapp.forms.reading import with_change
from webapp.present.told import told_plainly
from webapp.routes import askers
from webapp.routes.once import once
from webapp.routes.page_base import bp, to_step
from webapp.services import jobs, plans
from webapp.services.errors import Busy, FaultyDocument
from webapp.texts import _


@bp.post("/plans/<plan_id>/ways-out/<int:number>")
@once
def take_way_out(plan_id: str, number: int) -> ResponseReturnValue:
    """Copies the job as it was planned, changes it and looks for its plan. The job itself stays as it is."""
    record = plans.get_plan(plan_id)
    answer = schemas.read_plan(record.document).value
    if answer is None or number >= len(answer.ways_out) or not answer.ways_out[number].change:
        abort(404)
    way = answer.ways_out[number]
    twin = jobs.start_job(_changed(record.job_document, way))
    words = told_plainly(way.text)
    flash(_("A copy of the job with this change: %(what)s. The job you had is still there.", what=words), "done")
    try:
        started = plans.start_plan(twin.id, asked_by=askers.browser())
    except (Busy, FaultyDocument) as trouble:
        flash(str(trouble), "stop")
        return to_step(twin.id, "limits")
    return redirect(url_for("pages.show_plan", plan_id=started), code=303)


def _changed(document: dict[str, Any], way: WayOut) -> dict[str, Any]:
    """The document with a way out taken. What it changes is no assumption any more."""
    copied = copy.deepcopy(document)
    assumed = copied.get("assumed", [])
    for change in way.change:
        array, _, entry = change.pointer.partition("/")
        if change.value is None and entry.isdigit():
            del copied[array][int(entry)]
            assumed = pointers.shifted(assumed, array, int(entry))
        else:
            pointers.put_at(copied, change.pointer, change.value)
            assumed = [pointer for pointer in assumed if pointer.strip("/") != change.pointer]
    pointers.mark(copied, assumed)
    return {**copied, "title": with_change(document["title"], told_plainly(way.text))}
