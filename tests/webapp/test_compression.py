"""Answers go out gzipped where that is worth it."""

from __future__ import annotations

import gzip
import re

import pytest
from flask import Flask, Response

from webapp import compression

LONG = "volts and amps " * 200


@pytest.fixture
def answer():
    """What a browser that takes gzip gets for an answer of ours."""

    def ask(body=LONG, kind="text/html", accept="gzip, deflate, br", **headers):
        app = Flask("answers")
        compression.install(app)
        app.add_url_rule("/", "one", lambda: Response(body, content_type=kind, headers=headers))
        return app.test_client().get("/", headers={"Accept-Encoding": accept})

    return ask


@pytest.mark.parametrize("kind", ["text/html; charset=utf-8", "application/json", "image/svg+xml"])
def test_a_long_answer_is_compressed(answer, kind):
    got = answer(kind=kind)
    assert got.headers["Content-Encoding"] == "gzip"
    assert int(got.headers["Content-Length"]) == len(got.data) < 200
    assert gzip.decompress(got.data).decode() == LONG
    assert got.headers["Vary"] == "Accept-Encoding"


@pytest.mark.parametrize(
    "changes",
    [
        {"body": "short"},
        {"kind": "image/png"},
        {"accept": ""},
        {"accept": "br"},
        {"accept": "gzip;q=0"},
        {"ETag": '"1"'},
        {"Content-Encoding": "br"},
        {"body": (part for part in [LONG])},
    ],
    ids=["short", "picture", "nothing", "other", "refused", "tagged", "compressed", "streamed"],
)
def test_other_answers_stay_as_they_are(answer, changes):
    got = answer(**changes)
    assert got.headers.get("Content-Encoding") != "gzip"
    assert got.data == (b"short" if changes.get("body") == "short" else LONG.encode())


def test_a_cache_is_told_where_another_browser_would_get_it_compressed(answer):
    assert answer(accept="").headers["Vary"] == "Accept-Encoding"
    assert "Vary" not in answer(kind="image/png").headers


def test_pages_of_the_app_are_compressed_and_the_same(client):
    plain, small = client.get("/bin"), client.get("/bin", headers={"Accept-Encoding": "gzip"})
    assert small.headers["Content-Encoding"] == "gzip"
    assert without_ids(gzip.decompress(small.data).decode()) == without_ids(plain.text)
    assert "Accept-Encoding" in small.headers["Vary"]


def without_ids(html):
    """Without what is made anew for every answer."""
    assert "op_id" in html
    return re.sub(r'name="(op_id|csrf_token)" value="[^"]+"', "", html)
