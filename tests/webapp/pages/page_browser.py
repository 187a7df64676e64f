"""A browser without JavaScript: reads a page's forms, fills them in and sends them as a phone would."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

CASES = Path(__file__).parents[2] / "cases"
VOID = {"input", "meta", "link", "br", "path", "rect", "line"}


def read_case(name: str) -> dict[str, Any]:
    """Documents of a case, by its name."""
    document: dict[str, Any] = json.loads((CASES / f"{name}.json").read_text())
    return document


def plain(text: str) -> str:
    """Text with every kind of space as one plain space."""
    return " ".join(text.split())


@dataclass
class SentForm:
    """A form of a page: where it goes, and what it would send."""

    action: str
    method: str
    values: list[tuple[str, str]] = field(default_factory=list)
    choices: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[tuple[str, str, str]] = field(default_factory=list)  # name, value, words


class PageReader(HTMLParser):
    """What the tests look at in a page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.forms: list[SentForm] = []
        self.links: list[tuple[str, str]] = []
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self._select: str | None = None
        self._taken = False
        self._words: list[str] | None = None
        self._outside: SentForm | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        self.tags.append((tag, at))
        if tag not in VOID:
            self.open.append(tag)
        if tag == "form":
            self.forms.append(SentForm(at.get("action", ""), at.get("method", "get")))
        elif tag in ("a", "button"):
            self._words = []
        self._control(tag, at)

    def _control(self, tag: str, at: dict[str, str]) -> None:
        if not self.forms or "form" not in self.open:
            return
        form = self.forms[-1]
        if tag == "input" and (at.get("type") not in ("checkbox", "radio") or "checked" in at):
            form.values.append((at["name"], at.get("value", "")))
        if tag == "input" and at.get("type") == "radio":
            form.choices.setdefault(at["name"], []).append(at["value"])
        if tag == "select":
            self._select, self._taken = at["name"], False
            form.values.append((at["name"], ""))
        if tag == "option" and self._select:
            form.choices.setdefault(self._select, []).append(at["value"])
            if "selected" in at or not self._taken:
                form.values[-1] = (self._select, at["value"])
                self._taken = True
        if tag == "button":
            form.buttons.append((at.get("name", ""), at.get("value", ""), ""))

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1:] == [tag], f"</{tag}> closes {self.open[-3:]}"
        self.open.pop()
        if tag == "select":
            self._select = None
        if tag == "a" and self._words is not None:
            href = next(at.get("href", "") for name, at in reversed(self.tags) if name == "a")
            self.links.append((href, "".join(self._words).strip()))
        if tag == "button" and self._words is not None and "form" in self.open and self.forms[-1].buttons:
            name, value, _ = self.forms[-1].buttons[-1]
            self.forms[-1].buttons[-1] = (name, value, plain("".join(self._words)))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        self.text.append(data)
        if self._words is not None:
            self._words.append(data)


@dataclass
class Page:
    """An answer as a person sees it."""

    status: int
    path: str
    html: str

    def __post_init__(self) -> None:
        self.reader = PageReader()
        self.reader.feed(self.html)
        self.reader.close()

    @property
    def words(self) -> str:
        return plain(" ".join(self.reader.text))

    def form(self, button: str) -> SentForm:
        """The form that holds a button with these words."""
        return next(form for form in self.reader.forms if any(button == words for *_, words in form.buttons))

    def tagged(self, name: str) -> list[dict[str, str]]:
        return [at for tag, at in self.reader.tags if tag == name]


def assert_sound(page: Page) -> None:
    """What every page keeps to."""
    tags = page.reader.tags
    assert not page.reader.open, page.reader.open
    assert sum(tag == "h1" for tag, _ in tags) == 1
    assert sum(tag == "title" for tag, _ in tags) == 1
    assert not [at for tag, at in tags if tag == "style" or "style" in at]
    assert not [at for tag, at in tags if tag == "script" and "src" not in at]
    assert not [name for _, at in tags for name in at if name.startswith("on")]
    doubled = [one for one, number in Counter(at["id"] for _, at in tags if "id" in at).items() if number > 1]
    assert not doubled
    _assert_labelled(tags)


def _assert_labelled(tags: list[tuple[str, dict[str, str]]]) -> None:
    ids = {at["id"] for _, at in tags if "id" in at}
    labelled = {at["for"] for tag, at in tags if tag == "label" and "for" in at}
    for tag, at in tags:
        if tag in ("input", "select") and at.get("type") not in ("hidden", "checkbox", "radio"):
            assert at["id"] in labelled, at
        for name in at.get("aria-describedby", "").split():
            assert name in ids, name


class Browser:
    """Keeps cookies through Flask's client; follows redirects after a form as browsers do."""

    def __init__(self, client: Any) -> None:
        self.client = client
        self.page: Page = Page(0, "", "")
        self.headers: Any = {}

    def open(self, path: str) -> Page:
        return self._arrived(self.client.get(path, follow_redirects=True))

    def send(self, button: str, /, **answers: str | None) -> Page:
        """Press a button. An answer of None leaves its box unticked or its field out."""
        form = self.page.form(button)
        values: dict[str, Any] = dict(form.values)
        for several in ("shown", "variant"):
            sent = [value for name, value in form.values if name == several]
            values |= {several: sent} if sent else {}
        for name, value in answers.items():
            if value is None:
                values.pop(name, None)
            else:
                values[name] = value
        name, value, _ = next(each for each in form.buttons if each[2] == button)
        if name:
            values[name] = value
        action = form.action or self.page.path
        return self._arrived(self.client.post(action, data=values, follow_redirects=True))

    def _arrived(self, answer: Any) -> Page:
        self.headers = answer.headers
        self.page = Page(answer.status_code, answer.request.path, answer.get_data(as_text=True))
        assert_sound(self.page)
        return self.page
