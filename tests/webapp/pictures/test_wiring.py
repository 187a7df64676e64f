"""The wiring sketch: every device once, in picture and table; nothing overlaps, nothing sticks out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pytest
from drawn import SVG, drawn
from hypothesis import given, settings
from hypothesis import strategies as st
from systems import System, small, systems

from webapp.pictures.lettering import width_px, wrapped
from webapp.pictures.network import Device, Lane, Network, network_of
from webapp.pictures.wiring import HALF, WIDTH, Block, wiring_view

SYSTEMS = systems()
SIGNS = st.characters(exclude_categories=("Cc", "Cs", "Cn", "Co"), exclude_characters="\u2028\u2029")
LONG = ("Emergency handset charger beside the lower bunk, winter only, " * 2, "W" * 70, "配線" * 30, "<b>&amp;" * 9)
NAMES = st.one_of(st.text(SIGNS, min_size=1, max_size=90), st.sampled_from(LONG))
KINDS = st.sampled_from(["switch", "junction", "converter", "plug"])


@st.composite
def devices(draw, depth=0):
    """A device with what is behind it: at most as deep as plans go, one circuit branching and one converter."""
    behind = ()
    kind = "load"
    if depth < 4:
        kind = draw(KINDS)
        widest = 3 if depth in (0, 2) else 1
        behind = tuple(draw(st.lists(devices(depth=draw(st.integers(depth + 1, 4))), min_size=1, max_size=widest)))
    return Device(
        key=draw(st.uuids()).hex,
        kind=kind,
        title=draw(NAMES),
        part=draw(NAMES),
        note=draw(st.one_of(st.just(""), NAMES)),
        via=tuple(draw(st.lists(NAMES, max_size=2))),
        behind=behind,
    )


@st.composite
def networks(draw):
    def one(kind, behind=()):
        return Device(key=draw(st.uuids()).hex, kind=kind, title=draw(NAMES), part=draw(NAMES), behind=behind)

    lanes = tuple(
        Lane(id=f"C{number}", place=draw(NAMES), first=one("fuse", (draw(devices()),)))
        for number in range(1, draw(st.integers(2, 5)))
    )
    outlets = tuple(one("outlet") for _ in range(draw(st.integers(0, 3))))
    return Network(
        source=(one("battery"), one("main"), one("panel")),
        inverter=one("inverter") if outlets else None,
        outlets=outlets,
        lanes=lanes,
    )


def blocks(network: Network) -> list[Block]:
    view = wiring_view(network)
    return [view.source, *view.circuits]


def network(name: str) -> Network:
    return network_of(*SYSTEMS[name])


def overlap(one, other) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def boxes(block: Block):
    symbols = [
        (symbol.x - 14, symbol.y - HALF[symbol.kind], symbol.x + 14, symbol.y + HALF[symbol.kind])
        for symbol in block.symbols
        if symbol.kind != "panel"
    ]
    tag = [(34.0, 7.0, 34.0 + block.tag_width, 28.0)] if block.tag else []
    return [line.box for line in block.words] + symbols + tag


@settings(max_examples=40, deadline=None)
@given(networks())
def test_nothing_overlaps_or_sticks_out_whatever_the_names(made):
    for block in blocks(made):
        shapes = boxes(block)
        assert all(min(left, top) >= 0 for left, top, _right, _bottom in shapes)
        assert all(right <= WIDTH and bottom <= block.height + 1 for _left, _top, right, bottom in shapes)
        assert not [pair for pair in combinations(shapes, 2) if overlap(*pair)]


def chain_from(device: Device) -> Iterator[Device]:
    """It and everything behind it."""
    yield device
    for each in device.behind:
        yield from chain_from(each)


def devices_of(made: Network) -> list[Device]:
    """Every device once."""
    in_lanes = [device for lane in made.lanes for device in chain_from(lane.first)]
    return [*made.source, *in_lanes, *([made.inverter] if made.inverter else []), *made.outlets]


@settings(max_examples=40, deadline=None)
@given(networks())
def test_every_device_is_drawn_once_and_listed_once(made):
    expected = Counter(device.key for device in devices_of(made))
    drawn_keys = Counter(symbol.key for block in blocks(made) for symbol in block.symbols)
    drawn_keys.update(load.key for load in made.outlets)  # in words only
    assert drawn_keys == expected
    listed = Counter(edge.to for group in wiring_view(made).table for edge in group.edges)
    assert listed == Counter(device.part for device in devices_of(made)) - Counter([made.source[0].part])


@pytest.mark.parametrize("name", SYSTEMS)
def test_a_plan_has_all_its_devices(name):
    job, _catalogue, plan = SYSTEMS[name]
    counted = Counter(device.kind for device in devices_of(network(name)))
    hosts = [feed for feed in plan.feeds if feed.shares is None and feed.source == "bus"]
    assert counted["fuse"] == len(plan.circuits) + sum(feed.output_fuse is not None for feed in hosts)
    assert counted["converter"] + counted["plug"] == sum(len(feed.stages) for feed in hosts)
    assert counted["switch"] == sum(circuit.switch is not None for circuit in plan.circuits)
    assert counted["load"] + counted["outlet"] == len(job.loads)
    assert counted["battery"] == counted["main"] == counted["panel"] == 1


@pytest.mark.parametrize("name", SYSTEMS)
def test_a_plan_lays_every_cable_it_cuts(name):
    plan = SYSTEMS[name].plan
    via = [words for device in devices_of(network(name)) for words in device.via]
    laid = {(piece.circuit, piece.lead, piece.run, piece.mm) for cut in plan.cuts for piece in cut.pieces}  # pairs once
    cut = Counter(f"{piece[-1] / 1000:.2f}" for piece in laid)
    for length, times in cut.items():
        assert sum(f"{length}\u00a0m" in words for words in via) == times


def test_stages_at_the_panel_come_before_the_run():
    chain = list(chain_from(network("boosted").lanes[0].first))
    assert [device.kind for device in chain] == ["fuse", "converter", "converter", "load"]
    assert chain[1].note.startswith("at the panel")
    assert chain[2].via == ("0.5\u00a0mm² twin, 20.00\u00a0m",)


def test_loads_of_a_shared_converter_hang_on_it_alone():
    converters = [
        device for device in devices_of(network("shared")) if device.kind == "converter" and len(device.behind) > 1
    ]
    assert [load.title for load in converters[0].behind] == ["camera", "router"]
    assert len(converters) == 1


def test_we_stop_at_the_inverter():
    made = network("on_outlets")
    assert made.inverter is not None
    assert made.inverter.note == "We stop at the inverter's DC terminals."
    assert [load.title for load in made.outlets] == ["router"]
    assert "On its outlets: router." in [line.text for line in wiring_view(made).source.words]
    kinds = {symbol.kind for block in blocks(made) for symbol in block.symbols}
    assert "outlet" not in kinds
    assert network("small").inverter is None


def test_thirty_circuits_keep_their_width():
    job, catalogue, plan = small()
    many = [replace(plan.circuits[0], id=f"C{number}") for number in range(1, 31)]
    feeds = [replace(plan.feeds[0], circuit=circuit.id) for circuit in many]
    view = wiring_view(network_of(*System(job, catalogue, replace(plan, circuits=tuple(many), feeds=tuple(feeds)))))
    assert len(view.circuits) == 30
    assert view.is_many


@pytest.mark.parametrize("name", SYSTEMS)
def test_the_drawing_is_well_formed_and_says_itself(name):
    view = wiring_view(network(name))
    pictures = [svg for svg in drawn("pictures/wiring", "wiring", view).iterfind(SVG) if svg.get("role")]
    assert len(pictures) == 1 + len(view.circuits)
    assert all(svg.get("role") == "img" and svg.get("aria-label") for svg in pictures)
    rows = drawn("pictures/wiring", "wiring_table", view).findall(".//tbody/tr/td")
    assert len(rows) == 3 * sum(len(group.edges) for group in view.table)


def test_a_hostile_name_stays_a_name():
    name = '"><script>alert(1)</script><text onload=x>&amp;'
    job, catalogue, plan = small()
    loads = tuple(replace(load, name=name) for load in job.loads)
    view = wiring_view(network_of(replace(job, loads=loads), catalogue, plan))
    tree = drawn("pictures/wiring", "wiring_table", view)
    assert [cell.text for cell in tree.iterfind(".//td") if cell.text == name]
    assert drawn("pictures/wiring", "wiring", view).find(".//script") is None


@given(NAMES, st.floats(60, 300))
def test_lines_fit_their_room_and_lose_nothing(text, room):
    lines = wrapped(text, 15, room)
    assert all(width_px(line, 15) <= room or len(line) == 1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())
