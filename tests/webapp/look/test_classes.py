"""Every class that a page names has a rule: one without is a rule that got lost, or a word that nobody needs."""

from __future__ import annotations

import re
from pathlib import Path

import webapp

HOME = Path(webapp.__file__).parent
CSS = "".join(sheet.read_text() for sheet in (HOME / "static" / "css").rglob("*.css"))
CLASSES = re.compile(r'class="([^"]*)"')
PROGRAM = re.compile(r"\{\{.*?\}\}|\{%.*?%\}")
FOR_TESTS = {"bar__weave"}  # tells one rectangle from another
WHOLE = re.compile(r"[a-z][\w-]*[a-z0-9]")


def test_every_class_of_a_page_has_a_rule():
    ruled = set(re.findall(r"\.([a-z][\w-]*)", CSS))
    lost = {
        f"{page.name}: {name}"
        for page in (HOME / "templates").rglob("*.html")
        for names in CLASSES.findall(page.read_text())
        for name in PROGRAM.sub(" ", names).split()
        if WHOLE.fullmatch(name) and name not in ruled | FOR_TESTS
    }
    assert lost == set()
