"""A form sent twice does its work once: every form that changes something carries an id made for that page."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any

from flask import flash, g, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue

from webapp.routes import askers
from webapp.schemas.ops import HANDLE
from webapp.services import ops
from webapp.texts import N_, _

SENT_TWICE = N_("This was sent twice. It was done once.")
NOT_CONTENT = frozenset({"csrf_token", "op_id"})


@dataclass(frozen=True, slots=True)
class Later:
    """A page in answer to a form that was not taken as it is: made when the database is free for others again."""

    page: Callable[[], str]
    status: int


Answer = ResponseReturnValue | Later
View = Callable[..., Answer]


def tell(**said: Any) -> None:
    """Keep with the answer to this form what a change made of it would be told: `entry`, `job`, `undo`."""
    g.setdefault("told", {}).update(said)


def not_done() -> None:
    """Nothing of this form was stored although it leads on: sent again, it is tried again."""
    g.not_done = True


def known_as() -> str:
    """The id under which the answer to this form is kept; empty where it is not."""
    return str(g.get("known_as", ""))


def new_op_id() -> str:
    """An id for one form of one page. Those of a page differ at their ends only, so that hundreds compress well."""
    first = g.setdefault("first_op_id", uuid.uuid4())
    g.op_ids = g.get("op_ids", -1) + 1
    return str(uuid.UUID(int=first.int ^ g.op_ids))


def once(view: View) -> Callable[..., ResponseReturnValue]:
    """A view whose form, sent again, leads where it led and does nothing.

    The same page sent with other answers is another change: somebody went back and typed again.
    """

    @wraps(view)
    def wrapped(**where: Any) -> ResponseReturnValue:
        op_id = request.form.get("op_id", "") if request.method == "POST" else ""
        if not ops.is_op_id(op_id):
            return _shown(view(**where))
        try:
            return _once(op_id, view, where)
        except ops.OtherContent:
            known = ops.result_of(op_id) or {}
            if "location" in known:
                return _once(ops.variant(op_id, _content()), view, where)
            return _done_before(_page_of(known, where))

    return wrapped


def _once(op_id: str, view: View, where: dict[str, Any]) -> ResponseReturnValue:
    answers: list[Answer] = []
    g.known_as = op_id

    def work() -> tuple[dict[str, Any], bool]:
        answer = view(**where)
        answers.append(answer)
        if isinstance(answer, Later):
            return {}, False
        response = make_response(answer)
        is_done = response.status_code == 303 and not g.pop("not_done", False)
        return {"state": "done", "location": response.location, **g.pop("told", {})}, is_done

    sent = ops.Sent(
        op_id=op_id, content=_content(), device=askers.device(), job_id=where.get("job_id"), handle=_handle()
    )
    result, is_known = ops.once(sent, work)
    return _done_before(result["location"]) if is_known else _shown(answers[-1])


def _shown(answer: Answer) -> ResponseReturnValue:
    return (answer.page(), answer.status) if isinstance(answer, Later) else answer


def _handle() -> str | None:
    """What the device calls the entry that this form adds, for changes that speak of it before they know its id."""
    handle = request.form.get("handle", "")
    return handle if HANDLE.fullmatch(handle) and ops.entry_called(handle) is None else None


def _content() -> list[Any]:
    answers = [[name, value] for name, value in request.form.items(multi=True) if name not in NOT_CONTENT]
    return [request.full_path, answers]


def _page_of(result: dict[str, Any], where: dict[str, Any]) -> str:
    """Where to go after a change that a script of ours had sent before its form was."""
    job_id = result.get("job") or where.get("job_id")
    return url_for("pages.show_job", job_id=job_id) if job_id else url_for("pages.job_list")


def _done_before(location: str) -> ResponseReturnValue:
    flash(_(SENT_TWICE), "done")
    return redirect(location, code=303)
