"""Every text is there in every language, says the same values, and none is left over."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest

from webapp.texts import extract

FILES = sorted(extract.FOLDER.glob("*.po"))
HOLE = re.compile(r"%\(\w+\)s|%%|\{\w+\}")
LETTER = re.compile(r"[^\W\d_]")

by_language = pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)


@cache
def asked() -> list[tuple[str, ...]]:
    """Every text of the source."""
    return [_forms(message.id) for message in extract.found() if message.id]


def messages(file) -> Iterator[tuple[tuple[str, ...], tuple[str, ...], bool]]:
    """The forms of every source text, those of its translation, and whether nobody has confirmed it."""
    for message in extract.stored(file):
        if message.id:
            yield _forms(message.id), _forms(message.string), message.fuzzy


def _forms(text) -> tuple[str, ...]:
    return tuple(text) if isinstance(text, list | tuple) else (text,)


def test_there_is_a_second_language():
    assert "de" in [file.stem for file in FILES]


@by_language
def test_every_text_is_translated(file):
    told = {source for source, said, fuzzy in messages(file) if all(said) and not fuzzy}
    assert len(asked()) > 500  # the texts were found at all
    assert [text for text in asked() if text not in told] == []


@by_language
def test_no_translation_is_left_over(file):
    assert [source for source, _, _ in messages(file) if source not in set(asked())] == []


@by_language
def test_translations_have_the_holes_of_their_text(file):
    """A singular may do without its number."""
    wrong = []
    for source, said, _ in messages(file):
        holes = set(HOLE.findall(source[-1]))
        least = holes - {"%(num)s"} if len(source) > 1 else holes
        wrong += [text for text in said if not least <= set(HOLE.findall(text)) <= holes]
    assert wrong == []


@by_language
def test_translations_end_as_their_text_does(file):
    """A sentence stays a sentence, a label a label; space around a text stays."""
    wrong = []
    for source, said, _ in messages(file):
        for text in said:
            same_end = (source[0][-1] in ".:?!") == (text[-1:] in (".", ":", "?", "!"))
            if not same_end or text != text.strip() or bool(LETTER.search(source[0])) != bool(LETTER.search(text)):
                wrong.append((source[0], text))
    assert wrong == []


@by_language
def test_the_file_is_as_the_command_writes_it(file, tmp_path):
    copy = tmp_path / file.name
    copy.write_bytes(file.read_bytes())
    assert extract.bring_up_to_date(copy) == []
    assert copy.read_bytes() == file.read_bytes()


def test_a_missing_translation_is_named_and_ends_the_command(tmp_path, monkeypatch, capsys):
    (tmp_path / "de.po").write_text('msgid ""\nmsgstr ""\n"Language: de\\n"\n', encoding="utf-8")
    monkeypatch.setattr(extract, "FOLDER", tmp_path)
    assert extract.main() == 1
    assert "not translated: Skip to the page" in capsys.readouterr().err


def test_a_translation_that_was_there_is_kept_and_an_old_one_goes(tmp_path):
    file = tmp_path / "de.po"
    kept, gone = ('msgid "Jobs"\nmsgstr "Aufträge"\n', 'msgid "Nobody says this"\nmsgstr "Weg damit"\n')
    file.write_text(f"{kept}\n{gone}", encoding="utf-8")
    missing = extract.bring_up_to_date(file)
    assert "Jobs" not in missing
    assert "Weg damit" not in file.read_text(encoding="utf-8")
