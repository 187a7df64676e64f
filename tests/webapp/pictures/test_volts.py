"""Voltage along a circuit: the figures of the checks, drawn to scale against the floor, said where it is too low."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import combinations

import pytest
from drawn import SVG, drawn
from hypothesis import given
from hypothesis import strategies as st
from systems import System, small, systems

from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from tests.optimizer.checks.twins.boosting import boosted
from webapp.pictures.volts import STEPS_PX, WIDTH, Stretch, _step, stretches, volts_view

SYSTEMS = systems()
VOLTS = st.floats(0.5, 60)


def stretches_of(system):
    facts = PlanFacts(job=system.job, catalogue=system.catalogue, plan=system.plan)
    return [list(stretches(circuit)) for circuit in facts.circuits]


def test_a_direct_circuit_by_hand():
    """21 W behind 0.1 Ω and 0.08 Ω from 11.7 V: 11.5153 V at the mast, 11.36747 V at the lamp, which needs 10 V."""
    cable, lead = stretches_of(small())[1]
    assert (cable.from_v, cable.to_v, cable.floor_v) == (11.7, pytest.approx(11.5153, abs=1e-4), pytest.approx(10.66))
    assert (lead.from_v, lead.to_v) == (cable.to_v, pytest.approx(11.36747, abs=1e-4))
    assert (lead.floor_v, lead.fed) == (10, "fed straight from the cable")


def test_a_boosted_circuit_by_hand():
    """24 V at the panel, 3 V lost in the run; the router lives on 19 V behind its converter."""
    cable, run, load = stretches_of(boosted())[0]
    assert cable.name == "Cable to the converter at the panel"
    assert (run.from_v, run.to_v) == (24, pytest.approx(21))
    assert (load.from_v, load.fed) == (19, "behind its converter")


@pytest.mark.parametrize("name", SYSTEMS)
def test_every_load_on_the_panel_is_there_once(name):
    system = SYSTEMS[name]
    loads = [stretch.name for circuit in stretches_of(system) for stretch in circuit if stretch.fed]
    fed = [system.job.load_by_id[feed.load].label for feed in system.plan.feeds if feed.source == "bus"]
    assert sorted(loads) == sorted(fed)
    for feed in system.plan.feeds:
        facts = FeedFacts(job=system.job, catalogue=system.catalogue, feed=feed)
        ends = [s.to_v for c in stretches_of(system) for s in c if s.fed and s.name == facts.load.label]
        assert facts.out_v is None or ends == [facts.behind_v]


@given(VOLTS, VOLTS, VOLTS)
def test_steps_are_to_scale_and_words_stand_clear(from_v, to_v, floor_v):
    to_v = min(from_v, to_v)
    step = _step(Stretch(name="Cable", fed="", from_v=from_v, to_v=to_v, floor_v=floor_v, holds=to_v >= floor_v))
    _x, from_y, _start, _end, to_y, _width = (float(number) for number in re.findall(r"-?[\d.]+", step.line))
    span_v = max(from_v, floor_v) - min(to_v, floor_v)
    if span_v > 1e-6:
        assert to_y - from_y == pytest.approx((from_v - to_v) / span_v * STEPS_PX, abs=0.5)
        assert step.floor_y - to_y == pytest.approx((to_v - floor_v) / span_v * STEPS_PX, abs=0.5)
    boxes = [words.box for words in step.words]
    assert not [
        (a, b) for a, b in combinations(boxes, 2) if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
    ]
    assert all(left >= 0 and right <= WIDTH and bottom <= step.height for left, _top, right, bottom in boxes)


def test_too_low_is_said_in_words():
    step = _step(Stretch(name="Cable", fed="", from_v=12, to_v=10.5, floor_v=11, holds=False))
    assert step.margin == "✕ 0.5\u00a0V too low"
    assert step.said == "Cable: from 12\u00a0V to 10.5\u00a0V, floor 11\u00a0V, ✕ 0.5\u00a0V too low"


def test_a_circuit_that_cannot_run_says_so():
    job, catalogue, plan = small()
    heavy = replace(job, loads=tuple(replace(load, peak_w=5000) for load in job.loads))
    view = volts_view(*System(heavy, catalogue, plan))
    assert [circuit.steps for circuit in view] == [(), ()]
    assert "cannot carry" in "".join(drawn("pictures/volts", "volts", view).itertext())


@pytest.mark.parametrize("name", SYSTEMS)
def test_every_step_is_drawn_and_listed(name):
    view = volts_view(*SYSTEMS[name])
    tree = drawn("pictures/volts", "volts", view)
    steps = sum(len(circuit.steps) for circuit in view)
    assert [svg.get("role") for svg in tree.iterfind(SVG)] == ["img"] * steps
    assert len(tree.findall(".//tbody/tr/td")) == 4 * steps
