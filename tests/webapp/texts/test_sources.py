"""What Python code says to people goes through the texts."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from webapp.forms import battery_fields, limits, load_fields, owned, places, searches
from webapp.forms.fields import Spec
from webapp.present.glossary import TERMS
from webapp.texts import extract

WEBAPP = Path(__file__).parents[3] / "webapp"
SAYS = {"flash": 0, "abort": 1, "Unreadable": 0, "Untypable": 0, "NotFound": 0, "Busy": 0}  # which argument people read
FOLDERS = ("forms", "present", "routes", "services")
PROGRAMS = {"api.py", "sync.py"}  # what these refuse, no person reads
FILES = [file for folder in FOLDERS for file in sorted((WEBAPP / folder).rglob("*.py")) if file.name not in PROGRAMS]
SPECS = (
    *battery_fields.FIRST,
    *battery_fields.MORE,
    *limits.SPECS,
    *load_fields.SPECS,
    *places.SPECS,
    *searches.SPECS,
    owned.PART,
    owned.COUNT,
    owned.LENGTH,
)


@cache
def known() -> frozenset[str]:
    """Every text that extraction finds."""
    ids = [message.id for message in extract.found() if message.id]
    return frozenset(text for each in ids for text in (each if isinstance(each, list | tuple) else (each,)))


def bare(source: str) -> Iterator[str]:
    """Calls that show a literal to people."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        at = SAYS.get(name)
        shown = [node.args[at]] if at is not None and len(node.args) > at else []
        shown += [each.value for each in node.keywords if name == "Fault" and each.arg == "message"]
        for each in shown:
            if isinstance(each, ast.JoinedStr) or (isinstance(each, ast.Constant) and isinstance(each.value, str)):
                yield ast.unparse(node)


def hidden(source: str) -> Iterator[str]:
    """Texts inside f-strings."""
    for outer in ast.walk(ast.parse(source)):
        for node in ast.walk(outer) if isinstance(outer, ast.JoinedStr) else ():
            is_text = isinstance(node, ast.Call) and getattr(node.func, "id", "") in extract.KEYWORDS
            if is_text and node.args and isinstance(node.args[0], ast.Constant):
                yield ast.unparse(node)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.relative_to(WEBAPP).as_posix())
def test_nothing_is_shown_that_could_not_be_translated(file):
    assert list(bare(file.read_text(encoding="utf-8"))) == []


def test_bare_words_are_found():
    assert list(bare('flash("Saved.", "done")'))
    assert list(bare('raise Unreadable(f"Not {text}")'))
    assert not list(bare('flash(_("Saved."), "done")'))


@pytest.mark.parametrize("file", sorted(WEBAPP.rglob("*.py")), ids=lambda file: file.relative_to(WEBAPP).as_posix())
def test_no_text_hides_in_an_f_string(file):
    """Extraction does not look into those before Python 3.12."""
    assert list(hidden(file.read_text(encoding="utf-8"))) == []


def test_hidden_texts_are_found():
    assert list(hidden("""f"{_('Saved.')} now" """))
    assert not list(hidden("""f"{_(CONSTANT)} now" """))


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.name)
def test_every_field_has_texts_that_extraction_finds(spec: Spec):
    words = {spec.label, spec.hint} | (set() if spec.named else {words for _, words in spec.choices})
    assert {text for text in words if any(char.isalpha() for char in text)} - {"12 V", "24 V", "48 V"} <= known()


@pytest.mark.parametrize("spec", [spec for spec in SPECS if spec.term], ids=lambda spec: spec.name)
def test_the_word_of_a_field_is_in_the_glossary(spec: Spec):
    assert spec.term in TERMS
