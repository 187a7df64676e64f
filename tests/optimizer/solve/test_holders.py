"""In-line holders of a plan: as many as circuits lack a way, also where the pack that is bought holds more."""

from __future__ import annotations

from dataclasses import replace

import pytest
from ortools.sat.python import cp_model

from optimizer.catalogue import Holder
from optimizer.solve.engine import new_solver
from optimizer.solve.instance import build
from optimizer.solve.model import build_model
from optimizer.solve.readout import read_plan
from optimizer.solve.search import Solved
from tests.optimizer.test_ties import LOAD, a_job, catalogue

HOLDER = Holder(id="H", style="b", max_a=30, max_v=60)  # sold in eights


@pytest.mark.parametrize(("spare_ways", "holders"), [(0, 2), (1, 1), (2, 0)])
def test_a_pack_of_holders_leaves_no_spare_way_unused(spare_ways: int, holders: int) -> None:
    """Two circuits where four could be; the model may give both a holder, for the pack costs no more."""
    loads = [replace(LOAD, id=f"L{n}") for n in range(4)]
    instance = build(a_job(*loads, bus={"spare_ways": spare_ways}), catalogue(HOLDER))
    built = build_model(instance)
    built.cp.add(sum(var for circuit in built.v.circuits for var in built.v.opened(circuit)) == 2)
    built.cp.maximize(sum(built.v.holders_at.values()))
    solver = new_solver(limit_s=60)
    assert solver.solve(built.cp) == cp_model.OPTIMAL
    found = read_plan(instance, built, Solved("optimal", 0, 0, solver.value))
    assert [circuit.holder for circuit in found.circuits] == [None] * (2 - holders) + ["H"] * holders
