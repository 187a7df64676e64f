"""Which browser or machine asks: searches take turns between these. And what to call it when two disagree."""

from __future__ import annotations

import hmac
import secrets

from flask import current_app, request, session

DEVICES = (
    ("iPhone", "iPhone"),
    ("iPad", "iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Macintosh", "Mac"),
    ("CrOS", "Chromebook"),
    ("Linux", "Linux"),
)


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


def device() -> str:
    """What the device at hand is called, as far as it says: names of systems, the same in every language."""
    agent = request.user_agent.string
    return next((name for sign, name in DEVICES if sign in agent), "")
