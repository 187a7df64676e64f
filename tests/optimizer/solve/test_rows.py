"""The model as rows of numbers: the same optimum with HiGHS as with CP-SAT, and the same answers about solutions."""

from __future__ import annotations

import random

import pytest
from ortools.sat.python import cp_model

from optimizer.solve.linear import LinearModel
from optimizer.solve.rows import Rows


def _made_up(dice: random.Random) -> tuple[cp_model.CpModel, list[cp_model.IntVar], list[tuple[int, cp_model.IntVar]]]:
    """A few whole numbers, some with gaps, under a few rows, some of which hold only on a condition."""
    model = cp_model.CpModel()
    conditions = [model.new_bool_var(f"condition{n}") for n in range(3)]
    numbers = [model.new_int_var(dice.randint(-4, 0), dice.randint(1, 6), f"number{n}") for n in range(3)]
    gaps = [[0, 0], [dice.randint(2, 3), dice.randint(4, 7)], [9, 9]]
    numbers += [model.new_int_var_from_domain(cp_model.Domain.from_intervals(gaps), f"gaps{n}") for n in range(2)]
    every = [*conditions, *numbers]
    for _ in range(6):
        _add_row(model, dice, conditions, every)
    model.add_bool_or(conditions)
    return model, every, [(dice.randint(-9, 20), var) for var in every]


def _add_row(model: cp_model.CpModel, dice: random.Random, conditions: list, every: list) -> None:
    size = dice.choice((1, 1, 3_000_000))  # rows of large numbers are scaled
    condition = dice.choice(conditions)
    among = dice.sample([var for var in every if var is not condition], dice.randint(1, 5))
    terms = sum(size * dice.randint(-3, 5) * var for var in among)
    least = dice.choice((None, size * dice.randint(-9, 4)))
    most = size * dice.randint(5, 25)
    row = terms <= most if least is None else cp_model.BoundedLinearExpression(terms, cp_model.Domain(least, most))
    added = model.add(row)
    if dice.random() < 0.5:
        added.only_enforce_if(condition)


def _with_cp_sat(model: cp_model.CpModel, cost: list) -> int | None:
    model.minimize(sum(coef * var for coef, var in cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    return round(solver.objective_value) if solver.solve(model) == cp_model.OPTIMAL else None


@pytest.mark.parametrize("seed", range(40))
def test_highs_comes_to_the_optimum_of_cp_sat(seed: int) -> None:
    dice = random.Random(seed)
    model, every, cost = _made_up(dice)
    cost = [(abs(coef), var) for coef, var in cost if var.proto.domain[0] == 0]  # bounds are cents, none below 0
    rows = Rows(model, cost)
    for _ in range(2):
        found = LinearModel(rows.read()).minimize(
            limit_s=30, start=[], stop=None, on_solution=lambda _: None, on_bound=lambda _: None
        )
        best = _with_cp_sat(model, cost)
        assert found.is_infeasible == (best is None)
        if best is not None:
            assert found.is_optimal
            assert found.solution is not None
            assert rows.read().cents(found.solution) == found.bound_cents == best
        _add_row(model, dice, every[:3], every)  # and on with what was added since


def test_whether_a_solution_holds_is_what_cp_sat_says() -> None:
    dice, said = random.Random(1), []
    for _ in range(60):
        model, every, cost = _made_up(dice)
        whole = Rows(model, cost).read()
        values = [dice.choice((0, 1)) for _ in range(3)] + [dice.choice((-5, -1, 0, 1, 3, 4, 9)) for _ in range(5)]
        for var, value in zip(every, values, strict=True):
            model.add(var == value)
        holds = _with_cp_sat(model, []) is not None
        assert whole.holds(values) == holds
        said.append(holds)
    assert {True, False} == set(said)


def test_all_columns_of_a_solution_obey_the_rows() -> None:
    """Also those that say among which gaps a variable lies: HiGHS is given solutions whole."""
    model, every, cost = _made_up(random.Random(4))
    cost = [(abs(coef), var) for coef, var in cost if var.proto.domain[0] == 0]
    linear = LinearModel(Rows(model, cost).read())
    found = linear.minimize(limit_s=30, start=[], stop=None, on_solution=lambda _: None, on_bound=lambda _: None)
    assert found.solution is not None
    columns = linear._columns.values(found.solution)
    assert len(columns) > len(every)
    for at, (start, end) in enumerate(zip(linear._columns.starts[:-1], linear._columns.starts[1:], strict=True)):
        value = linear._columns.coefs[start:end] @ columns[linear._columns.vars[start:end]]
        assert linear._columns.row_least[at] - 1e-9 <= value <= linear._columns.row_most[at] + 1e-9


def test_what_others_found_is_no_news() -> None:
    """HiGHS takes it up, and tells of nothing that is not better."""
    model, _, cost = _made_up(random.Random(4))
    cost = [(abs(coef), var) for coef, var in cost if var.proto.domain[0] == 0]
    linear = LinearModel(Rows(model, cost).read())
    told: list[list[int]] = []
    first = linear.minimize(limit_s=30, start=[], stop=None, on_solution=told.append, on_bound=lambda _: None)
    assert told.pop() == first.solution
    told.clear()
    again = linear.minimize(
        limit_s=30,
        start=[],
        stop=None,
        on_solution=told.append,
        on_bound=lambda _: None,
        known=lambda: first.solution or [],
    )
    assert (again, told) == (first, [])
