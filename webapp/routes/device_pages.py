"""This device: what it has chosen for itself."""

from __future__ import annotations

from flask import abort, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp import device, units
from webapp.routes.page_base import bp, own_path


@bp.get("/settings")
def settings() -> ResponseReturnValue:
    return render_template("pages/settings.html", themes=device.THEMES, systems=units.SYSTEMS)


@bp.post("/settings/theme")
def set_theme() -> ResponseReturnValue:
    """A theme out of the list, or bright sun on and off; then back to where one was."""
    response = make_response(redirect(own_path(request.form.get("back", "")) or url_for("pages.settings"), code=303))
    if "sun" in request.form:
        return device.choose_sun(response, on=request.form["sun"] == device.SUN_ON)
    chosen = request.form.get("theme", "")
    if chosen not in dict(device.THEMES):
        abort(422)
    return device.choose_theme(response, chosen)


@bp.post("/settings/units")
def set_units() -> ResponseReturnValue:
    """Read and type in other units from now on. What is stored stays as it is."""
    system = request.form.get("system", "")
    if system not in dict(units.SYSTEMS):
        abort(422)
    response = make_response(redirect(url_for("pages.settings", _anchor="units"), code=303))
    return device.remember(response, "units", system)
