"""Where there is no plan although converters may stand at the panel or serve several loads: bounds, reasons, ways out.

The router of tests/builders.py stands 60 m away. A short there drives 12 V / (0.015 Ω + 0.605 Ω) = 19 A, less than 5
times any fuse, so no circuit is laid there: a converter at the panel is the only way, over 60.5 m of 4 mm², 0.605 Ω of
the 1.5 Ω that it may have. It takes (1 + 22/0.96 + 1 + 2/0.96) / 2 = 13.5 W on average, the lamp 2 W: 16.275 W in all.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from optimizer.catalogue import Catalogue
from optimizer.changes import changed
from optimizer.frugal import least_average_w, least_peak_a
from optimizer.holds import with_holds
from optimizer.job import Job, Needs, Owned
from optimizer.near_misses import stuck_loads
from optimizer.near_parts import part_knobs
from optimizer.plan import Change, Cut, Piece, Plan
from optimizer.planner import plan
from optimizer.shortfalls import drop_misses, fails_alone
from optimizer.solve.instance import build
from optimizer.solving import Instances
from tests.optimizer.checks.twins import boosting, sharing
from tests.optimizer.checks.twins.boosting import FUSE7, THIN, UP24
from tests.optimizer.checks.twins.twin import bought
from tests.optimizer.tiny import freed

Fields = dict[str, Any]
FAR: Fields = {"run_m": 60}


def far(limits: Fields | None = None, **changes: Any) -> Job:
    reel = Owned(part="twin4", length_m=61)
    return replace(boosting.job(desk=FAR, limits={"far_fault_multiple": 5} | (limits or {}), **changes), owned=(reel,))


def parts(*without: str) -> Catalogue:
    stages = tuple(part for part in (UP24, THIN, FUSE7) if part.id not in without)
    return boosting.a_catalogue(*stages, offers=tuple(bought(part.id) for part in stages))


# -- a load that only a converter at the panel serves -----------------------------------------------------------------


def test_it_is_planned_and_is_neither_stuck_nor_failing() -> None:
    instance = build(far(), parts())
    router = instance.job.load_by_id["router"]
    assert (instance.options["router"], len(instance.boosted["router"])) == ([], 1)
    assert not instance.is_stuck(router)
    assert not fails_alone(instance, router)
    assert list(stuck_loads(instance)) == list(part_knobs(instance.job, instance)) == drop_misses(instance) == []
    assert plan(far(), parts()).status == "optimal"


def test_it_is_stuck_where_that_is_not_allowed() -> None:
    (reason,) = plan(far({"boost_at_panel": False}), parts()).reasons
    assert (reason.rule, reason.subject) == ("feed", "load router")


def test_energy_counts_its_feed_and_names_the_hours_that_last() -> None:
    """240 Wh / 16.275 W = 14.7 h."""
    answer = plan(far(existing={"capacity_ah": 50}), parts())
    (reason,) = answer.reasons
    assert reason.rule == "autonomy"
    assert "391 Wh even with the most frugal feeds (16.3 W on average)" in reason.text
    ways = {way.limit: way for way in answer.ways_out}
    assert ways["autonomy_h"].text == "Autonomy of 14.5 h instead of 24 h"
    assert ways["autonomy_h"].least


def test_peak_counts_its_feed() -> None:
    """51 W / 11.7 V, and the lamp's 21 W behind 0.02 Ω: (11.7 + √(136.89 − 1.68)) / 2 = 11.66399 V, 1.80042 A."""
    assert least_peak_a(build(far(), parts())) == pytest.approx(51 / 11.7 + 1.80042, abs=1e-4)
    (reason,) = plan(far(existing={"max_discharge_a": 6}), parts()).reasons
    assert reason.rule == "bank_peak"
    assert "at least 6.2 A" in reason.text


def test_its_circuit_takes_a_fuse_way() -> None:
    (reason,) = plan(far(bus={"spare_ways": 1}), parts()).reasons
    assert reason.rule == "ways_and_holders"
    assert "at least 2 circuits" in reason.text


def test_fuse_of_the_circuit_at_the_panel_is_named() -> None:
    """51 W at 10.2 V: 5 A, 1.25 times that is 6.25 A, and only 5 A is on offer."""
    answer = plan(far(), parts("fuse7.5"))
    (reason,) = answer.reasons
    assert reason.subject == "load router"
    assert "through a converter at the panel needs a fuse of at least 6.25 A" in reason.text


def test_drop_up_to_the_converter_at_the_panel_is_named() -> None:
    """It takes 9 V at least, and 51 W / 9 V = 5.667 A over 2 × 5.5 m × 5 Ω/km lose 0.312 V of the 9.3 V there are."""
    lamp: Fields = {"needs": Needs(form="dc-wire", min_v=6, max_v=15)}
    (reason,) = plan(far({"panel_run_m": 5}, bus={"low_v": 9.3}, lamp=lamp), parts()).reasons
    says = "Router at desk, through a converter at the panel: 5.7 A over 5.5 m loses 0.31 V even with 4 mm²"
    assert (reason.subject, reason.rule) == ("load router", "drop_at_floor")
    assert says in reason.text


