"""What people type: one reading or a sentence."""

from __future__ import annotations

import math
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.schemas.typed import Untypable, awg_mm2, read

# ASTM B258, d = 0.127 mm × 92^((36 − n)/39), area π d²/4: published areas in mm²
GAUGES = [
    (18, 0.823),
    (16, 1.309),
    (14, 2.081),
    (12, 3.309),
    (10, 5.261),
    (8, 8.367),
    (6, 13.30),
    (4, 21.15),
    (2, 33.63),
    (0, 53.49),
    (-1, 67.43),
    (-3, 107.2),
]


@pytest.mark.parametrize(("gauge", "mm2"), GAUGES)
def test_gauges_have_the_published_areas(gauge, mm2):
    assert awg_mm2(gauge) == pytest.approx(mm2, rel=5e-4)


@pytest.mark.parametrize(
    ("quantity", "text", "value"),
    [
        ("length", "3,5", 3.5),
        ("length", "0,125", 0.125),
        ("length", "1.234", 1.234),
        ("length", ".5", 0.5),
        ("length", "15 ft", 4.572),  # 0.3048 m exactly
        ("length", "15ft", 4.572),
        ("length", "15'", 4.572),
        ("length", "5' 6\"", 1.6764),  # 66 in of 0.0254 m exactly
        ("length", "5 ft 6 in", 1.6764),
        ("length", "2.4 m", 2.4),
        ("length", "320 cm", 3.2),
        ("length", "320 CM", 3.2),
        ("length", "45 mm", 0.045),
        ("area", "2,5 mm²", 2.5),
        ("area", "16", 16),
        ("area", "16 mm2", 16),
        ("power", "60 W", 60),
        ("power", "60w", 60),
        ("power", "0.5 kW", 500),
        ("power", "500 mW", 0.5),
        ("current", "5 A", 5),
        ("current", "500 mA", 0.5),
        ("current", "20 000", 20000),
        ("current", "20\u202f000 A", 20000),
        ("current", "3.6 kA", 3600),
        ("voltage", "12.8V", 12.8),
        ("voltage", "24 V DC", 24),
        ("charge", "100 Ah", 100),
        ("charge", "5000 mAh", 5),
        ("resistance", "5 mΩ", 0.005),
        ("resistance", "5 mohm", 0.005),
        ("resistance", "0.05 Ω", 0.05),
        ("resistance", "0.05 \u2126", 0.05),  # the ohm sign of older keyboards
        ("temperature", "86 F", 30),
        ("temperature", "86 °F", 30),
        ("temperature", "-40 F", -40),
        ("temperature", "30 °C", 30),
        ("temperature", "−5", -5),
        ("time", "1 h 30", 1.5),
        ("time", "1h30", 1.5),
        ("time", "1:30", 1.5),
        ("time", "1 h 30 min", 1.5),
        ("time", "90 min", 1.5),
        ("time", "6,5", 6.5),
        ("seconds", "90", 90),
        ("seconds", "90 s", 90),
        ("seconds", "2 min", 120),
        ("percent", "85 %", 85),
        ("percent", "85", 85),
        ("count", "4", 4),
        ("money", "450", 450),
        ("money", "449,9", 449.9),
        ("money", "1 234.50", 1234.5),
        ("money", "0.07", 0.07),
        ("number", "1234,5678", 1234.5678),
    ],
)
def test_what_people_type_is_read(quantity, text, value):
    assert read(quantity, f" {text} ") == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("text", ["14 AWG", "14AWG", "AWG 14", "awg14"])
def test_a_gauge_is_read_as_its_area_rounded_up(text):
    assert read("area", text) == 2.081  # published, see above; the exact area is below it
    assert read("area", text) >= awg_mm2(14)


@pytest.mark.parametrize(
    ("text", "gauge"),
    [("1/0 AWG", 0), ("0 AWG", 0), ("2/0", -1), ("0000 AWG", -3), ("4/0 AWG", -3)],
)
def test_gauges_beyond_one_are_read(text, gauge):
    assert 0 <= read("area", text) - awg_mm2(gauge) <= 0.001


@given(st.integers(min_value=-3, max_value=36))
def test_a_gauge_is_never_taken_for_less_than_it_is(gauge):
    text = f"{gauge} AWG" if gauge >= 0 else f"{1 - gauge}/0 AWG"
    assert 0 <= read("area", text) - awg_mm2(gauge) <= 0.001


@pytest.mark.parametrize(
    ("quantity", "text", "words"),
    [
        ("power", "1,234", "can be read as 1.234 or as 1234"),
        ("length", "12,500 m", "can be read as 12.500 or as 12500"),
        ("power", "1,234.5", "without separators"),
        ("power", "1.234,5", "without separators"),
        ("power", "1 2 3", "without separators"),
        ("power", "1.2.3", "without separators"),
        ("power", "60 V", "is not a power"),
        ("current", "60 W", "is not a current"),
        ("length", "5 kg", "is not a length"),
        ("length", "14 AWG", "is not a length"),
        ("area", "50 AWG", "finer than any cable"),
        ("voltage", "230 V AC", "INPUT line"),
        ("voltage", "230 V~", "INPUT line"),
        ("voltage", "100-240V", "is not a DC voltage"),
        ("resistance", "5 MΩ", "is not a resistance"),  # a million ohms, not a thousandth
        ("current", "5 MA", "is not a current"),
        ("count", "2.5", "not a whole number"),
        ("money", "1,234", "in two ways"),
        ("money", "1.234", "more than two decimals"),
        ("money", "-5", "below zero"),
        ("money", "450 kg", "is not an amount"),
        ("count", "two", "is not a whole number"),
        ("power", "", "Enter a power"),
        ("power", "NaN", "is not a power"),
        ("power", "inf", "is not a power"),
        ("power", "1e5", "is not a power"),
        ("power", "6\x000", "is not a power"),
        ("power", "9" * 50, "Enter a power"),
        ("time", "1 h 75", "is not a time"),
        ("seconds", "1 h", "is not a number of seconds"),
        ("number", "5 W", "is not a number"),
    ],
)
def test_what_cannot_be_read_one_way_gets_a_sentence(quantity, text, words):
    with pytest.raises(Untypable, match=words):
        read(quantity, text)


QUANTITIES = st.sampled_from(
    ["length", "area", "power", "voltage", "temperature", "time", "seconds", "percent", "count", "number"]
)


@given(QUANTITIES, st.text(alphabet=st.sampled_from("0123456789.,:'/ -+mftWVAhFC%°Ω²awg\u00a0é\x00"), max_size=12))
def test_any_text_gives_a_finite_number_or_a_sentence(quantity, text):
    try:
        value, sentence = read(quantity, text), "read."
    except Untypable as error:
        value, sentence = 0.0, str(error)
    assert math.isfinite(value)
    assert sentence.endswith(".")
    assert not any(unicodedata.category(char) in ("Cc", "Cs") for char in sentence)


@given(st.decimals(min_value=0, max_value=100_000, places=3))
def test_a_number_as_we_write_it_reads_back(number):
    assert read("number", format(float(number), ".10g")) == float(number)
