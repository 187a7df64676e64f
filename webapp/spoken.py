"""In which language a request is answered: as chosen here, else as the browser asks. Programs get English."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from babel import Locale
from flask import Flask, Response, request
from werkzeug.wrappers import Request

from webapp import device, texts

COOKIE = "language"
WORDED = ("text/html", "application/json", "application/manifest+json")  # kinds of answers with words in them

Application = Callable[[dict[str, Any], Any], Iterable[bytes]]


def install(app: Flask) -> None:
    """Put it in place, around everything: failures too are told in the reader's language."""
    app.wsgi_app = _speaking(app.wsgi_app)  # type: ignore[method-assign, assignment]
    app.after_request(_name_language)
    app.jinja_env.globals.update(language=texts.language, languages=names)


def wanted(asked: Request) -> str:
    """The language a request is to be answered in."""
    if _is_of_program(asked.path):
        return texts.SOURCE
    chosen = asked.cookies.get(COOKIE, "")
    if chosen in texts.languages():
        return chosen
    asks = [tag.replace("_", "-").split("-")[0].lower() for tag, weight in asked.accept_languages if weight > 0]
    return next((code for code in asks if code in texts.languages()), texts.SOURCE)  # en-GB before de: English


def names() -> tuple[tuple[str, str], ...]:
    """Code and name of every language, each named in itself."""
    return tuple((code, (Locale.parse(code).get_display_name(code) or code).capitalize()) for code in texts.languages())


def remember(response: Response, code: str) -> Response:
    """From now on this browser reads that language."""
    return device.remember(response, COOKIE, code, for_scripts=False)


def _speaking(inner: Application) -> Application:
    def spoken(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        with texts.speaking(wanted(Request(environ))):
            return inner(environ, start_response)

    return spoken


def _name_language(response: Response) -> Response:
    if response.mimetype in WORDED and not _is_of_program(request.path):
        response.vary.update(("Accept-Language", "Cookie"))
        response.content_language.add(texts.language())
    return response


def _is_of_program(path: str) -> bool:
    return path.startswith("/api/") or path == "/healthz"
