"""The figures that a part bought in another's place has to reach."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.catalogue import Cable, Catalogue, Content, Fuse, Offer, Seller, Stage, Switch, Terminal
from tests.builders import a_catalogue, a_plan
from webapp import units
from webapp.present.must_be import must_be, part_must_be
from webapp.present.shopping import seller_views

FUSE = Fuse(id="f", name="Fuse 10", style="blade-regular", rating_a=10, max_v=58, interrupt_a=2000)
TWIN = Cable(id="c", mm2=2.5, cores=2, ohm_per_km_20c=7.98, ampacity_a=24, insulation_c=90)
PLUS = Cable(id="p", mm2=4, cores=1, polarity="positive", ohm_per_km_20c=4.95, ampacity_a=30, insulation_c=70)
CONVERTER = Stage(
    id="s",
    in_form="dc-wire",
    in_min_v=9,
    in_max_v=36,
    out_form="dc-plug",
    out_v=19.5,
    max_out_w=90,
    efficiency=0.9,
    idle_w=0.1,
)


def plain(text):
    return text.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize(
    ("part", "figures"),
    [
        pytest.param(FUSE, ("10 A exactly", "58 V DC or more", "break 2 000 A or more", "Blade fuse"), id="fuse"),
        pytest.param(TWIN, ("copper, 2.5 mm² exactly", "twin", "90 °C or more", "24 A or more"), id="twin"),
        pytest.param(PLUS, ("single, for +",), id="single"),
        pytest.param(CONVERTER, ("9 to 36 V DC in", "19.5 V out", "round DC plug", "90 W or more"), id="converter"),
        pytest.param(Switch(id="w", max_a=20, max_v=32), ("20 A or more at 32 V DC", "AC rating"), id="switch"),
        pytest.param(Terminal(id="t", mm2_min=4, mm2_max=4), ("for copper of 4 mm²",), id="terminal"),
        pytest.param(Terminal(id="t", mm2_min=1.5, mm2_max=2.5), ("1.5 to 2.5 mm²",), id="terminal of a range"),
    ],
)
def test_it_names_the_ratings_with_their_units(part, figures):
    said = plain(part_must_be(part))
    assert [figure for figure in figures if figure not in said] == []


def test_cable_by_the_metre_is_counted_in_the_units_of_its_steps():
    rows = {row.offer: row for seller in seller_views(a_catalogue(), a_plan()) for row in seller.rows}
    assert plain(rows["o-twin1"].quantity) == "2 m"
    with units.counting_in(units.AMERICAN):
        rows = {row.offer: row for seller in seller_views(a_catalogue(), a_plan()) for row in seller.rows}
    assert plain(rows["o-twin1"].pack) == "by the metre, in steps of 1.64 ft"
    assert plain(rows["o-twin1"].quantity) == "6.5617 ft"


def test_only_a_converter_that_limits_its_output_asks_for_that():
    unlimited = replace(CONVERTER, limits_output=False)
    assert "limiting" in part_must_be(CONVERTER)
    assert "limiting" not in part_must_be(unlimited)


def test_a_kit_names_each_of_its_parts():
    kit = Offer(id="o", seller="s", price_cents=1, contents=(Content(part="f", count=2), Content(part="c", length_m=5)))
    seller = Seller(id="s", name="S", delivery_cents=0)
    lines = must_be(Catalogue(sellers=(seller,), parts=(FUSE, TWIN), offers=(kit,)), kit)
    assert [line.split(":")[0] for line in lines] == ["Fuse 10", "c"]
