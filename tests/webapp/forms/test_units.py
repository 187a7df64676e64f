"""Feet, °F and AWG: shown and typed, while what is stored stays as it is."""

from __future__ import annotations

import copy
import itertools
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp import units
from webapp.forms import limits, loads, places
from webapp.forms.fields import Spec, place_faults
from webapp.forms.reading import Unreadable, read_text, written
from webapp.present import words
from webapp.schemas import read_job
from webapp.schemas.typed import awg_mm2, read
from webapp.texts import speaking

LENGTH = Spec(name="run", label="Run", quantity="length", unit="m")
HEAT = Spec(name="heat", label="Heat", quantity="temperature", unit="°C")
AREA = Spec(name="area", label="Area", quantity="area", unit="mm²")


@pytest.fixture(autouse=True)
def american():
    units.choose(units.AMERICAN)
    yield
    units.choose(units.METRIC)


def answers_of(form):
    return {name: field.text for name, field in form.fields.items()}


def a_job(run_m=4.2, heat_c=30.0, slack_m=0.3, mm2=1.0, lead_m=0.5):
    return {
        "bus": {"nominal_v": 12, "ambient_c": heat_c},
        "places": [{"id": "P1", "name": "Desk", "run_m": run_m, "ambient_c": heat_c}],
        "loads": [
            {
                "id": "L1",
                "name": "Lamp",
                "place": "P1",
                "needs": {"form": "dc-wire", "min_v": 10, "max_v": 15},
                "peak_w": 10,
                "typical_w": 5,
                "hours_per_day": 4,
                "lead": {"kind": "cut", "length_m": lead_m},
            }
        ],
        "limits": limits.new_limits() | {"slack_m": slack_m, "min_mm2": mm2, "conductor_c": heat_c},
        "assumed": [],
    }


@settings(deadline=None)
@given(
    run_m=st.floats(0.01, 300),
    heat_c=st.floats(-40, 90),
    slack_m=st.floats(0, 5),
    mm2=st.one_of(st.just(0.0), st.floats(0.02, 240)),
    lead_m=st.floats(0.05, 20),
)
def test_saving_what_was_shown_changes_no_stored_value(run_m, heat_c, slack_m, mm2, lead_m):
    units.choose(units.AMERICAN)
    job = a_job(run_m, heat_c, slack_m, mm2, lead_m)
    before = copy.deepcopy(job)
    _, job = places.read_row(answers_of(places.row_form(job, 0)), job, 0)
    _, job = loads.read_load(answers_of(loads.edit_form(job, 0, [])), job, 0, [])
    _, job = limits.read_edit(answers_of(limits.edit_form(job)), job)
    assert job == before


def test_a_changed_value_is_stored_in_metres():
    job = a_job()
    form = places.row_form(job, 0)
    assert form["run_m"].text == "13.78"
    assert (form["run_m"].label, form["run_m"].unit) == ("Length of the run, feet", "ft")
    _, job = places.read_row(answers_of(form) | {"run_m": "15", "ambient_c": "104"}, job, 0)
    assert job["places"][0]["run_m"] == pytest.approx(4.572)
    assert job["places"][0]["ambient_c"] == pytest.approx(40)


@pytest.mark.parametrize(
    ("spec", "text", "value"),
    [
        (LENGTH, "15", 4.572),
        (LENGTH, "15 ft 6 in", 4.7244),
        (LENGTH, "4.5 m", 4.5),
        (HEAT, "86", 30),
        (HEAT, "-4", -20),
        (HEAT, "30 °C", 30),
        (AREA, "14", 2.081),
        (AREA, "1/0", 53.476),
        (AREA, "2.5 mm²", 2.5),
        (AREA, "0 mm²", 0),
    ],
)
def test_a_bare_number_has_the_unit_of_its_field_and_any_unit_is_understood(spec, text, value):
    assert read_text(spec, text) == pytest.approx(value, abs=0.001)


@pytest.mark.parametrize("text", ["0", "2.5", "99"])
def test_a_gauge_that_can_be_misread_is_refused(text):
    with pytest.raises(Unreadable):
        read_text(AREA, text)


@settings(deadline=None)
@given(st.floats(0.02, 107.2))
def test_no_gauge_is_thinner_than_its_area(mm2):
    gauge = units.gauge_at_least(mm2)
    assert read("area", gauge) >= mm2


