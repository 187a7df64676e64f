"""How numbers and texts are written for people."""

from __future__ import annotations

import pytest

from webapp.present.words import figure, money, sentence
from webapp.texts import bound
from webapp.texts.figures import GROUP, SPACE


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("needs 1,226 Wh", f"needs 1{GROUP}226{SPACE}Wh"),
        ("9-36 V in, 12 V plug out, 30 W, grade B", f"9-36{SPACE}V in, 12{SPACE}V plug out, 30{SPACE}W, grade B"),
        ("1.5 mm², 70 °C, 10 kA", f"1.5{SPACE}mm², 70{SPACE}°C, 10{SPACE}kA"),
        ("'1,234' is not one number", "'1,234' is not one number"),  # as somebody typed it
        ("loads 1, 2 and 3 have 2 Vans", "loads 1, 2 and 3 have 2 Vans"),
        ("of 1,234,567 A", f"of 1{GROUP}234{GROUP}567{SPACE}A"),
    ],
)
def test_texts_of_others_get_our_numbers(text, written):
    assert bound(text) == written


@pytest.mark.parametrize(
    ("value", "digits", "written"),
    [(0.33468, 3, "0.335"), (1024.3, 3, f"1{GROUP}024"), (12.0, 3, "12"), (-0.05, 3, "−0.05"), (0, 3, "0")],
)
def test_figures_have_three_digits_and_never_lose_whole_ones(value, digits, written):
    assert figure(value, digits) == written


def test_money_has_two_decimals_and_a_sentence_its_full_stop():
    assert money(123_456) == f"1{GROUP}234.56"
    assert sentence("at most 8,760 h") == f"At most 8{GROUP}760{SPACE}h."
