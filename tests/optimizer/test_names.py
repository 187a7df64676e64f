"""A name in any script leaves the figures beside it as they are."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.job import Place
from optimizer.names import isolated
from tests.builders import DESK, LAMP


@pytest.mark.parametrize("name", ["", "Mast top", "Küche 2", "зима", "電気", "Ω 🎉"])
def test_name_that_is_read_from_left_to_right_stands_as_it_is(name: str) -> None:
    assert isolated(name) == name


@pytest.mark.parametrize("name", ["מקרר", "مصباح", "Mast \u202e top", "\u202b12 V", "Fridge מקרר 2"])
def test_name_that_turns_the_direction_is_closed_off(name: str) -> None:
    assert isolated(name) == f"\u2068{name}\u2069"  # UAX 9: FSI ... PDI ends whatever was opened between them
    assert replace(LAMP, name=name).label == replace(DESK, name=name).label == isolated(name)
    assert Place(id=name, run_m=1).label == isolated(name)


def test_name_cannot_end_its_own_isolation() -> None:
    assert isolated("a\u2069\u202e12") == "\u2068a\u202e12\u2069"
