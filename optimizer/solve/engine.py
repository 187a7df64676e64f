"""The solver as every question here is put to it: one worker and a fixed seed, so that answers repeat."""

from __future__ import annotations

from ortools.sat.python import cp_model


def new_solver(*, limit_s: float, deterministic_limit: float | None = None) -> cp_model.CpSolver:
    """A CP-SAT solver with our settings.

    Args:
        limit_s: Wall-clock guard. [s]
        deterministic_limit: Limit that stops at the same place on every machine; limit_s where None.
    """
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = 0
    parameters.linearization_level = 2
    # The search for included constraints in the presolve of OR-Tools 9.15 cuts off valid plans, up to calling a
    # job with a plan infeasible (or-tools issue 5274 is of that kind); tests/optimizer/solve/test_engine.py shows it.
    parameters.presolve_inclusion_work_limit = 0
    parameters.max_time_in_seconds = limit_s
    parameters.max_deterministic_time = limit_s if deterministic_limit is None else deterministic_limit
    return solver
