"""CP-SAT as cut lists ask it: one worker and a fixed seed, so that the same input gives the same answer."""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from .clock import Clock


def solved(model: cp_model.CpModel, clock: Clock, work: float) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
    """The solver at its end, and what it came to.

    Args:
        clock: Ends the search.
        work: Deterministic seconds.
    """
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = 1
    parameters.linearization_level = 2
    # the presolve's search for included constraints loses solutions in OR-Tools 9.15 (see solve/engine.py)
    parameters.presolve_inclusion_work_limit = 0
    parameters.max_deterministic_time = work
    if math.isfinite(clock.left_s):
        parameters.max_time_in_seconds = max(clock.left_s, 0.01)
    with clock.stopping(solver.stop_search):
        return solver, solver.solve(model)
