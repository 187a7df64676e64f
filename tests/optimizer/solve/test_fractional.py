"""Parts of a model with fractions allowed: their price is that of all rows, whatever was left out of them."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable

import pytest
from ortools.sat.python import cp_model

from optimizer.solve import whole_circuits
from optimizer.solve.fractional import NOTHING, Fractional, Shrunk
from optimizer.solve.highs import silent_highs
from optimizer.solve.instance import build
from optimizer.solve.linear import LinearModel
from optimizer.solve.model import PlanModel, build_model
from optimizer.solve.relaxing import Relaxation
from optimizer.solve.rows import Rows
from optimizer.solve.variables import total
from optimizer.solve.whole_circuits import of_any_three_two_together_once
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case

NUMBERS = ["007", "023", "031", "066"]


def _built(number: str) -> PlanModel:
    built = build_model(build(case(number).job, case(number).catalogue))
    built.cp.minimize(total(built.bought.cost))
    return built


def _linear(built: PlanModel) -> LinearModel:
    return LinearModel(Rows(built.cp, built.bought.cost).read())


def _relaxed(built: PlanModel) -> Relaxation:
    relaxed = _linear(built).relaxing().solve(60)
    assert relaxed is not None
    return relaxed


@pytest.mark.parametrize("number", NUMBERS)
def test_without_what_is_too_dear_the_price_is_the_same(number: str) -> None:
    built = _built(number)
    relaxed, least_cents = _relaxed(built), case(number).total_cents
    assert least_cents is not None
    held = relaxed.too_dear(least_cents, [])
    rows = Shrunk(_linear(built), held)
    assert held
    assert len(rows.columns) == len(rows.least) < len(_linear(built).columns.least) - len(held) + 1
    assert len(rows.row_least) < len(_linear(built).columns.row_least)
    priced = Fractional(rows).priced({}, math.inf, 60)
    assert priced is not None
    assert priced.cents == pytest.approx(relaxed.least_cents, abs=1e-3)


@pytest.mark.parametrize("number", NUMBERS)
def test_rows_begin_where_the_relaxation_was_left(number: str) -> None:
    built = _built(number)
    relaxing = _linear(built).relaxing()
    first, least_cents = relaxing.solve(60), case(number).total_cents
    assert first is not None
    assert least_cents is not None
    terms = [(1, var) for _, var in built.bought.cost if 0 < first.value[var.index] < 1]
    assert terms
    row = [(-coef, var) for coef, var in terms], -1  # some rounded up, as a row of cutting asks: another relaxation
    relaxing.add(*row)
    built.cp.add(total(row[0]) <= row[1])
    relaxed = relaxing.solve(60)
    assert relaxed is not None
    built.cp.add(built.cp.new_int_var(0, 9, "grown") <= 8)
    for held in ({}, relaxed.too_dear(least_cents, [])):
        highs, rows = silent_highs(), Shrunk(_linear(built), held, basis=relaxed.basis)
        highs.passModel(rows.lp())
        assert not Shrunk(_linear(built), held).has_basis(highs)
        assert rows.has_basis(highs)
        highs.run()
        found = highs.getInfo()
        assert found.objective_function_value + rows.sure_cents == pytest.approx(relaxed.least_cents, abs=1e-3)
        if not held:  # without some of the rows that are met exactly there are other steps to it
            assert found.simplex_iteration_count == 0


def test_a_variable_counts_in_every_term_that_names_it() -> None:
    """HiGHS adds no row that names a column twice, and only its answer says so."""
    built = _built("007")
    relaxing = _linear(built).relaxing()
    first = relaxing.solve(60)
    assert first is not None
    bought = max((var for _, var in built.bought.cost), key=lambda var: first.value[var.index])
    most = math.ceil(first.value[bought.index]) - 1
    relaxing.add([(1, bought), (1, bought)], 2 * most)
    second = relaxing.solve(60)
    assert second is not None
    assert second.value[bought.index] <= most + 1e-6
    assert second.least_cents > first.least_cents


@pytest.mark.parametrize("number", NUMBERS)
def test_a_part_costs_what_the_model_with_its_spans_as_rows_costs(number: str) -> None:
    built = _built(number)
    relaxed, fractional = _relaxed(built), Fractional(Shrunk(_linear(built), {}))
    part = abs(relaxed.value - relaxed.value.round())
    split = [var for _, var in built.bought.cost if part[var.index] > 0.01]
    assert split
    for var in split[:3]:
        at = math.floor(relaxed.value[var.index])
        for span in ((0, at), (at + 1, max(var.proto.domain))):
            priced = fractional.priced({var.index: span}, math.inf, 60)
            model = cp_model.CpModel()
            model.proto.copy_from(built.cp.proto)
            model.add_linear_constraint(model.get_int_var_from_proto_index(var.index), *span)
            alone = LinearModel(Rows(model, built.bought.cost).read()).relaxing().solve(60)
            assert priced is not None
            assert priced.cents == pytest.approx(alone.least_cents if alone else math.inf, abs=1e-3)


def test_a_part_without_a_plan_and_one_too_dear_hold_nothing() -> None:
    built = _built("023")
    relaxed, fractional = _relaxed(built), Fractional(Shrunk(_linear(built), {}))
    load = built.v.instance.loads[0]
    none = {var.index: (0, 0) for var in [*(var for _, var in built.v.all_feeds(load)), *built.v.ac(load)]}
    assert fractional.priced(none, math.inf, 60) is NOTHING
    assert fractional.priced({}, relaxed.least_cents - 1, 60) is NOTHING
    priced = fractional.priced({}, relaxed.least_cents + 1, 60)
    assert priced is not None
    assert priced.cents == pytest.approx(relaxed.least_cents, abs=1e-3)


def test_where_there_is_no_time_or_somebody_stops_nothing_is_said() -> None:
    built = build_model(build(*made_up_job(12, 4, 90, 1)))
    built.cp.minimize(total(built.bought.cost))
    rows, stop = Shrunk(_linear(built), {}), threading.Event()
    assert Fractional(rows).priced({}, math.inf, 0.0) is None
    assert Fractional(rows, stop).priced({}, math.inf, 60) is not None
    stop.set()
    assert Fractional(rows, stop).priced({}, math.inf, 60) is None


@pytest.mark.parametrize(("loads", "places", "seed"), [(6, 1, 7), (6, 2, 4), (8, 2, 6)])
def test_half_of_each_of_three_circuits_is_not_laid(
    monkeypatch: pytest.MonkeyPatch, loads: int, places: int, seed: int
) -> None:
    """With the row on any three loads the relaxation of these jobs is dearer; but it is for more loads than theirs."""
    instance = build(*made_up_job(loads, places, 90, seed))

    def relaxed_cents(*without: Callable[..., None]) -> float:
        built = build_model(instance, without)
        built.cp.minimize(total(built.bought.cost))
        return _relaxed(built).least_cents

    assert relaxed_cents() == relaxed_cents(of_any_three_two_together_once)
    monkeypatch.setattr(whole_circuits, "FEW_LOADS", loads - 1)
    assert relaxed_cents() > relaxed_cents(of_any_three_two_together_once) + 50
