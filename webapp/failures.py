"""Whatever goes wrong ends in a plain sentence: a page for people, JSON for programs, never a trace."""

from __future__ import annotations

import logging
import secrets

from flask import Flask, Response, jsonify, render_template, request
from flask.globals import request_ctx
from flask.typing import ResponseReturnValue
from flask_wtf.csrf import CSRFError
from markupsafe import Markup
from sqlalchemy.exc import OperationalError
from werkzeug.exceptions import HTTPException, InternalServerError

from webapp.security import came_from
from webapp.services.errors import FaultyDocument, InBin, ServiceError
from webapp.texts import N_, _, language

log = logging.getLogger(__name__)

HEADINGS: dict[int | None, str] = {
    400: N_("This could not be read"),
    403: N_("This was refused"),
    404: N_("Not found"),
    405: N_("This cannot be done here"),
    409: N_("Changed meanwhile"),
    413: N_("Too large"),
    422: N_("Some of this cannot be used"),
    429: N_("Too many at once"),
    500: N_("Our fault"),
    503: N_("Busy"),
    421: N_("Not under this name"),
    None: N_("This did not work"),  # any other
}
IN_BIN = N_("In the bin")
TOO_LONG_OPEN = N_("Open for too long")
SENTENCES = {
    404: N_("The address is wrong, or what was here has been deleted. Deleted jobs wait in the bin."),
    405: N_("This address does not take that kind of request. Go back to the list of jobs and start from there."),
    413: N_("What was sent is larger than any job needs. Nothing was stored."),
}
FULL_OR_LOCKED = N_(
    "The data could not be written just now: the disk may be full, or the database busy. Nothing was saved."
)
NO_PAGE = N_(
    "This page could not be made just now: the database may be busy, or the disk full. Nothing is lost: open it again "
    "in a minute."
)
STILL_TYPED = N_("Your browser's way back may still show what you typed.")
STALE_FORM = N_(
    "The page with this form was open too long, or comes from somewhere else. Nothing was saved. Your "
    "browser's way back may still show what you typed; open the page again to send it."
)


def install(app: Flask) -> None:
    """Put the error pages in place."""
    app.after_request(_say_when)
    app.register_error_handler(CSRFError, _csrf)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(ServiceError, _service)
    app.register_error_handler(OperationalError, _database)
    app.register_error_handler(Exception, _unexpected)


def answer(
    status: int, sentence: str, faults: list[dict[str, str]] | None = None, *, in_bin: str = "", again: str = ""
) -> Response:
    """One failure in the form that was asked for.

    Args:
        in_bin: Id of the job that is deleted and can be put back.
        again: The page to open once more: its form came too late or to no end, or it could not be made.
    """
    if _wants_json():
        response = jsonify(faults=faults or [{"pointer": "", "message": sentence}])
    else:
        details = [f"{fault['pointer']}: {fault['message']}".lstrip(": ") for fault in faults or []]
        response = Response(_page(status, sentence, details, in_bin, again))
    response.status_code = status
    return response


def _say_when(response: Response) -> Response:
    """Whoever is turned away because we are busy is told when to come back."""
    if response.status_code in (429, 503):
        response.headers.setdefault("Retry-After", "30")
    return response


def _page(status: int, sentence: str, details: list[str], in_bin: str, again: str) -> str:
    is_stale = again and status == CSRFError.code
    heading = _(IN_BIN if in_bin else TOO_LONG_OPEN if is_stale else HEADINGS.get(status, HEADINGS[None]))
    gone = status == 404  # perhaps deleted
    if request_ctx.url_adapter is None:
        log.warning("no page can be shown under a name that no address has: %.100r", request.host)
        return _bare(heading, sentence)
    if status == 421:  # neither our style sheet nor a way on answers to that name
        return _bare(heading, sentence)
    try:
        return render_template(
            "pages/error.html", heading=heading, text=sentence, details=details, gone=gone, in_bin=in_bin, again=again
        )
    except Exception:  # there is no page behind this one
        log.exception("the error page itself failed")
        return _bare(heading, sentence)


def _bare(heading: str, sentence: str) -> str:
    bare = Markup(
        '<!doctype html><html lang="{0}"><meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light dark"><title>{1} · Thriftloom</title><h1>{1}</h1><p>{2}</p>'
    )
    return bare.format(language(), heading, sentence)


def _wants_json() -> bool:
    return request.path.startswith(("/api/", "/sync")) or request.path.endswith(".json")


def _http(error: HTTPException) -> ResponseReturnValue:
    status = error.code or 500
    if status < 400:
        return error  # a redirect is no error
    own_words = error.description if _is_ours(error) else None
    words = own_words or _(SENTENCES.get(status, "")) or f"{error.name}."
    response = _not_stored(status, words) if status == 413 else answer(status, words)
    for name, value in error.get_headers():
        if name in ("Allow", "Retry-After"):
            response.headers[name] = value
    return response


def _is_ours(error: HTTPException) -> bool:
    """Whether somebody here wrote the sentence, rather than the library its stock one."""
    return error.description != type(error).description


def _csrf(_error: CSRFError) -> ResponseReturnValue:
    return answer(400, _(STALE_FORM), again=came_from())


def _service(error: ServiceError) -> ResponseReturnValue:
    if isinstance(error, FaultyDocument):
        faults = [{"pointer": fault.pointer, "message": fault.message} for fault in error.faults]
        return answer(error.status, _("Nothing was stored. Mend this first:"), faults)
    return answer(error.status, str(error), in_bin=error.job_id if isinstance(error, InBin) else "")


def _database(error: OperationalError) -> ResponseReturnValue:
    log.error("database: %s", error.orig)
    if request.method == "POST" or _wants_json():
        return _not_stored(503, _(FULL_OR_LOCKED))
    return answer(503, _(NO_PAGE), again=request.full_path.rstrip("?"))


def _not_stored(status: int, sentence: str) -> Response:
    """Of a form that was sent from a page of ours, the way back to what was typed comes first."""
    again = came_from() if request.method == "POST" and not _wants_json() else ""
    return answer(status, f"{sentence} {_(STILL_TYPED)}" if again else sentence, again=again)


def _unexpected(error: Exception) -> ResponseReturnValue:
    number = secrets.token_hex(4)
    log.error("fault %s at %s %r", number, request.method, request.path, exc_info=error)
    return answer(
        InternalServerError.code,
        _("This is our fault, not yours. Your data is safe. Fault number %(number)s.", number=number),
    )
