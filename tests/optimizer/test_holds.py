"""How far figures hold: worked out by hand on the small system, and proven by the checks at the figure and past it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan, failures
from optimizer.holds import HOURS_STEP, LEAD_STEP_M, PEAK_STEP_W, RUN_STEP_M, with_holds
from optimizer.job import Job
from optimizer.plan import Hold, Plan
from optimizer.planner import plan
from tests.builders import a_catalogue, a_job, a_plan
from tests.optimizer.cases import NUMBERS, case
from tests.optimizer.restated import restated
from tests.optimizer.tiny import tiny

STEPS = {"run_m": RUN_STEP_M, "peak_w": PEAK_STEP_W, "length_m": LEAD_STEP_M, "autonomy_h": HOURS_STEP}


def held(subject: str, field: str, plain: Plan | None = None, **job: object) -> dict[str, float]:
    """How far a figure holds, by the rule that stops it."""
    found = with_holds(a_job(**job), a_catalogue(), plain or a_plan())  # type: ignore[arg-type]
    named = {**{c.id: c.holds for c in found.circuits}, **{f.load: f.holds for f in found.feeds}}
    holds = found.bank.holds if subject == "bank" and found.bank else named[subject]
    return {hold.rule: hold.most for hold in holds if hold.field == field}


# -- by hand ----------------------------------------------------------------------------------------------------------


def test_run_holds_up_to_the_drop_and_to_the_piece_that_is_there() -> None:
    # 4 A × 2 × 30 m × 5 Ω/km = 1.2 V, 0.5 m of it slack; the spool of 30 m is cut up to its end
    assert held("C1", "run_m") == {"spool_not_overdrawn": 19.5, "drop": 29.5}


def test_run_with_offcut_left_holds_as_far_as_that_goes() -> None:
    spool = a_plan().cuts[0]
    longer = replace(spool, stock_mm=32345, left_mm=2345)
    found = held("C1", "run_m", a_plan(cuts=(longer, a_plan().cuts[1])))
    assert found["spool_not_overdrawn"] == 21.84  # 19.5 m + 2.345 m, down to a centimetre


def test_two_circuits_to_a_place_share_what_is_left() -> None:
    here = a_plan(c2={"place": "desk"})
    spool = replace(here.cuts[0], left_mm=1000, stock_mm=31000)
    found = held("C1", "run_m", replace(here, cuts=(spool, here.cuts[1])), lamp={"place": "desk"})
    assert found["spool_not_overdrawn"] == 20.0


def test_run_holds_up_to_the_far_fault() -> None:
    # 12 V / (5 × 5 A) = 0.48 Ω, less 12 V / 800 A = 0.015 Ω: 0.465 Ω / 10 mΩ/m = 46.5 m, 0.5 m of it slack
    assert held("C1", "run_m", limits={"far_fault_multiple": 5})["far_fault"] == 46.0


def test_peak_holds_up_to_fuse_converter_and_drop() -> None:
    found = held("router", "peak_w")
    assert found["fuse_load"] == 36  # 1.25 × 4 A = 5 A already
    assert found["stage_rating"] == 50.0  # 60 W / 1.2
    assert found["drop"] == 54.9  # 1.2 V / 0.2 Ω × 10.5 V = 63 W in; (63 W − 2 W) × 0.9


def test_peak_holds_up_to_the_bank() -> None:
    # the lamp takes 1.8173 A of 6 A: 4.1827 A × 11.7 V = 48.937 W in, (48.937 W − 2 W) × 0.9 = 42.24 W
    assert held("router", "peak_w", existing={"max_discharge_a": 6})["bank_peak"] == 42.2


def test_lead_holds_up_to_the_drop() -> None:
    found = held("lamp", "length_m")
    assert found["spool_not_overdrawn"] == 1.5
    # 0.1 Ω × 2 A = 0.2 V from 11.7 V: floor 11.5 V = 10.5 V + 2 A × R, R = 0.5 Ω = 2 × 12.5 m × 20 Ω/km
    assert found["drop"] == 12.0


def test_bank_holds_in_hours_and_watts() -> None:
    assert held("bank", "autonomy_h") == {"autonomy": 32.6}  # 480 Wh / 14.7 W = 32.65 h
    assert held("bank", "average_w") == {"autonomy": 20.0}


# -- as the checks see it ---------------------------------------------------------------------------------------------


def fails_at(job: Job, catalogue: Catalogue, answer: Plan, subject: tuple[str, str], field: str, value: float) -> bool:
    """Whether a check fails once the job says so and the plan is written out anew for it."""
    bent, plan_of_it = restated(job, catalogue, answer, subject, field, value)
    return bool(failures(check_plan(bent, catalogue, plan_of_it)))


def nearest(job: Job, answer: Plan) -> dict[tuple[tuple[str, str], str], Hold]:
    """The least hold of each figure; a run's over all circuits to the place."""
    found: dict[tuple[tuple[str, str], str], Hold] = {}
    groups = [(("place", c.place), c.holds) for c in answer.circuits] + [
        (("load", f.load), f.holds) for f in answer.feeds
    ]
    assert answer.bank is not None
    groups.append((("bank", ""), tuple(h for h in answer.bank.holds if h.field in STEPS)))
    for subject, holds in groups:
        for hold in holds:
            before = found.get((subject, hold.field))
            if before is None or hold.most < before.most:
                found[subject, hold.field] = hold
    return found


def assert_holds_just_so_far(job: Job, catalogue: Catalogue, answer: Plan) -> int:
    holds = nearest(job, answer)
    for (subject, field), hold in holds.items():
        assert not fails_at(job, catalogue, answer, subject, field, hold.most), (subject, hold)
        assert fails_at(job, catalogue, answer, subject, field, hold.most + STEPS[field]), (subject, hold)
    return len(holds)


def test_small_system_holds_just_so_far() -> None:
    answer = with_holds(a_job(), a_catalogue(), a_plan())
    assert assert_holds_just_so_far(a_job(), a_catalogue(), answer) == 6


@pytest.mark.parametrize("number", [number for number in NUMBERS if case(number).total_cents is not None][:4])
def test_figures_of_a_case_hold_just_so_far(number: str) -> None:
    given_case = case(number)
    answer = plan(given_case.job, given_case.catalogue, time_limit_s=20)
    assert answer.has_answer
    assert assert_holds_just_so_far(given_case.job, given_case.catalogue, answer) >= 3


@settings(max_examples=25, derandomize=True)
@given(st.integers(0, 10_000))
def test_figures_of_any_plan_hold_just_so_far(seed: int) -> None:
    job, catalogue = tiny(seed)
    answer = plan(job, catalogue, time_limit_s=5)
    if answer.has_answer:
        assert_holds_just_so_far(job, catalogue, answer)


def test_plan_that_fails_a_check_is_not_stopped_by_what_already_fails() -> None:
    found = held("C1", "run_m", limits={"min_mm2": 6})
    assert found == {"spool_not_overdrawn": 19.5, "drop": 29.5}
