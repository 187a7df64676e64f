"""Energy as flows: shares add up to what the checks count, bands are to one scale, today is left out where unknown."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from drawn import SVG, drawn, words_in
from systems import on_outlets, small, systems

from optimizer.checks.facts import PlanFacts
from optimizer.plan import Energy
from tests.builders import a_job
from webapp.pictures.flows import TALLEST, WIDTH, flow_view, split, today_split

SYSTEMS = systems()


def viewed(system):
    """The view of a system whose plan states the energy that the checks find."""
    return flow_view(*_stated(system))


def _stated(system):
    facts = PlanFacts(job=system.job, catalogue=system.catalogue, plan=system.plan)
    energy = Energy(average_w=facts.average_w, today_average_w=facts.today_average_w)
    return system.job, system.catalogue, replace(system.plan, energy=energy)


@pytest.mark.parametrize("name", SYSTEMS)
def test_shares_add_up_to_what_the_checks_count(name):
    job, catalogue, plan = _stated(SYSTEMS[name])
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    planned = split(facts, facts.bus_feeds, facts.ac_feeds)
    assert planned.total == pytest.approx(facts.average_w)
    assert min(planned.loads, planned.converters, planned.inverter, planned.idle, planned.wiring) >= -1e-9
    today = today_split(facts)
    assert (today is None) == (facts.today_average_w is None)
    assert today is None or today.total == pytest.approx(facts.today_average_w)


def test_shares_of_outlets_by_hand():
    """Router 18 W × 12 h / 24 h = 9 W behind an adapter of 80 % with 1 W idle all day, an inverter of 90 %, idle 6 h.

    Adapter in: ((1 + 18 / 0.8) × 12 + 1 × 12) / 24 = 12.25 W; inverter 12.25 / 0.9; idle 10 × 6 / 24 = 2.5 W.
    Lamp 12 W × 4 h / 24 h = 2 W straight, 5 % for wiring: 0.1 W.
    """
    job, catalogue, plan = on_outlets()
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    shares = split(facts, facts.bus_feeds, facts.ac_feeds)
    assert shares.loads == pytest.approx(11)
    assert shares.converters == pytest.approx(3.25)
    assert shares.inverter == pytest.approx(12.25 / 0.9 - 12.25)
    assert (shares.idle, shares.wiring) == (pytest.approx(2.5), pytest.approx(0.1))


@pytest.mark.parametrize("name", SYSTEMS)
def test_bands_are_to_one_scale_and_fill_the_battery(name):
    view = viewed(SYSTEMS[name])
    days = [day for day in (view.today, view.planned) if day]
    assert max(day.source_height for day in days) == pytest.approx(TALLEST, abs=0.01)
    for day in days:
        assert sum(ribbon.height for ribbon in day.ribbons) == pytest.approx(day.source_height, abs=0.05)


@pytest.mark.parametrize("name", SYSTEMS)
def test_labels_stand_clear_of_each_other(name):
    view = viewed(SYSTEMS[name])
    for day in (view.today, view.planned):
        boxes = [line.box for ribbon in day.ribbons for line in ribbon.lines] if day else []
        assert all(top >= above[3] for above, (_left, top, _right, _bottom) in pairwise(boxes))
        assert all(right <= WIDTH and bottom <= day.height for _left, _top, right, bottom in boxes)


def test_today_is_not_made_up():
    view = viewed(small())
    assert view.today is None
    assert "Today" not in words_in(drawn("pictures/flows", "flows", view))


def test_both_days_are_drawn_and_listed():
    view = viewed(on_outlets())
    tree = drawn("pictures/flows", "flows", view)
    assert [svg.get("role") for svg in tree.iterfind(SVG)] == ["img", "img"]
    assert all(ribbon.amount in view.planned.said for ribbon in view.planned.ribbons)
    assert [row.name for row in view.rows][-1] == "From the battery"
    assert len(tree.findall(".//tbody/tr")) == len(view.rows) == 6


@pytest.mark.parametrize(("allowance_pct", "watts", "hours"), [(6, 7, 6.5), (6, 13, 7), (8, 9, 5), (8, 30, 6)])
def test_what_is_fed_straight_loses_nothing_in_conversion(allowance_pct, watts, hours):
    """Binary fractions leave less than a femtowatt of nothing here: no share of 0.0000000000002 Wh."""
    job = a_job(limits={"wiring_allowance_pct": allowance_pct}, lamp={"typical_w": watts, "hours_per_day": hours})
    facts = PlanFacts(job=job, catalogue=small().catalogue, plan=small().plan)
    (straight,) = (feed for feed in facts.bus_feeds if not feed.feed.stages)
    assert split(facts, [straight], ()).converters == 0
