"""The glossary, and the language to read in."""

from __future__ import annotations

from flask import abort, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp import spoken, texts
from webapp.present.glossary import entries
from webapp.routes.page_base import bp, own_path


@bp.get("/words")
def glossary() -> ResponseReturnValue:
    return render_template("pages/glossary.html", entries=entries())


@bp.post("/language")
def set_language() -> ResponseReturnValue:
    """Read in another language from now on, and go on where one was."""
    code = request.form.get("language", "")
    if code not in texts.languages():
        abort(422)
    response = make_response(redirect(own_path(request.form.get("back", "")) or url_for("pages.job_list"), code=303))
    return spoken.remember(response, code)
