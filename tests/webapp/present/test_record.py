"""What a measured value says, against windows worked out by hand."""

from __future__ import annotations

import pytest

from webapp.present.record import in_unit_shown, judged
from webapp.texts import speaking


@pytest.mark.parametrize(
    ("text", "verdict"),
    [
        ("", ""),
        ("  ", ""),
        ("11.76", "within"),
        ("14.4", "within"),
        ("12,1 V", "within"),
        ("12100 mV", "within"),
        ("11.75", "below"),
        ("14.41", "above"),
        ("-12.1", "reversed"),
        ("twelve", "unreadable"),
        ("12 A", "unreadable"),
        ("1e3", "unreadable"),
    ],
)
def test_a_voltage_between_11_76_and_14_4(text, verdict):
    assert judged(text, "V", 11.76, 14.4) == verdict


@pytest.mark.parametrize("typed", ["1234567", "12345.67", "4.2"])
def test_a_length_is_shown_with_all_of_its_figures_however_long(typed):
    assert in_unit_shown(typed, "m") == typed


def test_a_stored_figure_reads_the_same_in_every_language():
    with speaking("de"):
        assert judged("12.125", "V", 12.0, 12.2) == "within"  # kept with a point; typed so, German would ask
