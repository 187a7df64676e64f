"""catalogue/1: what is read, and every refusal with its pointer and its sentence."""

from __future__ import annotations

import math

import pytest

from optimizer.catalogue import Battery, Cable, Stage
from tests.webapp.schemas.documents import CATALOGUE, GONE, JOB, at, spoiled
from webapp.schemas import cross_faults, read_catalogue, read_job

PART = {part["id"]: f"parts/{index}" for index, part in enumerate(CATALOGUE["parts"])}


def found(document: object) -> dict[str, str]:
    reading = read_catalogue(document)
    assert (reading.value is None) == bool(reading.faults)
    return {fault.pointer: fault.message for fault in reading.faults}


def test_a_sound_catalogue_becomes_a_value():
    catalogue = read_catalogue(CATALOGUE).value
    assert catalogue is not None
    assert isinstance(catalogue.part("UP-56"), Stage)
    assert isinstance(catalogue.part("RED-6"), Cable)
    assert catalogue.get(Battery, "BAT").series_limit == 1


IMPOSSIBLE = [
    ("sellers/0/delivery_cents", -1, "at least 0"),
    ("sellers/0/delivery_cents", 5.5, "whole number"),
    ("sellers/0/lead_days", -1, "at least 0"),
    ("offers/0/price_cents", -1, "at least 0"),
    ("offers/0/price_cents", "4500", "must be a number"),
    ("offers/0/price_cents", 45.5, "whole number"),
    ("offers/0/contents/0/count", 0, "at least 1"),
    ("offers/1/contents/0/length_m", 0, "at least"),
    ("offers/2/step_m", 0, "at least"),
    ("offers/2/limit", -1, "at least 0"),
    (f"{PART['UP-56']}/in_min_v", 73, "above the highest input voltage"),
    (f"{PART['UP-56']}/efficiency", 90, "write 0.9 for 90\u00a0%"),
    (f"{PART['UP-56']}/efficiency", 0, "at least"),
    (f"{PART['UP-56']}/max_out_w", 0, "at least"),
    (f"{PART['UP-56']}/idle_w", -1, "at least"),
    (f"{PART['UP-56']}/limits_output", 1, "true or false"),
    (f"{PART['TWIN-2_5']}/mm2", 0, "at least"),
    (f"{PART['TWIN-2_5']}/cores", 3, "must be 1 or 2"),
    (f"{PART['TWIN-2_5']}/cores", True, "must be 1 or 2"),
    (f"{PART['TWIN-2_5']}/ohm_per_km_20c", 6.7, "less than pure copper"),
    (f"{PART['TWIN-2_5']}/insulation_c", 30, "leaves no room"),
    (f"{PART['TWIN-2_5']}/ampacity_a", math.nan, "finite"),
    (f"{PART['FUSE-10']}/rating_a", 0, "at least"),
    (f"{PART['FUSE-10']}/interrupt_a", 0, "at least"),
    (f"{PART['HOLD']}/max_v", 0, "at least"),
    (f"{PART['RING']}/mm2_min", 4, "above the largest"),
    (f"{PART['SPLIT']}/outlets", 0, "at least 1"),
    (f"{PART['SHRINK']}/per", "metre", "must be circuit or termination"),
    (f"{PART['SHRINK']}/each", 0, "at least"),
    (f"{PART['BAT']}/low_v", 15, "above the highest voltage"),
    (f"{PART['BAT']}/high_v", 12.5, "above the highest voltage"),
    (f"{PART['BAT']}/usable_fraction", 1.2, "more than the whole"),
    (f"{PART['BAT']}/max_parallel", 0, "at least 1"),
    (f"{PART['BAT']}/chemistry", "LiFePO4", "must be lithium or"),
    (f"{PART['BAT']}/charge_v", 10, "above the highest charging voltage"),
    (f"{PART['BAT']}/mass_kg", -1, "at least"),
    (f"{PART['KIT']}/max_parallel", 1.5, "whole number"),
    (f"{PART['KIT']}/kind", "bank kit", "must be stage or cable"),
    (f"{PART['KIT']}/kind", None, "missing"),
]


@pytest.mark.parametrize(("pointer", "value", "words"), IMPOSSIBLE)
def test_an_impossible_value_is_refused_with_the_reason(pointer, value, words):
    assert any(words in message for message in found(at(CATALOGUE, pointer, value)).values())


@pytest.mark.parametrize(
    "pointer",
    [f"{PART['UP-56']}/out_v", f"{PART['BAT']}/high_v", f"{PART['BAT']}/nominal_v"],
)
def test_more_than_60_v_dc_is_refused_with_the_reason(pointer):
    assert "above 60\u00a0V DC, our ceiling" in found(at(CATALOGUE, pointer, 60.5))[pointer]
    assert "ceiling" not in found(at(CATALOGUE, pointer, 60)).get(pointer, "")


def test_a_battery_may_stay_above_its_nominal_voltage():
    assert found(at(CATALOGUE, f"{PART['BAT']}/low_v", 13)) == {}


def test_a_stage_may_endure_more_than_60_v():
    assert found(at(CATALOGUE, f"{PART['UP-56']}/in_max_v", 140)) == {}


