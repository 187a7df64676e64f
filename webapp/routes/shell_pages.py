"""What makes the pages an app: manifest, service worker, and the pages that open without a signal."""

from __future__ import annotations

import json
import re
from typing import Any

from flask import Response, jsonify, make_response, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.wrappers import Response as AnyResponse

from webapp import assets, security, shell, texts, units
from webapp.assets import asset_url
from webapp.forms import owned
from webapp.routes.page_base import bp
from webapp.services import catalogue
from webapp.texts import _

GO = "Thriftloom-Go"
SPOKEN = "Thriftloom-Spoken"
WORKER_PARTS = ("store", "copies", "ids", "jots", "queue", "outbox", "sender")  # the same as in pages
SHELL_PAGES = ("job_list", "offline", "offline_sent", "new_job", "glossary", "settings")
BLANK_STEPS = ("battery", "places", "loads", "loads/new", "limits", "plan")
SCREENS = "screens"
LIGHT, DARK = "#0d3a31", "#0a2a23"


@bp.get("/manifest.webmanifest")
def manifest() -> ResponseReturnValue:
    response = jsonify(
        {
            "id": "/",
            "name": "Thriftloom",
            "short_name": "Thriftloom",
            "description": _("The cheapest wiring for your battery that is proven to hold."),
            "lang": texts.language(),
            "dir": "ltr",
            "start_url": "/?from=home",
            "scope": "/",
            "display": "standalone",
            "display_override": ["standalone", "minimal-ui"],
            "background_color": "#f1f3ee",
            "theme_color": LIGHT,
            "categories": ["utilities", "productivity"],
            "icons": [
                _icon("icon.svg", "any", "any", "image/svg+xml"),
                _icon("icons/any-192.png", "192x192"),
                _icon("icons/any-512.png", "512x512"),
                _icon("icons/maskable-512.png", "512x512", "maskable"),
            ],
            "screenshots": [
                _screen("loads", _("What should it feed?")),
                _screen("plan", _("The plan: total and proof")),
                _screen("cuts", _("Cut list")),
                _screen("plan-wide", _("The plan: total and proof"), "1280x800", "wide"),
            ],
            "shortcuts": [
                {"name": _("New job"), "url": url_for("pages.new_job")},
                {"name": _("Jobs"), "url": url_for("pages.job_list")},
            ],
        }
    )
    response.mimetype = "application/manifest+json"
    return response


def _icon(name: str, sizes: str, purpose: str = "any", kind: str = "image/png") -> dict[str, str]:
    return {"src": asset_url(name), "sizes": sizes, "type": kind, "purpose": purpose}


def _screen(name: str, label: str, sizes: str = "360x740", width: str = "narrow") -> dict[str, str]:
    """A picture for whoever installs the app; no page shows it and no device keeps it."""
    src = asset_url(f"{SCREENS}/{name}.png")
    return {"src": src, "sizes": sizes, "type": "image/png", "form_factor": width, "label": label}


@bp.get("/sw.js")
def service_worker() -> ResponseReturnValue:
    """One classic script, which every browser takes: the outbox modules without import and export, then the worker."""
    parts = [(assets.FOLDER / "js" / "offline" / f"{name}.js").read_text("utf-8") for name in WORKER_PARTS]
    named = {"VERSION": shell.version(), "SHELL": _shell(), "POLICY": security.HEADERS}
    lines = [f"const {name} = {json.dumps(value)};" for name, value in named.items()]
    script = assets.bare("\n".join([*lines, *map(_classic, parts), (shell.HOME / "sw.js").read_text("utf-8")]))
    return Response(script, mimetype="text/javascript", headers={"Cache-Control": "no-cache"})


def _classic(module: str) -> str:
    """A module as part of a classic script: `import * as x` is not used by those parts."""
    return re.sub(r"^export ", "", re.sub(r"^import .*$", "", module, flags=re.MULTILINE), flags=re.MULTILINE)


def _shell() -> list[str]:
    """Everything the device keeps from the first visit on."""
    kinds = owned.kinds_on_offer(catalogue.current().document["parts"])
    return [
        *(address for address in assets.all_urls() if f"/{SCREENS}/" not in address),
        url_for("pages.manifest"),
        *(url_for(f"pages.{name}") for name in SHELL_PAGES),
        *(f"/blank/{step}" for step in BLANK_STEPS),
        "/blank/owned",
        *(f"/blank/owned?kind={kind}" for kind, _words in kinds),
    ]


@bp.get("/offline")
def offline() -> ResponseReturnValue:
    return render_template("pages/offline.html")


@bp.get("/offline/sent")
def offline_sent() -> ResponseReturnValue:
    """What is shown where a form could neither be sent nor kept."""
    return render_template("pages/offline_sent.html")


@bp.get("/reset-app")
def reset_app() -> ResponseReturnValue:
    """The way out of a stuck app: takes worker and copies off the device, leaves what waits to be sent."""
    response = make_response(render_template("pages/reset.html"))
    response.headers["Cache-Control"] = "no-store"
    return response


@bp.after_app_request
def tell_how_it_speaks(response: AnyResponse) -> Any:
    """A copy of a page is kept under the language and the units it states."""
    if response.mimetype == "text/html":
        response.headers[SPOKEN] = f"{texts.language()} {units.chosen()}"
    return response


@bp.after_app_request
def tell_where_to_go(response: AnyResponse) -> Any:
    """A form sent by a script learns where to go, and opens that page itself: what is said once is then said there."""
    if request.headers.get(GO) and response.status_code in (302, 303):
        response.headers[GO] = response.headers.pop("Location")
        response.status_code = 204
        response.set_data(b"")
    return response
