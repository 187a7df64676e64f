"""What went wrong, in plain words."""

from __future__ import annotations

from flask import render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from webapp.routes.page_base import bp
from webapp.services.errors import NotFound

PLAIN = {
    400: ("This form has gone stale", "The page was open for too long, or came from somewhere else. Go back, reload it and send it again."),
    404: ("There is nothing here", "The address is wrong, or what was here has been deleted. Deleted jobs wait in the bin."),
    405: ("This page cannot be opened like that", "Go back to the list of jobs and start from there."),
    413: ("That is too much at once", "What you sent is larger than any job we plan. Nothing was stored."),
    422: ("That cannot be used", "Something in what you sent cannot be read. Nothing was stored."),
    500: ("We made a mistake", "This is our fault, not yours. Your jobs are kept as they were last saved. Try again; if it happens again, tell us what you did."),
}
OTHER = ("That did not work", "Go back to the list of jobs and try again.")


@bp.app_errorhandler(HTTPException)
def plain_words(error: HTTPException) -> ResponseReturnValue:
    code = error.code or 500
    if code < 400 or request.path.startswith("/api/"):
        return error
    return page(code)


@bp.app_errorhandler(NotFound)
def not_found(_: Exception) -> ResponseReturnValue:
    return page(404)


def page(code: int) -> ResponseReturnValue:
    heading, text = PLAIN.get(code, OTHER)
    return render_template("pages/error.html", heading=heading, text=text), code
