"""What we write, people can type again: numbers on pages and in fields, in every language."""

from __future__ import annotations

import contextlib
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp import texts
from webapp.forms.fields import Spec
from webapp.forms.merging import same
from webapp.forms.reading import read_text, written
from webapp.present.words import exactly, figure, listed, metres, moment, money, quantity
from webapp.schemas import typed
from webapp.texts.figures import GROUP

CODES = st.sampled_from(texts.languages())
VALUES = st.decimals(min_value=0, max_value=999_999, places=4).map(float)
UNITS = {"voltage": "V", "current": "A", "power": "W", "charge": "Ah", "length": "m", "area": "mm²", "time": "h"}


@given(code=CODES, value=VALUES, asked=st.sampled_from(sorted(UNITS)))
def test_a_quantity_on_a_page_reads_back_as_it_stands(code, value, asked):
    with texts.speaking(code):
        shown = quantity(value, UNITS[asked], 4)
        assert quantity(typed.read(asked, shown), UNITS[asked], 4) == shown


@given(code=CODES, cents=st.integers(min_value=0, max_value=10**9))
def test_an_amount_of_money_reads_back_to_the_cent(code, cents):
    with texts.speaking(code):
        assert round(typed.read("money", money(cents)) * 100) == cents


@given(code=CODES, mm=st.integers(min_value=0, max_value=10**7))
def test_a_length_reads_back_to_the_millimetre(code, mm):
    with texts.speaking(code):
        assert round(typed.read("length", metres(mm)) * 1000) == mm


@given(
    code=CODES, value=VALUES, quantity_of=st.sampled_from([*sorted(UNITS), "number", "percent"]), share=st.booleans()
)
def test_a_field_reads_back_exactly(code, value, quantity_of, share):
    spec = Spec(name="x", label="x", quantity=quantity_of, percent=share)
    value = round(value / 100, 6) if share else value
    with texts.speaking(code):
        assert read_text(spec, written(spec, value)) == pytest.approx(value, rel=1e-9)


@given(code=CODES, cents=st.integers(min_value=0, max_value=10**9))
def test_a_field_of_money_reads_back_exactly(code, cents):
    spec = Spec(name="x", label="x", quantity="money")
    with texts.speaking(code):
        assert read_text(spec, written(spec, cents)) == cents


@given(text=st.from_regex(r"[1-9]\d{0,3}[.,]\d{1,4}", fullmatch=True), asked=st.sampled_from(["voltage", "number"]))
def test_no_text_has_two_values(text, asked):
    values = set()
    for code in texts.languages():
        with texts.speaking(code), contextlib.suppress(typed.Untypable):
            values.add(typed.read(asked, text))
    assert len(values) <= 1


@pytest.mark.parametrize(("code", "refused", "taken"), [("en", "1,234", "1.234"), ("de", "1.234", "1,234")])
def test_what_could_be_a_thousand_is_refused(code, refused, taken):
    with texts.speaking(code):
        assert typed.read("power", taken) == 1.234
        with pytest.raises(typed.Untypable, match="1234"):
            typed.read("power", refused)


def test_a_choice_is_sent_by_its_key_in_every_language():
    spec = Spec(name="x", label="x", kind="choice", choices=(("12.5", "12.5 V"),))
    with texts.speaking("de"):
        assert written(spec, 12.5) == "12.5"


def test_german_has_a_comma_and_a_narrow_space():
    a_moment = datetime(2026, 2, 7, 9, 5, tzinfo=UTC)
    with texts.speaking("de"):
        assert money(123_456) == f"1{GROUP}234,56"
        assert figure(1234.5, 5) == f"1{GROUP}234,5"
        assert (figure(-0.05), exactly(2.125)) == ("−0,05", "2,125")
        assert listed(["a", "b", "c"]) == "a, b und c"
        assert moment(a_moment).striptags() == "07.02.2026, 09:05 UTC"
    assert moment(a_moment).striptags() == "7 Feb 2026, 09:05 UTC"


def test_german_units_are_read_in_both_languages():
    for code in texts.languages():
        with texts.speaking(code):
            assert typed.read("time", "2 Stunden") == 2
            assert typed.read("time", "1 Std 30 Minuten") == 1.5
            assert typed.read("percent", "85 Prozent") == 85
            assert typed.read("area", "2,5 qmm") == 2.5


@pytest.mark.parametrize("code", texts.languages())
def test_a_page_kept_in_one_language_is_no_clash_in_another(code):
    spec = Spec(name="x", label="x", quantity="voltage")
    with texts.speaking(code):
        assert same(spec, "2.125", "2,125")
        assert same(spec, "19.5", "19,5")
        assert not same(spec, "2.125", "2125")
