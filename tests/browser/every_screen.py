"""Every screen there is, found by asking the app for its addresses: a new page is audited without being named here."""

from __future__ import annotations

import gzip
import http.client
from dataclasses import dataclass
from urllib.parse import urlsplit

from flask import Flask

from tests.browser.shelf import Shelf

LEADS_ON = {"pages.show_job", "pages.plan"}  # these only lead to other screens of a job that has a plan


@dataclass(frozen=True, slots=True)
class Answer:
    """What a plain request got."""

    status: int
    kind: str
    sent_bytes: int  # as it goes over the air, without headers
    text: str


@dataclass(frozen=True, slots=True)
class Screen:
    """One page, in one state."""

    path: str
    html: Answer
    is_list: bool  # of hundreds: may be heavier

    @property
    def is_paper(self) -> bool:
        """Everything there is to know of a plan, to be printed."""
        return self.path.endswith("/docket")


def every_screen(app: Flask, shelf: Shelf) -> list[Screen]:
    """One screen for every address that answers with a page, then further states of some."""
    found = {}
    for endpoint, path in _addresses(app, shelf).items():
        answer = fetched(shelf.origin, path)
        if answer.status in (302, 303, 308):
            assert endpoint in LEADS_ON, f"{path} leads elsewhere: give it a state of its own, or name it in LEADS_ON"
        elif answer.kind == "text/html" and answer.status != 204:
            found[path] = answer
    found |= {path: fetched(shelf.origin, path) for path in _more_states(shelf)}
    assert {path: answer.status for path, answer in found.items() if answer.status != 200} == {}
    return [Screen(path, answer, is_list=path in _long_lists(shelf)) for path, answer in found.items()]


def fetched(origin: str, path: str) -> Answer:
    """A page as a browser asks for it, redirects not followed."""
    connection = http.client.HTTPConnection(urlsplit(origin).netloc, timeout=30)
    try:
        connection.request("GET", path, headers={"Accept-Encoding": "gzip"})
        answer = connection.getresponse()
        sent = answer.read()
        plain = gzip.decompress(sent) if answer.headers["Content-Encoding"] == "gzip" else sent
        text = plain.decode(errors="replace")
        return Answer(answer.status, answer.headers.get_content_type(), len(sent), text)
    finally:
        connection.close()


def _addresses(app: Flask, shelf: Shelf) -> dict[str, str]:
    values = {
        "job_id": shelf.van,
        "plan_id": shelf.van_plan,
        "index": 0,
        "revision": 1,
        "place": "gone.css",
        "step": "plan",
    }
    routes = app.url_map.bind("localhost")
    addresses = {}
    for rule in app.url_map.iter_rules():
        if "GET" in (rule.methods or ()):
            missing = rule.arguments - values.keys()
            assert not missing, f"{rule.rule}: say in every_screen.py what to ask for as {', '.join(missing)}"
            addresses[rule.endpoint] = routes.build(rule.endpoint, {name: values[name] for name in rule.arguments})
    return addresses


def _more_states(shelf: Shelf) -> list[str]:
    return [
        f"/jobs/{shelf.bare}/places",
        f"/jobs/{shelf.bare}/loads",
        f"/jobs/{shelf.bare}/plan",
        f"/jobs/{shelf.van}/owned?kind=cable",
        f"/plans/{shelf.stuck_plan}",
        f"/plans/{shelf.unread_plan}/cut",
        f"/plans/{shelf.unread_plan}/docket",
        f"/jobs/{shelf.crowd}/loads",
        _compared(shelf.van_plan, shelf.unread_plan, shelf.stuck_plan),
        _compared(shelf.van_plan, shelf.unread_plan, *shelf.waiting_plans),
    ]


def _compared(*plans: str) -> str:
    return "/compare?" + "&".join(f"plan={each}" for each in plans)


def _long_lists(shelf: Shelf) -> list[str]:
    """200 loads; the proof of a plan shows some four hundred checks."""
    return [f"/jobs/{shelf.crowd}/loads", f"/plans/{shelf.van_plan}/proof"]
