"""Rows that HiGHS finds: they raise the relaxation, and no plan they are about breaks one."""

from __future__ import annotations

import itertools
import math
import random
import threading
from typing import Any

import highspy
import numpy as np
import pytest
from ortools.sat.python import cp_model

from optimizer.solve import root_rows as root_rows_module
from optimizer.solve.engine import new_solver, solve
from optimizer.solve.fractional import Fractional, Shrunk
from optimizer.solve.instance import build
from optimizer.solve.linear import LinearModel
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.root_rows import RootRow, root_rows
from optimizer.solve.rows import Rows
from optimizer.solve.variables import total
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case

NUMBERS = ["007", "023", "031", "066"]


def _shrunk(built: PlanModel, within_cents: int) -> tuple[Shrunk, float]:
    """Rows about plans of at most a price, and the price of the relaxation."""
    built.cp.minimize(total(built.bought.cost))
    linear = LinearModel(Rows(built.cp, built.bought.cost).read())
    relaxed = linear.relaxing().solve(60)
    assert relaxed is not None
    return Shrunk(linear, relaxed.too_dear(within_cents, []), within_cents), relaxed.least_cents


def _with_rows(rows: Shrunk) -> Shrunk:
    known_cents = rows.within_cents + 1 - rows.sure_cents
    return rows.with_rows(root_rows(rows.lp(), known_cents=known_cents, limit_s=60, stop=None))


def _cents(rows: Shrunk) -> float:
    priced = Fractional(rows).priced({}, math.inf, 60)
    assert priced is not None
    return priced.cents


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("above_cents", [0, 500])
def test_the_least_price_known_from_elsewhere_is_kept(number: str, above_cents: int) -> None:
    """By the relaxation with these rows, and by CP-SAT with them."""
    least_cents = case(number).total_cents
    assert least_cents is not None
    built = build_model(build(case(number).job, case(number).catalogue))
    plain, _ = _shrunk(built, least_cents + above_cents)
    rows = _with_rows(plain)
    assert _cents(plain) - 1e-3 <= _cents(rows) <= least_cents + 1e-3
    rows.add_further_to(built.cp)
    for index in set(range(len(built.cp.proto.variables))) - set(rows.place):
        var = built.cp.get_int_var_from_proto_index(index)
        built.cp.add(var == var.proto.domain[0])  # too dear
    solver = new_solver(limit_s=60, deterministic_limit=60)
    assert solve(solver, built.cp, stop=None) == cp_model.OPTIMAL
    assert solver.objective_value == least_cents


def test_they_close_much_of_what_is_open() -> None:
    """12 loads: the relaxation and the least price, which CP-SAT proves by itself, are 2 % apart."""
    built = build_model(build(*made_up_job(12, 4, 300, 1)))
    plain, least_cents = _shrunk(built, 34_162)
    assert _cents(_with_rows(plain)) - least_cents > 0.25 * (34_162 - least_cents)


