"""Translating: values, plurals, and what happens where a translation is missing."""

from __future__ import annotations

import pytest

from webapp import texts
from webapp.texts.figures import GROUP, SPACE

GERMAN = """
msgid ""
msgstr ""
"Content-Type: text/plain; charset=UTF-8\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

msgid "Removed: %(called)s."
msgstr "Entfernt: %(called)s."

msgid "5 % is usual"
msgstr "5 % sind üblich"

msgid "%(num)s load"
msgid_plural "%(num)s loads"
msgstr[0] "%(num)s Verbraucher allein"
msgstr[1] "%(num)s Verbraucher"
"""


@pytest.fixture
def german(tmp_path, monkeypatch):
    (tmp_path / "de.po").write_text(GERMAN, encoding="utf-8")
    monkeypatch.setattr(texts, "_FOLDER", tmp_path)
    texts._catalogue.cache_clear()
    with texts.speaking("de"):
        yield
    texts._catalogue.cache_clear()


def test_a_text_is_said_in_the_language_spoken(german):
    assert texts._("Removed: %(called)s.", called="Router") == "Entfernt: Router."


def test_a_text_without_values_keeps_its_per_cent_signs(german):
    assert texts._("5 % is usual") == "5\u00a0% sind üblich"


def test_plural_forms_follow_the_number(german):
    said = [texts.ngettext("%(num)s load", "%(num)s loads", number) for number in (1, 2)]
    assert said == ["1 Verbraucher allein", "2 Verbraucher"]


def test_what_is_not_translated_is_said_in_english(german):
    assert texts._("Added: %(called)s.", called="Fan") == "Added: Fan."


def test_an_unknown_language_is_english(german):
    with texts.speaking("xx"):
        assert texts._("5 % is usual") == "5\u00a0% is usual"
    assert texts.language() == "de"


@pytest.mark.parametrize(
    ("code", "text", "said"),
    [
        ("en", "over 50 V, 20,000 A at 30 °C in 5 % of 90 min", "over 50~V, 20^000~A at 30~°C in 5~% of 90~min"),
        ("de", "über 50 V, 20 000 A", "über 50~V, 20^000~A"),
        ("en", "in 2 hours, or 14 AWG × 3.5 mm²", "in 2 hours, or 14~AWG ×~3.5~mm²"),
        ("en", "a fuse of 10 × 38 mm", "a fuse of 10~×~38~mm"),
        ("en", "a fuse of 3 Alpine", "a fuse of 3 Alpine"),
    ],
)
def test_a_number_of_a_text_stays_with_its_unit(code, text, said):
    with texts.speaking(code):
        assert texts._(text) == said.replace("~", SPACE).replace("^", GROUP)


def test_so_does_the_place_of_a_number_and_what_goes_there_is_left_alone():
    said = texts._(
        "%(volts)s V, %(share)s %% of %(name)s %(other)s", volts=9, share=5, name="a 12 V lamp", other="m 1 V"
    )
    assert said == f"9{SPACE}V, 5{SPACE}% of a 12 V lamp m 1 V"
    assert texts.ngettext("%(num)s × %(part)s", "%(num)s × %(part)s", 2, part="Fan") == f"2{SPACE}× Fan"
