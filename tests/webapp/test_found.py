"""Finding one of many by its name."""

from __future__ import annotations

import pytest

from webapp.found import holds_words


@pytest.mark.parametrize(
    ("name", "words", "is_found"),
    [
        ("Ölhafen, mast", "öLHAF", True),  # beyond ASCII too
        ("Ölhafen, mast", "mast öl", True),  # in any order
        ("Ölhafen, mast", "mast weir", False),  # all of them
        ("Straße 5", "STRASSE", True),
        ("Ölhafen, mast", " ", True),
        ("", "mast", False),
    ],
)
def test_a_name_is_found_by_all_of_its_words(name, words, is_found):
    assert holds_words(name, words) == is_found
