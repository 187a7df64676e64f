"""The glossary, and the language to read in."""

from __future__ import annotations

from flask import abort, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp import spoken, texts
from webapp.present.glossary import entries
from webapp.routes.page_base import bp


@bp.get("/words")
def glossary() -> ResponseReturnValue:
    return render_template("pages/glossary.html", entries=entries())


@bp.post("/language")
def set_language() -> ResponseReturnValue:
    """Read in another language from now on, and go on where one was."""
    code = request.form.get("language", "")
    if code not in texts.languages():
        abort(422)
    response = make_response(redirect(_local(request.form.get("back", "")), code=303))
    return spoken.remember(response, code)


def _local(path: str) -> str:
    """The page to go back to, if it is one of ours."""
    is_ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable()
    return path if is_ours else url_for("pages.job_list")
