"""The solver as every question here is put to it: one worker and a fixed seed, so that answers repeat."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from typing import Any, Protocol

from ortools.sat.python import cp_model


class Halt(Protocol):
    """Says whether to stop: an event, or several."""

    def is_set(self) -> bool: ...


def new_solver(*, limit_s: float, deterministic_limit: float | None = None, refutes: bool = False) -> cp_model.CpSolver:
    """A CP-SAT solver with our settings.

    Args:
        limit_s: Wall-clock guard. [s]
        deterministic_limit: Limit that stops at the same place on every machine; limit_s where None.
        refutes: Mostly there is no solution to be found.
    """
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.catch_sigint_signal = False  # its own handler ends the process when a solve runs in a thread
    parameters.random_seed = 0
    parameters.linearization_level = 2
    # Our rows are tight as they are built, and jobs are small: what looks for more in them took longer than it saved.
    parameters.max_presolve_iterations = 3 if refutes else 0  # none after the first: one pass
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0
    parameters.add_cg_cuts = False
    parameters.add_rlt_cuts = False
    # The search for included constraints in the presolve of OR-Tools 9.15 cuts off valid plans, up to calling a
    # job with a plan infeasible (or-tools issue 5274 is of that kind); tests/optimizer/solve/test_engine.py shows it.
    parameters.presolve_inclusion_work_limit = 0
    parameters.max_time_in_seconds = limit_s
    parameters.max_deterministic_time = limit_s if deterministic_limit is None else deterministic_limit
    return solver


def hint(model: cp_model.CpModel, solution: Sequence[int]) -> None:
    """Lets the next search start from a solution: values of variables in their order; none where it is empty."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for n, value in enumerate(solution):
        model.add_hint(model.get_int_var_from_proto_index(n), value)


def solve(
    solver: cp_model.CpSolver,
    model: cp_model.CpModel,
    *,
    stop: Halt | None = None,
    on_solution: cp_model.CpSolverSolutionCallback | None = None,
    on_bound: Callable[[float], Any] | None = None,
) -> int:
    """Solves, unless and until somebody asks to stop; then the best so far stands.

    Args:
        on_bound: Called with every better bound of the objective.
    Returns:
        The solver's status.
    """
    if on_bound is not None:
        solver.best_bound_callback = on_bound
    if stop is None:
        return int(solver.solve(model, on_solution))
    if stop.is_set():
        solver.parameters.max_time_in_seconds = 0  # asked all the same, so that its bound can be read
    done = threading.Event()
    watcher = threading.Thread(target=_watch, args=(solver, stop, done), daemon=True)
    watcher.start()
    try:
        return int(solver.solve(model, on_solution))
    finally:
        done.set()
        watcher.join()


def _watch(solver: cp_model.CpSolver, stop: Halt, done: threading.Event) -> None:
    """Stops the solver once asked to; again and again, since a solver not yet at work does not hear it."""
    while not done.wait(0.05):
        if stop.is_set():
            solver.stop_search()
