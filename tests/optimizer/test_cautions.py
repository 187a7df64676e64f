"""What every plan must say besides its numbers, and what only some must."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.cautions import ALWAYS, INRUSH, INVERTER_KEPT, OVER_50_V, SWITCHES, cautions_for
from optimizer.job import Job, SuppliedLead
from optimizer.planner import plan
from tests.builders import a_catalogue, a_job, a_plan
from tests.optimizer.checks.twins.twin import AC_PLAN, WITH_OUTLET


def said(job: Job, **planned: object) -> tuple[str, ...]:
    return cautions_for(job, a_catalogue(), a_plan(**planned))


def test_every_plan_carries_the_general_ones() -> None:
    assert plan(a_job(), a_catalogue()).cautions[: len(ALWAYS)] == ALWAYS


@pytest.mark.parametrize(
    "words", ["Local rules", "qualified person", "Autonomy counts no recharge", "battery end of its run", "insulate"]
)
def test_general_cautions_defer_to_local_rules_and_name_the_dangers(words: str) -> None:
    assert any(words in caution for caution in ALWAYS)


def test_mains_is_named_where_something_stays_at_the_outlet() -> None:
    assert INVERTER_KEPT not in said(a_job())
    assert INVERTER_KEPT in said(a_job(**WITH_OUTLET), **AC_PLAN)


def test_switches_need_a_dc_rating() -> None:
    assert SWITCHES in said(a_job())
    assert SWITCHES not in said(a_job(), c2={"switch": None})


@pytest.mark.parametrize(("high_v", "expected"), [(50, False), (50.1, True)])
def test_bus_above_50_v_is_named(high_v: float, expected: bool) -> None:
    assert (OVER_50_V in said(a_job(bus={"high_v": high_v}))) == expected


@pytest.mark.parametrize(
    ("low_v", "expected"),
    [
        # 60 W / 0.9 + 2 W = 68.67 W; 1.5 × 68.67 W / 20.59 V = 5.002 A
        pytest.param(20.59, True, id="just above the fuse of 5 A"),
        pytest.param(20.61, False, id="just below it"),
    ],
)
def test_inrush_is_named_where_the_fuse_is_close_to_the_converters_input(low_v: float, expected: bool) -> None:
    warned = [caution for caution in said(a_job(bus={"low_v": low_v})) if "switch-on" in caution]
    circuit = (
        "Circuit C1: its converters can take 3.3 A at full output, and more for a moment at switch-on; its fuse is 5 A."
    )
    assert warned == ([circuit, INRUSH] if expected else [])


def test_assumed_fuse_of_a_silent_load_is_named() -> None:
    direct = {"lead": SuppliedLead(loop_ohm=0.08), "name": "Deck lamp"}
    limits = {"fuse_ratio_max": 2}
    assert any("Deck lamp" in c and "5 A was assumed" in c for c in said(a_job(lamp=direct, limits=limits)))
    assert not any("assumed" in c for c in said(a_job(lamp={**direct, "max_fuse_a": 5}, limits=limits)))
    assert not any("assumed" in c for c in said(a_job(lamp=direct)))


def test_values_nobody_confirmed_are_named() -> None:
    job = replace(a_job(), assumed=("/bus/fault_a",))
    assert any("/bus/fault_a" in caution and "confirmed before you buy" in caution for caution in said(job))
    assert not any("confirmed" in caution for caution in said(a_job()))
