"""What can be bought, once pieces are shared out among cables, against trying all."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from optimizer.cutting import CutListRequest, Run, Spool
from optimizer.cutting.buying import Buying, intervals
from optimizer.cutting.clock import Clock
from optimizer.cutting.mixes import Covers
from optimizer.cutting.normal import components, instance_of
from tests.optimizer.cutting.test_cut_list import tiny
from tests.optimizer.cutting.trying_all import best_of_all


def shared(instance):
    buying = Buying(instance, Covers(instance), None)
    buying.share()
    solver, status = buying.solve(Clock(), 10)
    return (buying.mix(solver).cents if status == cp_model.OPTIMAL else None), status


@pytest.mark.parametrize("seed", range(200))
def test_what_is_shared_out_costs_no_more_than_the_best_list(seed):
    request = tiny(seed)
    parts = components(request)
    if len(parts) > 1 or len({cable for run in request.runs for cable in run.cables}) < 2:
        return
    cents, status = shared(instance_of(request, parts[0]))
    best = best_of_all(request)
    if best is not None:
        assert status == cp_model.OPTIMAL
        assert cents <= best[0]


def test_sharing_out_knows_which_loads_exist():
    # cable a is 3 short and b has 3 more than what only it serves; that is of no use, since no piece is so short
    runs = (
        Run(id="x", length_mm=7, cables=("a", "b"), quantity=20),
        Run(id="y", length_mm=5, cables=("a", "b"), quantity=20),
        Run(id="z", length_mm=10, cables=("b",), quantity=40),
    )
    spools = (
        Spool(offer="a1", cable="a", length_mm=117, price_cents=100, limit=1),
        Spool(offer="a2", cable="a", length_mm=120, price_cents=101, limit=1),
        Spool(offer="a3", cable="a", length_mm=123, price_cents=104, limit=1),
        Spool(offer="b", cable="b", length_mm=403, price_cents=100, limit=1),
    )
    cents, _ = shared(instance_of(CutListRequest(runs=runs, spools=spools), [0, 1, 2]))
    assert cents == 304  # a1 and a3


def test_rows_of_bits():
    assert intervals(0b1011001110) == [[1, 3], [6, 7], [9, 9]]
    assert intervals(1) == [[0, 0]]
    assert intervals(0) == []
