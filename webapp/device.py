"""What a device has chosen for itself: theme, bright sun, units. Cookies, so that no script is needed.

Scripts may read them: a page kept on the device is brought in line with what was chosen since.
"""

from __future__ import annotations

from collections.abc import Mapping

from flask import Flask, Response, request

from webapp import security, units
from webapp.texts import N_

AUTOMATIC, SUN = "auto", "sun"
THEMES = (
    (AUTOMATIC, N_("As the device")),
    ("light", N_("Light")),
    ("dark", N_("Dark")),
    (SUN, N_("Bright sun")),
)
SUN_ON = "on"
ONE_YEAR_S = 365 * 24 * 3600


def install(app: Flask) -> None:
    """Let templates know what was chosen."""
    app.before_request(_choose_units)
    app.teardown_request(lambda _: units.choose(units.METRIC))  # the next one in this thread may fail before it chooses
    app.jinja_env.globals.update(theme=lambda: theme(request.cookies), units=units.chosen)


def theme(cookies: Mapping[str, str]) -> str:
    """One of THEMES. Bright sun lies over the others, which are as they were once it is taken off."""
    if cookies.get("sun") == SUN_ON:
        return SUN
    chosen = cookies.get("theme", "")
    return chosen if chosen in dict(THEMES) and chosen != SUN else AUTOMATIC


def choose_theme(response: Response, chosen: str) -> Response:
    """Remember a theme."""
    if chosen != SUN:
        remember(response, "theme", chosen)
    return choose_sun(response, on=chosen == SUN)


def choose_sun(response: Response, *, on: bool) -> Response:
    """Put bright sun over the theme, or take it off."""
    return remember(response, "sun", SUN_ON if on else "")


def _choose_units() -> None:
    """As chosen on this device; a form is read in the units it was shown in, whatever was chosen since."""
    if request.path.startswith("/api/"):
        return units.choose(units.METRIC)
    typed_in = (
        request.form.get("units") if request.mimetype in security.FORMS else ""
    )  # a view limits other bodies itself
    return units.choose(typed_in or request.cookies.get("units", ""))


def remember(response: Response, name: str, value: str, *, for_scripts: bool = True) -> Response:
    """Keep a choice on this device for a year; nothing chosen leaves nothing behind."""
    age_s = ONE_YEAR_S if value else 0
    response.set_cookie(
        name, value, max_age=age_s, secure=request.is_secure, httponly=not for_scripts, samesite="Lax", path="/"
    )
    return response