@pytest.mark.parametrize("side", ["in_form", "out_form"])
def test_a_stage_on_the_mains_is_refused_with_the_reason(side):
    pointer = f"{PART['UP-56']}/{side}"
    assert "mains wiring is not planned here" in found(at(CATALOGUE, pointer, "ac-mains"))[pointer]


@pytest.mark.parametrize(("field", "value"), [("efficiency", 0.99), ("idle_w", 0.1)])
def test_a_pass_through_stage_loses_nothing(field, value):
    assert (
        "passes its input voltage through"
        in found(at(CATALOGUE, f"{PART['PLUG']}/{field}", value))[f"{PART['PLUG']}/{field}"]
    )
    assert found(at(CATALOGUE, f"{PART['UP-56']}/{field}", value)) == {}


def test_a_single_cable_has_a_polarity_and_a_twin_has_none():
    assert "polarity" in found(at(CATALOGUE, f"{PART['RED-6']}/polarity", GONE))[f"{PART['RED-6']}/polarity"]
    assert "twin" in found(at(CATALOGUE, f"{PART['TWIN-2_5']}/polarity", "negative"))[f"{PART['TWIN-2_5']}/polarity"]


@pytest.mark.parametrize(("field", "value"), [("per", "circuit"), ("each", 2)])
def test_consumables_of_one_purpose_agree(field, value):
    faults = found(at(CATALOGUE, f"{PART['SHRINK-B']}/{field}", value))
    assert "heat-shrink" in faults[f"{PART['SHRINK-B']}/each"]
    assert found(spoiled(at(CATALOGUE, f"{PART['SHRINK-B']}/{field}", value), parts__10__purpose="labels")) == {}


@pytest.mark.parametrize(
    ("pointer", "value", "at_", "words"),
    [
        ("offers/0/seller", "S9", "offers/0/seller", "no seller called 'S9'"),
        ("offers/0/contents/0/part", "UP-57", "offers/0/contents/0/part", "no part called 'UP-57'"),
        ("offers/0/contents", [], "offers/0/contents", "at least one part"),
        ("offers/0/contents/0", {"part": "UP-56"}, "offers/0/contents/0", "state how many"),
        ("offers/0/contents/0", {"part": "UP-56", "count": 1, "length_m": 1}, "offers/0/contents/0", "not both"),
        ("offers/0/contents/0", {"part": "UP-56", "length_m": 1}, "offers/0/contents/0/length_m", "not a cable"),
        ("offers/1/contents/0", {"part": "RED-6", "count": 1}, "offers/1/contents/0/count", "is a cable"),
        ("offers/2/contents/1", {"part": "FUSE-10", "count": 1}, "offers/2/contents", "one cable and nothing else"),
        ("offers/2/contents/0/length_m", 1, "offers/2/contents/0/length_m", "one step of 0.5 m"),
        ("offers/0/step_m", 1, "offers/0/step_m", "only cable is sold by the metre"),
    ],
)
def test_an_offer_that_holds_nonsense_is_refused(pointer, value, at_, words):
    assert words in found(at(CATALOGUE, pointer, value))[at_]


@pytest.mark.parametrize(("name", "says"), [("sellers", "seller"), ("parts", "part"), ("offers", "offer")])
def test_two_entries_with_one_id_are_refused(name, says):
    count = len(CATALOGUE[name])
    faults = found(at(CATALOGUE, f"{name}/{count}", CATALOGUE[name][0]))
    assert f"already the id of another {says}" in faults[f"{name}/{count}/id"]


def test_a_part_of_unknown_kind_still_exists():
    assert list(found(at(CATALOGUE, f"{PART['UP-56']}/kind", "gadget"))) == [f"{PART['UP-56']}/kind"]


def test_a_price_of_nothing_is_a_price():
    assert found(at(CATALOGUE, "offers/0/price_cents", 0)) == {}


def test_a_catalogue_without_fuses_is_a_catalogue():
    parts = [part for part in CATALOGUE["parts"] if part["kind"] != "fuse"]
    assert found(spoiled(CATALOGUE, parts=parts)) == {}


def test_an_empty_catalogue_is_a_catalogue():
    assert found(spoiled(CATALOGUE, sellers=[], parts=[], offers=[])) == {}


@pytest.mark.parametrize("version", ["catalogue/2", "job/1"])
def test_another_format_is_the_only_fault(version):
    assert list(found(spoiled(CATALOGUE, format=version, parts=7))) == ["format"]


@pytest.mark.parametrize(
    ("owned", "at_", "words"),
    [
        ({"part": "TWIN-9", "length_m": 3}, "owned/0/part", "there is no part called 'TWIN-9'"),
        ({"part": "TWIN-2_5", "count": 3}, "owned/0/count", "is a cable"),
        ({"part": "FUSE-10", "length_m": 3}, "owned/0/length_m", "not a cable"),
    ],
)
def test_stock_on_hand_is_checked_against_the_catalogue(owned, at_, words):
    job, catalogue = read_job(spoiled(JOB, owned=[owned])).value, read_catalogue(CATALOGUE).value
    assert {fault.pointer: words in fault.message for fault in cross_faults(job, catalogue)} == {at_: True}


def test_sound_stock_on_hand_passes():
    assert cross_faults(read_job(JOB).value, read_catalogue(CATALOGUE).value) == ()
