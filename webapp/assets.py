"""Files for the browser, under addresses that change with their content: kept for a year, never stale.

All files share one folder named after everything in it, so that modules find each other by relative imports and one
name tells the service worker which set it holds. They are read and compressed once, when the first app is made; what
is changed on disk shows after a new start. The style sheets go out as one file, in the order main.css names them;
scripts go out without the comments that stand on lines of their own, which are for those who read them here.
"""

from __future__ import annotations

import gzip
import hashlib
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from flask import Flask, Response, request

FOLDER = Path(__file__).parent / "static"
ADDRESS = "/static"
STYLES = "css/app.css"
FOREVER = "public, max-age=31536000, immutable"
TYPES = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".woff2": "font/woff2",
}
_COMMENT = re.compile(r"^[ \t]*(?://.*|/\*\*(?:[^*]|\*(?!/))*\*/)\n", re.M)
_IMPORT = re.compile(
    r'^@import url\("(?P<file>[^"]+)"\)(?: layer\((?P<layer>[\w.-]+)\))?(?: (?P<media>[^;]+))?;$', re.M
)


@dataclass(frozen=True, slots=True)
class Asset:
    """One file as it goes out."""

    body: bytes
    gzipped: bytes | None  # None where that saves nothing
    kind: str


def install(app: Flask) -> None:
    """Serve the files and let templates name them."""
    _shipped()
    app.add_url_rule(f"{ADDRESS}/<path:place>", "asset", _serve)
    app.jinja_env.globals["asset_url"] = asset_url


def asset_url(name: str) -> str:
    """The address of a file by its name in static/, or of all style sheets as css/app.css."""
    if name not in _shipped():
        raise LookupError(f"There is no file {name} in static/")
    return f"{ADDRESS}/{version()}/{name}"


def all_urls() -> tuple[str, ...]:
    """Every address there is."""
    return tuple(asset_url(name) for name in _shipped())


@cache
def version() -> str:
    """Changes whenever any file does, and only then."""
    seen = hashlib.sha256()
    for name, asset in _shipped().items():
        seen.update(b"%s %d\n" % (name.encode(), len(asset.body)))
        seen.update(asset.body)
    return seen.hexdigest()[:12]


def bundled(main: Path) -> str:
    """One style sheet of all that another imports, each in its layer or for its medium."""

    def inlined(found: re.Match[str]) -> str:
        css = (main.parent / found["file"]).read_text(encoding="utf-8").strip()
        if found["layer"]:
            css = f"@layer {found['layer']} {{\n{css}\n}}"
        return f"@media {found['media']} {{\n{css}\n}}" if found["media"] else css

    whole = _IMPORT.sub(inlined, main.read_text(encoding="utf-8"))
    if "@import" in whole:
        raise ValueError(f"{main.name}: an @import that is not understood, or one inside an imported file")
    return whole


def bare(script: str) -> str:
    """A script without the comments that have lines of their own. No text of ours spans lines; a test holds it so."""
    return _COMMENT.sub("", script)


def _serve(place: str) -> Response:
    folder, _, name = place.partition("/")
    asset = _shipped().get(name)
    if asset is None or folder != version():
        # Never a page: a browser that runs or paints one for a file that is gone shows nothing at all.
        return Response("There is no such file.", 404, content_type="text/plain; charset=utf-8")
    headers = {"Cache-Control": FOREVER, "Vary": "Accept-Encoding"}
    if asset.gzipped is None or request.accept_encodings["gzip"] <= 0:
        return Response(asset.body, headers=headers, content_type=asset.kind)
    return Response(asset.gzipped, headers={**headers, "Content-Encoding": "gzip"}, content_type=asset.kind)


@cache
def _shipped() -> dict[str, Asset]:
    """By name, in the order of names."""
    plain = [each for each in FOLDER.rglob("*") if each.is_file() and not each.is_relative_to(FOLDER / "css")]
    bodies = {each.relative_to(FOLDER).as_posix(): _as_it_goes(each) for each in plain}
    bodies[STYLES] = bundled(FOLDER / "css" / "main.css").encode()
    return {name: _asset(name, bodies[name]) for name in sorted(bodies)}


def _as_it_goes(file: Path) -> bytes:
    return bare(file.read_text(encoding="utf-8")).encode() if file.suffix == ".js" else file.read_bytes()


def _asset(name: str, body: bytes) -> Asset:
    gzipped = gzip.compress(body, mtime=0)
    return Asset(body, gzipped if len(gzipped) < 0.9 * len(body) else None, TYPES[Path(name).suffix])
