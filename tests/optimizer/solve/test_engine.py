"""The solver settings against a presolve that loses plans (see optimizer/solve/engine.py)."""

from __future__ import annotations

import json
import threading
from pathlib import Path

import numpy as np
import pytest
from ortools.sat.python import cp_model

from optimizer.solve import instance as instances
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.instance import Instance
from optimizer.solve.model import build_model
from optimizer.solve.variables import total
from webapp.schemas import read_catalogue, read_job

HERE = Path(__file__).parent
CASES = HERE.parents[1] / "cases"


@pytest.fixture
def documents() -> tuple[object, object]:
    """A generated job of two loads whose model, with no feed dropped, shows the fault in OR-Tools 9.15."""
    stored = json.loads((HERE / "all_feeds_job.json").read_text())
    catalogue = json.loads((CASES / stored["catalogue"]).read_text())
    catalogue["sellers"] = stored["sellers"]
    return read_job(stored["job"]).value, read_catalogue(catalogue).value


def _least_cents(instance: Instance) -> int:
    built = build_model(instance)
    built.cp.minimize(total(built.bought.cost))
    solver = new_solver(limit_s=60)
    assert solver.solve(built.cp) == cp_model.OPTIMAL
    return round(solver.objective_value)


def test_more_feeds_to_choose_from_never_lose_a_plan(documents, monkeypatch):
    few = _least_cents(instances.build(*documents))
    monkeypatch.setattr(instances, "without_beaten", lambda options, *_, **__: options)
    monkeypatch.setattr("optimizer.feeds.Heads.beaten", lambda _, chains: np.zeros(len(chains), dtype=bool))
    monkeypatch.setattr("optimizer.feeds.Ends.unbeaten", lambda _, chains: chains)
    assert _least_cents(instances.build(*documents)) == few


def test_the_settings_repeat_exactly(documents):
    instance = instances.build(*documents)
    solutions = []
    for _ in range(2):
        built = build_model(instance)
        built.cp.minimize(total(built.bought.cost))
        solver = new_solver(limit_s=60)
        solver.solve(built.cp)
        solutions.append(list(solver.response_proto.solution))
    assert solutions[0] == solutions[1]


def test_a_search_stopped_before_it_began_has_a_bound_to_read(documents):
    built = build_model(instances.build(*documents))
    built.cp.minimize(total(built.bought.cost))
    solver, stop = new_solver(limit_s=60), threading.Event()
    stop.set()
    assert solve(solver, built.cp, stop=stop) == cp_model.UNKNOWN
    assert solver.best_objective_bound <= 0