def _made_up(seed: int) -> tuple[highspy.HighsLp, np.ndarray, np.ndarray]:
    """Packs of several sizes that cover several wants, with every way to buy that does, and what each costs."""
    dice = random.Random(seed)
    size, wants, most = 6, 5, 4
    packs = np.array([[dice.choice((0, 0, 2, 3, 5, 7)) for _ in range(size)] for _ in range(wants)], dtype=float)
    packs[:, 0] = 3
    price = np.array([dice.randint(20, 99) for _ in range(size)], dtype=float)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = size, wants
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = price, np.zeros(size), np.full(size, float(most))
    lp.row_lower_, lp.row_upper_ = np.full(wants, 11.0), np.full(wants, math.inf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.arange(wants + 1, dtype=np.int32) * size
    lp.a_matrix_.index_ = np.tile(np.arange(size, dtype=np.int32), wants)
    lp.a_matrix_.value_ = packs.ravel()
    ways = np.array(list(itertools.product(range(most + 1), repeat=size)), dtype=float)
    ways = ways[np.all(ways @ packs.T >= 11, axis=1)]
    return lp, ways, ways @ price


def test_no_way_to_buy_that_is_cheaper_than_what_highs_found_breaks_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """All ways are listed, of a hundred little shops."""
    found_cents: list[float] = []
    take = root_rows_module._Found.take

    def noting(found: root_rows_module._Found, event: Any) -> None:
        found_cents.append(event.data_out.mip_primal_bound)
        take(found, event)

    monkeypatch.setattr(root_rows_module._Found, "take", noting)
    checked = 0
    for seed in range(100):
        lp, ways, cents = _made_up(seed)
        for row in root_rows(lp, known_cents=-math.inf, limit_s=10, stop=None):
            cheaper = ways[cents < found_cents[-1] - 1e-6]
            assert np.all(cheaper[:, row.columns] @ row.coefs <= row.most + 1e-6)
            checked += len(cheaper)
    assert checked > 50


def test_where_highs_finds_something_cheaper_than_is_known_there_are_none() -> None:
    """They may then hold for what is cheaper than that alone."""
    given = []
    for seed in range(40):
        lp, _, cents = _made_up(seed)
        given.append([len(root_rows(lp, known_cents=known, limit_s=10, stop=None)) for known in (min(cents), math.inf)])
    assert any(rows for rows, _ in given)
    assert not any(rows for _, rows in given)


def test_who_stops_is_told_nothing() -> None:
    stop = threading.Event()
    stop.set()
    plain, _ = _shrunk(build_model(build(*made_up_job(12, 4, 90, 1))), 10**6)
    assert root_rows(plain.lp(), known_cents=-math.inf, limit_s=60, stop=stop) == []


# -- in whole numbers ---------------------------------------------------------------------------------------------


def _row(coefs: list[float], most: float) -> RootRow:
    return RootRow(np.arange(len(coefs), dtype=np.int32), np.array(coefs), most)


@pytest.mark.parametrize("seed", range(60))
def test_in_whole_numbers_a_row_forbids_nothing_more(seed: int) -> None:
    dice = random.Random(seed)
    unit = dice.choice((1.0, 0.5, 1 / 3, 0.25, 0.1, math.pi / 10))
    row = _row([unit * dice.randint(-9, 9) or unit for _ in range(4)], unit * dice.randint(0, 20))
    whole = row.whole(np.arange(4), 4)
    assert whole is not None
    for point in itertools.product(range(5), repeat=4):
        if row.coefs @ np.array(point) <= row.most + 1e-9:
            assert sum(coef * x for coef, x in zip(whole.coefs, point, strict=True)) <= whole.most


@pytest.mark.parametrize("unit", [1.0, 0.5, 1 / 3, 1 / 12])
def test_in_whole_numbers_a_row_with_a_common_part_says_the_same(unit: float) -> None:
    row = _row([2 * unit, -3 * unit, unit], 4 * unit)
    whole = row.whole(np.arange(3), 3)
    assert whole is not None
    for point in itertools.product(range(6), repeat=3):
        says = sum(coef * x for coef, x in zip(whole.coefs, point, strict=True)) <= whole.most
        assert says == (2 * point[0] - 3 * point[1] + point[2] <= 4)


def test_what_is_no_variable_is_left_out_where_that_asks_for_less() -> None:
    columns = np.array([7, 3, 100])
    assert _row([1.0, 2.0, 5.0], 6.0).whole(columns, 50) == ([7, 3], [1, 2], 6)
    assert _row([1.0, 2.0, -5.0], 6.0).whole(columns, 50) is None


def test_a_long_row_is_left_to_highs() -> None:
    assert _row([1.0] * 600, 6.0).whole(np.arange(600), 600) is not None
    assert _row([1.0] * 601, 6.0).whole(np.arange(601), 601) is None