# -- the freedoms as ways out -----------------------------------------------------------------------------------------


def test_converter_at_the_panel_is_a_way_out_where_none_is_allowed() -> None:
    ways = {way.limit: way for way in plan(far({"boost_at_panel": False}), parts()).ways_out}
    way = ways["boost_at_panel"]
    assert way.change == (Change(pointer="limits/boost_at_panel", value=True),)
    assert (way.total_cents, way.status) == (plan(far(), parts()).total_cents, "optimal")
    assert way.text.startswith("Allow a converter at the panel")


def test_no_such_way_out_where_it_does_not_help() -> None:
    ways = plan(far({"boost_at_panel": False}), parts("up24")).ways_out
    assert not any(way.limit == "boost_at_panel" for way in ways)


def test_one_converter_for_two_loads_is_a_way_to_keep_a_budget() -> None:
    shared: Fields = {"router": {"peak_w": 26}, "existing": {"capacity_ah": 300}, "bus": {"spare_ways": 3}}
    dear, cheap = (
        plan(sharing.job(limits={"share_stages": on}, **shared), sharing.catalogue()) for on in (False, True)
    )
    assert dear.total_cents is not None
    assert cheap.total_cents is not None
    assert cheap.total_cents < dear.total_cents
    limits = {"share_stages": False, "budget_cents": cheap.total_cents}
    ways = {way.limit: way for way in plan(sharing.job(limits=limits, **shared), sharing.catalogue()).ways_out}
    assert (ways["share_stages"].total_cents, ways["share_stages"].least) == (cheap.total_cents, True)


# -- bounds and instances ---------------------------------------------------------------------------------------------

SEEDS = [("boost", seed) for seed in (0, 2, 8, 18)] + [("share", seed) for seed in (4, 32, 87, 130, 152)]


@pytest.mark.parametrize(("freedom", "seed"), SEEDS)
def test_no_plan_draws_less_than_the_bounds(freedom: str, seed: int) -> None:
    job, catalogue = freed(seed, **{freedom: True})
    found, instance = plan(job, catalogue), build(job, catalogue)
    assert found.bank is not None
    assert least_average_w(instance) <= found.bank.average_w + 1e-3


def test_switched_loads_on_one_chain_idle_once() -> None:
    """Router of 18 W and camera on one converter, 20 h each: that idles 24 h, not 40 h, and the bound knows."""
    switched: Fields = {"switch": True, "hours_per_day": 20}
    router = switched | {"peak_w": 26}
    job, catalogue = sharing.job(switched, router=router, existing={"capacity_ah": 300}), sharing.catalogue()
    found = plan(job, catalogue)
    assert found.bank is not None
    assert [feed.shares for feed in found.feeds].count("camera") == 1
    camera_w = job.load_by_id["camera"].typical_w
    assert found.bank.average_w == pytest.approx(1.05 * (2 + (18 + camera_w) / 0.9 * 20 / 24 + 2), abs=1e-3)
    assert least_average_w(build(job, catalogue)) == pytest.approx(found.bank.average_w - 1.05 * 2 * 4 / 24, abs=1e-3)


@pytest.mark.parametrize("seed", [0, 2, 8])
@pytest.mark.parametrize(
    ("pointer", "value"),
    [("limits/autonomy_h", 7.5), ("loads/0/hours_per_day", 0.5), ("loads/0/drop_pct", 9.5), ("limits/drop_pct", 9)],
)
def test_instance_of_a_changed_job_has_the_boosted_feeds_of_a_full_build(seed: int, pointer: str, value: float) -> None:
    job, catalogue = freed(seed, boost=True, share=True)
    bent = changed(job, [Change(pointer=pointer, value=value)])
    quick, full = Instances(build(job, catalogue), catalogue).of(bent), build(bent, catalogue)
    assert any(full.boosted.values())
    assert (quick.options, quick.boosted) == (full.options, full.boosted)
    assert (quick.panel_pairs, quick.boost_runs) == (full.panel_pairs, full.boost_runs)


# -- how far a boosted run holds --------------------------------------------------------------------------------------


def test_boosted_run_holds_up_to_its_drop_and_its_own_piece() -> None:
    """20 % of 24 V are lost at 42 W / 19.2 V = 2.1875 A: 2.1943 Ω, 29.257 m of 75 mΩ/m, 0.5 m of it slack."""
    spool = Cut(
        part="twin0.5",
        offer="o-thin",
        unit=0,
        owned=None,
        stock_mm=20740,
        pieces=(Piece(mm=20000, run="router"),),
        left_mm=740,
    )
    job = boosting.job(router={"drop_pct": 20})
    plain = boosting.plan(c1={"floor_v": 9.3})
    found: Plan = with_holds(job, boosting.catalogue({"max_out_w": 90}), replace(plain, cuts=(*plain.cuts[1:], spool)))
    holds = {hold.rule: hold.most for hold in found.circuits[0].holds if hold.field == "run_m"}
    assert (holds["spool_not_overdrawn"], holds["run_drop"]) == (20.24, 28.75)
