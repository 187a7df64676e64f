"""HiGHS, which shares no code with CP-SAT, confirms the optimum; and nothing one cent cheaper can be found either."""

from __future__ import annotations

import highspy
import pytest
from ortools.sat.python import cp_model

from optimizer.catalogue import Catalogue
from optimizer.checks import check_plan, failures
from optimizer.job import Job
from optimizer.planner import plan
from optimizer.solve.instance import build
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.variables import total
from tests.optimizer.cases import case, planned
from tests.optimizer.made_up import made_up
from tests.optimizer.second_solver import to_highs

SEEDS = (1, 2, 4, 6, 7, 8, 9, 10, 11, 12)
CASES = ("002", "037", "062")
LIMIT_S = 280.0  # on a busy machine too


def model_of(job: Job, catalogue: Catalogue) -> PlanModel:
    built = build_model(build(job, catalogue), most_by_sets=0)  # circuits that loads join one by one: see below
    built.cp.minimize(total(built.bought.cost))
    return built


def highs_cents(job: Job, catalogue: Catalogue) -> int | None:
    """The optimum by HiGHS; None where it finds that no plan exists."""
    highs = to_highs(model_of(job, catalogue).cp)
    highs.setOptionValue("time_limit", LIMIT_S)
    highs.run()
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    assert status == highspy.HighsModelStatus.kOptimal, highs.modelStatusToString(status)
    return round(highs.getInfo().objective_function_value)


@pytest.mark.parametrize("seed", SEEDS)
def test_highs_confirms_a_made_up_job(seed: int) -> None:
    job, catalogue = made_up(seed)
    answer = plan(job, catalogue)
    assert answer.total_cents == highs_cents(job, catalogue)
    assert failures(check_plan(job, catalogue, answer)) == ()


@pytest.mark.parametrize("number", CASES)
def test_highs_confirms_a_case(number: str) -> None:
    assert planned(number).total_cents == highs_cents(case(number).job, case(number).catalogue)


def test_highs_confirms_that_no_plan_exists() -> None:
    assert planned("039").status == "infeasible"
    assert highs_cents(case("039").job, case("039").catalogue) is None


@pytest.mark.parametrize("number", CASES)
def test_nothing_one_cent_cheaper_exists(number: str) -> None:
    """A bare search without presolve, linear relaxation or objective refutes it: another way through CP-SAT."""
    total_cents = planned(number).total_cents
    assert total_cents is not None
    assert _search(number, total_cents) == cp_model.OPTIMAL
    assert _search(number, total_cents - 1) == cp_model.INFEASIBLE


def _search(number: str, most_cents: int) -> int:
    built = model_of(case(number).job, case(number).catalogue)
    built.cp.clear_objective()
    built.cp.add(total(built.bought.cost) <= most_cents)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.cp_model_presolve = False
    solver.parameters.max_time_in_seconds = LIMIT_S
    return int(solver.solve(built.cp))
