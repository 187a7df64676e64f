"""No template says anything that could not be translated."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

TEMPLATES = Path(__file__).parents[3] / "webapp" / "templates"
SAID = {"_", "ngettext"}
NAMES = {"url_for", "asset_url", "step_url", "field", "radios", "replace", "get", "startswith", "join"}  # take keys
SPOKEN = ("aria-label", "alt", "placeholder", "title", "content", "aria-description")
WORD = re.compile(r"[^\W\d_]{2,}")
ATTRIBUTE = re.compile(r'[a-z-]*="|"|-[a-z]+$')  # a piece of a tag that a macro writes
PROSE = re.compile(r"[A-Z][a-z]|[a-z]{2,} [a-z(]")
ALLOWED = {
    "Thriftloom",
    "Thriftloom-Keep",
    "· Thriftloom",
    "width=device-width, initial-scale=1",
    "light dark",
    "utf-8",
}
FILES = sorted(TEMPLATES.rglob("*.html"))


class Bare(HTMLParser):
    """Visible text of a template whose expressions have been taken out."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_data(self, data: str) -> None:
        self.found.append(data)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag != "meta" or ("name", "viewport") not in attrs:
            self.found += [value or "" for name, value in attrs if name in SPOKEN]


def bare_texts(source: str) -> list[str]:
    source = re.sub(r"\{#.*?#\}", "", source, flags=re.S)
    source = re.sub(r"\{\{.*?\}\}|\{%.*?%\}", "\n", source, flags=re.S)
    reader = Bare()
    reader.feed(source)
    lines = [line.strip() for text in reader.found for line in text.split("\n")]
    return [line for line in lines if WORD.search(line) and line not in ALLOWED and not ATTRIBUTE.match(line)]


def bare_strings(source: str) -> list[str]:
    """Strings inside expressions that read like prose and are no argument of `_`."""
    tree = Environment(autoescape=True).parse(source)
    shown = [*tree.find_all(nodes.Output), *tree.find_all(nodes.Macro), *tree.find_all(nodes.Assign)]
    return [
        text
        for node in shown
        for text in _strings(node)
        if PROSE.search(text) and "--" not in text and text not in ALLOWED
    ]


def _strings(node: nodes.Node) -> Iterator[str]:
    if isinstance(node, nodes.Call) and _name(node.node) in SAID | NAMES:
        return
    if isinstance(node, nodes.Const) and isinstance(node.value, str):
        yield node.value
    for child in node.iter_child_nodes():
        if not (isinstance(node, nodes.Macro) and isinstance(child, nodes.Output)):
            yield from _strings(child)


def _name(node: nodes.Node) -> str:
    return getattr(node, "name", "") or getattr(node, "attr", "")


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(TEMPLATES).as_posix())
def test_all_words_of_a_template_can_be_translated(file):
    source = file.read_text(encoding="utf-8")
    assert bare_texts(source) == []
    assert bare_strings(source) == []


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(TEMPLATES).as_posix())
def test_fields_say_their_words_through_the_field(file):
    assert not re.search(r"spec\.(label|hint|choices)", file.read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "source",
    [
        "<p>Bare words</p>",
        '<a aria-label="Bare words"></a>',
        '{{ "Bare" if x else y }}',
        '{{ more(form, "More words") }}',
    ],
)
def test_bare_words_are_found(source):
    assert bare_texts(source) or bare_strings(source)


@pytest.mark.parametrize(
    "source",
    ['<p>{{ _("Words") }}</p>', '<p class="a-b">{{ x }}</p>', '{{ url_for("pages.Some page") }}', "<p>· ×</p>"],
)
def test_what_is_translated_or_no_word_is_left_alone(source):
    assert not bare_texts(source)
    assert not bare_strings(source)