@pytest.mark.parametrize(
    ("mm2", "gauge"),
    [(1, "17 AWG"), (2.5, "13 AWG"), (4, "11 AWG"), (6, "9 AWG"), (16, "5 AWG"), (53.4, "1/0 AWG"), (120, ""), (0, "")],
)
def test_gauges_worked_out_by_hand(mm2, gauge):
    assert units.gauge_at_least(mm2) == gauge  # ASTM B258: 9 AWG 6.63 mm², 10 AWG 5.26 mm²


@pytest.mark.parametrize("number", range(units.THICKEST, units.THINNEST + 1))
def test_a_typed_gauge_is_shown_as_itself(number):
    name = f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
    assert written(AREA, read("area", name)) == name
    assert read("area", name) >= awg_mm2(number)


def test_figures_are_shown_in_the_units_chosen():
    shown = [
        words.quantity(4.2, "m", 4),
        words.quantity(30, "°C"),
        words.quantity(6, "mm²"),
        words.signed(10, "°C"),
        words.metres(7100),
        words.quantity(12.5, "V"),
    ]
    assert [each.replace("\u00a0", " ") for each in shown] == [
        "13.78 ft",
        "86 °F",
        "6 mm² (9 AWG)",
        "+18 °F",
        "23 ft 3½ in",  # 7100 / 25.4 = 279.53 in
        "12.5 V",
    ]


def test_metric_is_as_it_was():
    units.choose(units.METRIC)
    assert words.quantity(6, "mm²").replace("\u00a0", " ") == "6 mm²"
    assert words.metres(7100).replace("\u00a0", " ") == "7.10 m"
    assert written(LENGTH, 4.2) == "4.2"


def test_every_label_that_names_a_metric_unit_has_its_twin():
    specs = itertools.chain(places.SPECS, loads.FIRST, (loads.LENGTH,), limits.SPECS)
    metric = [spec for spec in specs if spec.unit in units.SYMBOLS]
    assert metric
    assert not [spec.label for spec in metric if spec.label not in units.LABELS]


@pytest.mark.parametrize(
    ("metric", "chosen"),
    [
        ("the run is 600 m, too far; at most 500 m", "the run is 1968.5 ft, too far; at most 1640.41 ft"),  # 1640.419…
        ("the run is 0.005 m; at least 0.01 m", "the run is 0.02 ft; at least 0.04 ft"),  # 0.0328…
        ("the air is 120 °C; at most 90 °C", "the air is 248 °F; at most 194 °F"),
        ("the air is -70 °C; at least -60 °C", "the air is -94 °F; at least -76 °F"),
        ("at most 10,000 m", "at most 32808.4 ft"),
        ("2.5 mm² over 3 m at 50 °C", "2.5 mm² over 9.84 ft at 122 °F"),
        ("5 mΩ, 4 months, 3 m²", "5 mΩ, 4 months, 3 m²"),
        ("there is no place called 'Shelf 1.2.3 m'", "there is no place called 'Shelf 1.2.3 m'"),
    ],
)
def test_sentences_about_limits_are_said_as_chosen(metric, chosen):
    assert units.in_words(metric) == chosen
    units.choose(units.METRIC)
    assert units.in_words(metric) == metric


def test_what_stands_beside_a_sum_names_each_figure_once():
    text = "2 × 4.5 m × 3.3 Ω/km × 1.2 (70 °C); 4.5 m + 0.3 m; Shelf 1.2.3 m"
    assert units.beside(text) == "4.5 m = 14.76 ft · 70 °C = 158 °F · 0.3 m = 0.98 ft"
    units.choose(units.METRIC)
    assert units.beside(text) == ""


def test_german_sentences_are_read_with_their_own_signs():
    with speaking("de"):
        assert units.in_words("höchstens 10 000,5 m") == "höchstens 32810,04 ft"


def test_the_limit_that_is_said_is_taken_when_typed():
    (limit,) = re.findall(r"at most ([\d.]+) ft", units.in_words("is 11 m; at most 10 m"))
    assert read("length", f"{limit} ft") <= 10


def test_a_field_names_its_limit_in_feet():
    job = a_job()
    form, document = places.read_row({"name": "Mast", "run_m": "2000", "bundled": "2"}, job, None)
    (fault,) = [each for each in read_job_faults(document) if each.pointer == "places/1/run_m"]
    place_faults(form, [fault], at="places/1/")
    assert "is 2000 ft" in form["run_m"].error
    assert "at most 1640.41 ft" in form["run_m"].error


def test_hints_name_feet():
    panel = limits.edit_form(a_job())["panel_run_m"]
    assert panel.hint == "One way, up to 16.4\u00a0ft. Empty: 1.64\u00a0ft."


def read_job_faults(document):
    whole = {"format": "job/1", "title": "x", **document}
    return read_job(whole).faults
