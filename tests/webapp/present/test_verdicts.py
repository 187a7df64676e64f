"""Whether the battery suits a load, with both numbers."""

from __future__ import annotations

import pytest

from webapp.present.verdicts import SLOTS, verdict, verdicts

BUS = {"low_v": 11.5, "high_v": 14.4}


def needs(min_v, max_v, form="dc-plug"):
    return {"min_v": min_v, "max_v": max_v, "form": form}


@pytest.mark.parametrize(
    ("load", "state", "reason"),
    [
        pytest.param(needs(9, 36), "direct", "11.5 to 14.4 V lie within its 9 to 36 V", id="wide"),
        pytest.param(needs(11.5, 14.4), "direct", "11.5 to 14.4 V lie within its 11.5 to 14.4 V", id="just"),
        pytest.param(needs(10.8, 13.2), "high", "14.4 V on charge is over 13.2 V", id="on charge"),
        pytest.param(needs(12, 15), "low", "11.5 V when nearly down is under 12 V", id="nearly down"),
        pytest.param(needs(18.5, 20.5), "low", "under 18.5 V", id="above the bank"),
        pytest.param(needs(11.6, 14.3), "both", "14.4 V on charge is over 14.3 V, 11.5 V when", id="both"),
        pytest.param(needs(4.75, 21, "usb-c"), "part", "its socket does not", id="another socket"),
        pytest.param(needs(4.75, 13, "usb-c"), "high", "over 13 V", id="volts come first"),
    ],
)
def test_a_verdict_has_its_numbers(load, state, reason):
    found = verdict(BUS, load)
    assert found.state == state
    assert reason in found.reason.replace("\u00a0", " ")


def test_every_verdict_has_a_word_and_a_shape():
    assert all(each.words and each.shape for each in verdicts())


def test_verdicts_to_fill_in_say_the_same_as_finished_ones():
    for load in (needs(9, 36), needs(10.8, 13.2), needs(12, 15), needs(11.6, 14.3), needs(5, 21, "usb-c")):
        whole = verdict(BUS, load)
        open_one = next(each for each in verdicts() if each.state == whole.state)
        figures = {"min": load["min_v"], "max": load["max_v"], "low": BUS["low_v"], "high": BUS["high_v"]}
        assert "".join(f"{figures[slot]:g}" if slot else text for text, slot in open_one.pieces) == whole.reason
        assert {slot for _, slot in open_one.pieces} <= {"", *SLOTS}
