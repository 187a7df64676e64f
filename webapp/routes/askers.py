"""Which browser or machine asks. Searches take turns between these; nothing else hangs on it."""

from __future__ import annotations

import hmac
import secrets

from flask import current_app, request, session


def browser() -> str:
    """The browser at hand, known again by its cookie."""
    known = session.get("asker")
    if not isinstance(known, str):
        known = session["asker"] = secrets.token_hex(8)
    return known


def program() -> str:
    """The machine a program runs on: a mark of its address, which cannot be read back from it."""
    key, address = str(current_app.config["SECRET_KEY"]), request.remote_addr or ""
    return hmac.digest(key.encode(), address.encode(), "sha256").hex()[:16]
