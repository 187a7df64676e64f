"""What inputs declare: read from the definition of a job, and in the words and units of whoever types."""

from __future__ import annotations

import math

import pytest

from webapp import texts, units
from webapp.forms import battery_fields, limits, load_fields, owned, places
from webapp.forms.fields import Field, Spec
from webapp.forms.reading import Unreadable, read_text
from webapp.schemas import ranges
from webapp.schemas.declared import declared
from webapp.schemas.fields import Quantity

MODULES = (battery_fields, limits, load_fields, owned, places)
HELD = [value for module in MODULES for value in vars(module).values()]
SPECS = [each for value in HELD for each in (value if isinstance(value, tuple) else (value,)) if isinstance(each, Spec)]
NUMBERS = sorted({each.pointer: each for each in SPECS if each.kind == "number" and each.pointer}.items())
TEXTS = [battery_fields.TITLE, places.NAME, *(each for each in load_fields.FIRST if each.kind == "text")]


def takes(spec: Spec):
    return Field(spec=spec).takes


@pytest.mark.parametrize(("pointer", "spec"), NUMBERS, ids=[pointer for pointer, _spec in NUMBERS])
def test_a_number_declares_what_its_definition_allows(pointer, spec):
    """Read back as typed text, each end is allowed and nothing beyond it."""
    field = declared(pointer)
    assert isinstance(field, Quantity)
    least, most = (float(read_text(spec, end)) for end in (takes(spec).least, takes(spec).most))
    assert field.bounds.problem(least) is None
    assert field.bounds.problem(most) is None
    assert field.bounds.problem(math.nextafter(least, -math.inf)) is not None
    assert field.bounds.problem(math.nextafter(most, math.inf)) is not None


def test_there_are_numbers_to_look_at():
    assert len(NUMBERS) > 30


def test_a_range_is_said_as_it_is_typed():
    assert takes(places.RUN).span == "From 0.01 to 500\u00a0m."
    with texts.speaking("de"), units.counting_in(units.AMERICAN):
        feet = takes(places.RUN)
    assert feet.span == "Von 0,03 bis 1640,42\u00a0ft."
    assert (feet.least, feet.most) == ("0.03", "1640.42")  # for scripts, always with a point


def test_gauges_count_the_other_way_and_declare_no_range():
    (thinnest,) = [spec for pointer, spec in NUMBERS if pointer == "limits/min_mm2"]
    with units.counting_in(units.AMERICAN):
        assert takes(thinnest).span == ""


def test_what_must_not_be_cut_short_is_not():
    assert takes(places.NAME).most_chars == ranges.NAME_CHARS
    (output,) = [spec for spec in load_fields.add_specs({"places": []}) if spec.name == "output"]
    assert takes(output).most_chars == 0


@pytest.mark.parametrize("spec", TEXTS, ids=[spec.label for spec in TEXTS])
def test_a_text_may_be_as_long_as_its_document_holds(spec):
    longest = "x" * declared(spec.pointer).most
    assert read_text(spec, longest) == longest
    with pytest.raises(Unreadable, match=f"Keep this to {len(longest)} characters"):
        read_text(spec, longest + "x")


def test_an_optional_field_may_hold_spaces():
    assert takes(battery_fields.TITLE).pattern == ""
    assert takes(places.NAME).pattern
    assert takes(places.AMBIENT).pattern.startswith(r"\s*|")
    assert takes(places.RUN).instead == "Enter a length, such as 2.4\u00a0m, 320\u00a0cm or 15\u00a0ft."
