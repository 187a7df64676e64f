"""Words of the trade, explained in every language."""

from __future__ import annotations

import re

import pytest

from webapp import texts
from webapp.present import glossary


@pytest.mark.parametrize("code", texts.languages())
def test_every_word_is_explained_in_one_to_three_sentences(code):
    with texts.speaking(code):
        entries = glossary.entries()
    assert {entry.key for entry in entries} == glossary.TERMS
    for entry in entries:
        assert entry.word
        assert 1 <= len(re.findall(r"[.!](?= |$)", entry.meaning)) <= 3, entry


def test_keys_can_stand_in_an_address():
    assert all(re.fullmatch(r"[a-z0-9][a-z0-9-]*", key) for key in glossary.TERMS)
    assert len(glossary.TERMS) >= 40


def test_the_page_holds_every_word_at_its_key(client):
    page = client.get("/words").get_data(as_text=True)
    assert all(f'id="{key}"' in page for key in glossary.TERMS)


def test_every_page_leads_to_the_words(client):
    assert 'href="/words"' in client.get("/").get_data(as_text=True)
