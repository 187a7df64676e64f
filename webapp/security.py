"""What every answer carries, and what is turned away before a route sees it.

Nobody signs in to this app yet, so whoever reaches it may use it. A stranger's web page open in the same browser must
not: it can send forms here, and by a name that it points at this machine it could even read.
"""

from __future__ import annotations

import ipaddress
import secrets
from pathlib import Path
from urllib.parse import urlsplit

from flask import Flask, Response, abort, current_app, request
from werkzeug.middleware.proxy_fix import ProxyFix

from webapp.locks import only_one
from webapp.texts import _

CSP = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
        "object-src 'none'",
        "require-trusted-types-for 'script'",
    )
)
HEADERS = {
    "Content-Security-Policy": CSP,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "strict-origin-when-cross-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=()",
}
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
MOST_FORM_BYTES = 500_000  # all steps of the largest plan, ticked, are half of it
ONE_YEAR = "max-age=31536000; includeSubDomains"


def secret_key(data_dir: Path) -> str:
    """The key that signs cookies and form tokens: made on the first start, readable by its owner only."""
    path = data_dir / "secret_key"
    with only_one(data_dir / "secret_key.lock", wait_s=10):
        key = path.read_text().strip() if path.exists() else ""
        if not key:  # also where the disk was full or the power went before it was written
            key = secrets.token_hex(32)
            path.touch(0o600)
            path.write_text(key)
    return key


def add_headers(response: Response) -> Response:
    """Strict headers on everything, errors included. No HSTS over plain http: it would lock a phone out."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "no-cache")
    if request.is_secure and current_app.config["SESSION_COOKIE_SECURE"]:
        response.headers.setdefault("Strict-Transport-Security", ONE_YEAR)
    return response


def refuse_foreign_names() -> None:
    """Answer to localhost, plain addresses and the names we were told: a foreign name may be a trap."""
    host = (urlsplit(f"//{request.host}").hostname or "").lower()
    if not (_is_local(host) or host in current_app.config["THRIFTLOOM_HOSTS"]):
        words = _(
            "Thriftloom runs here, but does not know this name as its own. Open it by the address it was given; on "
            "the machine itself that is localhost. Whoever runs it can add names with THRIFTLOOM_HOSTS."
        )
        abort(421, words)


def refuse_foreign_senders() -> None:
    """Programs and our own pages may change things; pages from elsewhere may not."""
    if request.method in ("GET", "HEAD", "OPTIONS"):
        return
    if request.headers.get("Sec-Fetch-Site", "none") not in ("same-origin", "none"):
        abort(403, _("Another web site sent this. Nothing was changed."))
    origin = request.headers.get("Origin")
    if origin is not None and not is_here(origin):
        abort(403, _("Another web site sent this. Nothing was changed."))


def came_from() -> str:
    """The path of our page that a form was sent from; empty where it is none of ours."""
    address = request.referrer or ""
    page = urlsplit(address) if is_here(address) else None
    if page is None or page.path.startswith("//"):  # which a browser would read as another server
        return ""
    return page.path + (f"?{page.query}" if page.query else "")


def is_here(address: str) -> bool:
    """Whether an address is one of this server, by its name and port."""
    try:
        return urlsplit(address).netloc == request.host
    except ValueError:
        return False


def limit_forms() -> None:
    """A form is short. Flask's own limit counts the parts of a multipart body only, and ours are sent plainly."""
    if request.mimetype in FORMS:
        request.max_content_length = MOST_FORM_BYTES


def public_url() -> str:
    """Where people open this server: as it was set up, or as this request came."""
    return str(current_app.config["THRIFTLOOM_PUBLIC_URL"]) or request.host_url.rstrip("/")


def believe_proxies(app: Flask, number: int) -> None:
    """Take scheme and asker from the X-Forwarded headers of so many proxies in front; 0: from nobody.

    The name comes from Host alone, which a proxy has to pass on.
    """
    if number:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=number, x_proto=number)  # type: ignore[method-assign]


def install(app: Flask) -> None:
    """Put all of it in place."""
    app.before_request(refuse_foreign_names)
    app.before_request(refuse_foreign_senders)
    app.before_request(limit_forms)
    app.after_request(add_headers)


def _is_local(host: str) -> bool:
    if host == "localhost" or host.endswith((".localhost", ".local")):
        return True
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
