"""Every rule of the model with a small job that it must allow and a twin that it must refuse, or price higher."""

from __future__ import annotations

from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from optimizer.checks import check_plan, failures
from optimizer.planner import plan
from optimizer.solve.demands import DEMANDS
from optimizer.solve.instance import build
from optimizer.solve.joined_circuits import JOINED_CIRCUIT_RULES, joins_open_circuits_only
from optimizer.solve.model import build_model
from optimizer.solve.rules import RULES, Rule, idle_at_most_a_day, plugged_into_a_host, run_suits_feed
from optimizer.solve.variables import total
from tests.builders import a_job
from tests.optimizer.checks.twins.twin import CAMERA
from tests.optimizer.solve.rule_twins import FUSE_10, TAKEN_FOR_GRANTED, TWINS, RuleTwin, Small, sold

each_twin = pytest.mark.parametrize(
    "twin", [pytest.param(twin, id=f"{twin.rule.__name__}: {twin.what}") for twin in TWINS]
)


def least_cents(small: Small, *without: Rule) -> float:
    """The optimum of the model without some rules; infinite where nothing obeys the others."""
    built = build_model(build(small.job, small.catalogue), without, most_by_sets=0)
    built.cp.minimize(total(built.bought.cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(built.cp)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return solver.objective_value if status == cp_model.OPTIMAL else float("inf")


@each_twin
def test_rule_allows_what_just_obeys_it(twin: RuleTwin) -> None:
    answer = plan(twin.allows.job, twin.allows.catalogue)
    assert answer.status == "optimal", answer.reasons
    assert failures(check_plan(twin.allows.job, twin.allows.catalogue, answer)) == ()


@each_twin
def test_rule_refuses_what_just_breaks_it(twin: RuleTwin) -> None:
    obeyed, left_out = least_cents(twin.refuses), least_cents(twin.refuses, twin.rule)
    assert left_out < obeyed
    answer = plan(twin.refuses.job, twin.refuses.catalogue)
    assert answer.total_cents == (None if obeyed == float("inf") else obeyed)
    assert answer.status == "infeasible" or least_cents(twin.allows) < obeyed or twin.rule in DIFFERENT_JOBS


DIFFERENT_JOBS = {joins_open_circuits_only}  # its twins buy different things: their totals say nothing


def test_every_rule_has_a_twin_pair() -> None:
    elsewhere = {plugged_into_a_host, idle_at_most_a_day, run_suits_feed}  # against brute force in test_freedoms.py
    assert {*JOINED_CIRCUIT_RULES, *RULES, *DEMANDS} - TAKEN_FOR_GRANTED - elsewhere == {twin.rule for twin in TWINS}


@pytest.mark.parametrize(
    ("floor_pct", "circuits"), [pytest.param(8.4, 1, id="thin will do"), pytest.param(5, 2, id="too thin for both")]
)
def test_circuit_takes_the_highest_floor_of_its_feeds(floor_pct: float, circuits: int) -> None:
    """The camera's limit of x % holds for the router as well once both hang on one circuit of 0.2 Ω.

    8.4 %: floor 10.692 V, (42 W + 12 W) / 10.692 V × 0.2 Ω = 1.01 V ≤ 1.008 V fails at 20 m and holds at 19.9 m.
    """
    job = a_job(
        desk={"run_m": 19.4},
        router={"own_circuit": False},
        more_loads=(replace(CAMERA, drop_pct=floor_pct),),
        existing={"capacity_ah": 200},
        bus={"spare_ways": 3},
    )
    catalogue = sold(FUSE_10, price_cents=1)
    answer = plan(job, catalogue)
    assert sum(circuit.place == "desk" for circuit in answer.circuits) == circuits
    assert failures(check_plan(job, catalogue, answer)) == ()
