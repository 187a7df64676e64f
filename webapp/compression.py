"""Pages and documents go out gzipped.

What a page tells can be guessed from its compressed length by somebody who has words of their own put beside it, many
times over (BREACH). The one secret in our pages is the form token. Its signature is made anew each second, the part
that stays is worth nothing without it, and it does not open anything alone: the cookie is SameSite and foreign senders
are refused by `security`. So pages are compressed like everything else.
"""

from __future__ import annotations

import gzip

from flask import Flask, Response, request

LEAST_BYTES = 1000  # below, it all fits one packet anyway
LEVEL = 9  # the longest page takes 2 ms; at 6 it takes 1 ms and is a twentieth heavier
KINDS = {"text/html", "application/json", "application/manifest+json", "text/javascript", "image/svg+xml"}


def install(app: Flask) -> None:
    """Compress what is worth it, last of all."""
    app.after_request(compressed)


def compressed(response: Response) -> Response:
    """The answer gzipped, where it is long, of a kind that shrinks, and the browser takes it.

    An answer with an entity tag stays as it is: the tag names these very bytes, and programs send it back.
    """
    if response.mimetype not in KINDS or response.is_streamed or "ETag" in response.headers:
        return response
    response.vary.add("Accept-Encoding")
    body = response.get_data()
    if len(body) < LEAST_BYTES or "Content-Encoding" in response.headers or request.accept_encodings["gzip"] <= 0:
        return response
    response.set_data(gzip.compress(body, LEVEL, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    return response
