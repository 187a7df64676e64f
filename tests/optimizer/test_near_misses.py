"""What a part that comes near is said to miss: each figure named is in the way, and nothing else is."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from optimizer.catalogue import BUS_FORM, Catalogue, Content, Offer, Stage
from optimizer.job import CutLead, Job, Load, Needs, SuppliedLead
from optimizer.near_misses import Broken, at_hand, broken_by
from optimizer.planner import plan
from optimizer.solve.instance import build
from optimizer.tries import with_part
from tests.builders import a_catalogue, a_job
from tests.optimizer.tiny import tiny

MENDED = {"in_max_v", "in_min_v", "max_out_w", "out_v"}


def only(job: Job, catalogue: Catalogue) -> Broken:
    """What stands against the converter there is for the router."""
    instance = build(job, catalogue)
    router = next(load for load in instance.loads if load.id == "router")
    (found,) = broken_by(instance, router, catalogue.get(Stage, "boost"))
    return found


def test_bus_passed_on_is_too_low_behind_the_lead() -> None:
    # 11 V and 36 W: 3.273 A, and 0.3 Ω of them above it
    router = {"needs": Needs(form="dc-plug", min_v=11, max_v=20), "lead": SuppliedLead(loop_ohm=0.3)}
    found = only(a_job(router=router), a_catalogue(boost={"out_v": None, "efficiency": 1, "idle_w": 0}))
    assert found.text == (
        "it passes the bus on, and it needs 11.98 V at its place, lead included, and the bus falls to 11.7 V"
    )


def _texts(job: Job, catalogue: Catalogue) -> list[str]:
    return [each.text for each in _broken(job, catalogue)]


def test_what_the_lead_loses_is_said_besides_too_little_power() -> None:
    """A stronger one alone would not do: 36 W at 19 V over 1 Ω leave (19 + √(19² − 4 × 36)) / 2 = 16.87 V."""
    router = {"lead": SuppliedLead(loop_ohm=1)}
    power, lead = _texts(a_job(router=router), a_catalogue(boost={"max_out_w": 30}))
    assert power == "it puts out 30 W and 43 W are asked, headroom included"
    assert lead == "the lead it came with loses 2.13 V, 1.90 V are allowed"


def test_power_asked_has_what_the_lead_takes_in_it() -> None:
    """36 W at 19 V over 0.5 Ω: 17.997 V of 18 V; over 0.4 Ω 18.21 V, 37.57 W at its head, 45.1 W with room to spare."""
    job = a_job(router={"lead": SuppliedLead(loop_ohm=0.4)})
    text = only(job, a_catalogue(boost={"max_out_w": 30})).text
    assert text == "it puts out 30 W and 45 W are asked, lead and headroom included"


def test_output_that_nothing_guards_is_said_besides_all_else() -> None:
    router = {"lead": SuppliedLead(loop_ohm=1)}
    texts = _texts(a_job(router=router), a_catalogue(boost={"max_out_w": 30, "limits_output": False}))
    assert texts[2:] == ["it does not limit its output, and no fuse with a holder on offer guards that"]


def test_lead_behind_a_voltage_that_a_load_may_not_see_is_judged_at_the_best_it_may() -> None:
    # 36 W over 0.3 Ω: at 12 V 3.27 A and 0.98 V of the 1.2 V allowed; at 20 V 1.85 A, and 19.44 V are enough
    router = {"lead": SuppliedLead(loop_ohm=0.3)}
    assert only(a_job(router=router), a_catalogue(boost={"out_v": 12})).figure == "out_v"
    # over 2 Ω 36 W at 20 V leave (20 + √(20² − 8 × 36)) / 2 = 15.29 V
    router = {"lead": SuppliedLead(loop_ohm=2)}
    _, lead = _texts(a_job(router=router), a_catalogue(boost={"out_v": 12}))
    assert lead == "the lead it came with loses 4.71 V, 2.00 V are allowed"


def test_what_a_lead_loses_counts_for_the_converter_before() -> None:
    """42.4 W as below, 42.5 W on offer; over 0.1 Ω the router takes 30.25 W, and 42.73 W are asked."""
    up = Stage(
        id="up", in_form=BUS_FORM, in_min_v=9, in_max_v=32, out_form=BUS_FORM, out_v=24, max_out_w=42.5,
        efficiency=0.95, idle_w=0.5,
    )  # fmt: skip
    offer = Offer(id="o-up", seller="shop", price_cents=1000, contents=(Content(part="up", count=1),))
    catalogue = a_catalogue(up, offers=(offer,), boost={"in_min_v": 20, "max_out_w": 34})
    job = a_job(router={"peak_w": 30, "lead": SuppliedLead(loop_ohm=0.1)})
    assert {each.figure for each in _broken(job, catalogue)} == {"in_min_v", "max_out_w"}
    assert {each.figure for each in _broken(a_job(router={"peak_w": 30}), catalogue)} == {"max_out_w"}


def test_resistive_load_behind_a_voltage_it_may_not_see_is_judged_at_one_it_may() -> None:
    # 19² / 36 W = 10.03 Ω: 40 V there would be 160 W, the 20 V it takes 39.9 W; with room to spare 47.9 W of the 60 W
    router = {"behaviour": "resistive", "rated_v": 19}
    assert only(a_job(router=router), a_catalogue(boost={"out_v": 40})).figure == "out_v"


def test_converter_behind_another_is_not_said_to_miss_the_bus() -> None:
    """It takes 20 V, which another on offer makes of the bus: only its power is too little."""
    up = Stage(
        id="up", in_form=BUS_FORM, in_min_v=9, in_max_v=32, out_form=BUS_FORM, out_v=24, max_out_w=90, efficiency=0.95,
        idle_w=0.5,
    )  # fmt: skip
    offer = Offer(id="o-up", seller="shop", price_cents=1000, contents=(Content(part="up", count=1),))
    job = a_job(router={"peak_w": 30})  # × 1.2 = 36 W
    catalogue = a_catalogue(up, offers=(offer,), boost={"in_min_v": 20, "max_out_w": 34})
    assert only(job, catalogue).text == "it puts out 34 W and 36 W are asked, headroom included"
    way = next(way for way in plan(job, catalogue).ways_out if not way.change)
    assert way.text == "A converter for router that puts out 36 W: boost puts out 34 W"
    assert way.total_cents == 10660 + 1000
    weak = replace(up, max_out_w=40)  # 1.2 × (30 W / 0.9 + 2 W) = 42.4 W
    assert {each.figure for each in _broken(job, with_part(catalogue, weak))} == {"in_min_v", "max_out_w"}


def _broken(job: Job, catalogue: Catalogue) -> list[Broken]:
    instance = build(job, catalogue)
    router = next(load for load in instance.loads if load.id == "router")
    return list(broken_by(instance, router, catalogue.get(Stage, "boost")))


# -- any job ----------------------------------------------------------------------------------------------------------


def _bent(seed: int) -> tuple[Job, Catalogue]:
    """A tiny job with converters and leads that mostly do not do."""
    dice, (job, catalogue) = random.Random(seed), tiny(seed)
    parts = tuple(_stage(dice, part) if isinstance(part, Stage) else part for part in catalogue.parts)
    loads = tuple(_load(dice, load) for load in job.loads)
    return replace(job, loads=loads), replace(catalogue, parts=parts)


def _stage(dice: random.Random, stage: Stage) -> Stage:
    stage = replace(stage, max_out_w=dice.choice((5, 8, 12, 16, 20, 25, 30, 35, 40, stage.max_out_w, stage.max_out_w)))
    stage = replace(stage, in_min_v=dice.choice((stage.in_min_v, stage.in_min_v, 11.4, 11.8)))
    stage = replace(stage, in_max_v=dice.choice((stage.in_max_v, stage.in_max_v, 13, 14)))
    if stage.out_v is None:
        return stage
    return replace(stage, out_v=dice.choice((stage.out_v, 12, 18, 20, 24)), limits_output=dice.random() < 0.9)


def _load(dice: random.Random, load: Load) -> Load:
    if dice.random() < 0.2:
        load = replace(load, behaviour="resistive", rated_v=dice.choice((12, 19, 24)))
    if isinstance(load.lead, SuppliedLead):
        return replace(load, lead=SuppliedLead(loop_ohm=dice.choice((0.05, 0.3, 0.8, 1.5))))
    return replace(load, lead=CutLead(length_m=dice.choice((1, 3, 8, 15))))


def _mended(job: Job, load: Load, stage: Stage, figures: list[str]) -> Stage:
    values = {
        "in_max_v": job.bus.high_v,
        "in_min_v": job.bus.low_v - 0.1,
        "max_out_w": 10 * load.peak_w,
        "out_v": load.needs.max_v,
    }
    return replace(stage, **{figure: values[figure] for figure in figures})  # type: ignore[arg-type]


@pytest.mark.parametrize("first", [*range(0, 200, 20), 720])
def test_every_figure_named_is_in_the_way_and_no_other_is(first: int) -> None:
    seen = 0
    for seed in range(first, first + 20):
        job, catalogue = _bent(seed)
        instance = build(job, catalogue)
        for load in (each for each in instance.loads if instance.is_stuck(each)):
            sold = at_hand(instance)
            for stage in (s for s in catalogue.of(Stage) if s.id in sold and s.out_form == load.needs.form):
                seen += _is_as_said(job, catalogue, load, stage)
    assert seen


def _is_as_said(job: Job, catalogue: Catalogue, load: Load, stage: Stage) -> bool:
    """Whether something was said that mending the part can prove."""
    broken = list(broken_by(build(job, catalogue), load, stage))
    assert broken, (load, stage)
    figures = [each.figure for each in broken]
    if not MENDED.issuperset(figures):
        return False

    def is_fed(with_figures: list[str]) -> bool:
        mended = with_part(catalogue, _mended(job, load, stage, with_figures))
        return not build(job, mended).is_stuck(load)

    assert is_fed(figures), (load, stage)
    for figure in figures:
        assert not is_fed([each for each in figures if each != figure]), (load, stage, figure)
    return True
