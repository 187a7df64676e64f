"""The version of everything that a page may show."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

HOME = Path(__file__).parent
CONTENT = (".py", ".html", ".css", ".js", ".svg", ".png", ".po")


@cache
def version() -> str:
    """Changes whenever anything does that a page may show."""
    digest = hashlib.sha256()
    for file in sorted(HOME.rglob("*")):
        if file.suffix in CONTENT and file.is_file():
            digest.update(f"{file.relative_to(HOME)}\0".encode())
            digest.update(file.read_bytes())
    return digest.hexdigest()[:12]
