"""One spelling for each JSON document, so that equal documents have equal bytes and equal digests."""

from __future__ import annotations

import hashlib
import json
from typing import Any


def spell(document: object) -> str:
    """JSON with sorted keys and no spaces; ValueError for NaN and for text no file can hold."""
    text = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    text.encode()  # a lone surrogate stops here, not in the database
    return text


def digest(text: str) -> str:
    """SHA-256 of a spelled document, in hex."""
    return hashlib.sha256(text.encode()).hexdigest()


def read(text: str) -> dict[str, Any]:
    """A stored document."""
    document: dict[str, Any] = json.loads(text)
    return document
