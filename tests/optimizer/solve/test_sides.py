"""Sides of a solution that looks keep by turns, and solutions with one seller more or less."""

from __future__ import annotations

import pytest

from optimizer.planner import plan
from optimizer.solve import around, search
from optimizer.solve.around import LookAround
from optimizer.solve.instance import build
from optimizer.solve.sides import Side, in_turn, other_sellers
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.cases import case
from tests.optimizer.solve.before import Before
from tests.optimizer.solve.begun import begun


def test_a_side_keeps_what_it_says_and_leaves_open_what_is_bought() -> None:
    best, _ = begun(build(*made_up_job(4, 2, 90, 1)))
    v, solution = best.built.v, best.solution
    with_stages, with_pairs, stages, _, circuits, nothing = in_turn(v)
    laid = {var.index for circuit in v.circuits for var in v.opened(circuit)}
    pairs = {var.index for circuit in v.circuits for _, var in v.pairs(circuit)}
    assert circuits.held(solution).keys() == laid
    assert with_pairs.held(solution).keys() == laid | pairs
    assert with_stages.held(solution) == circuits.held(solution) | stages.held(solution)
    assert nothing.held(solution) == {}
    for side in (with_stages, with_pairs, stages, circuits):
        held = side.held(solution)
        assert all(solution[index] == value for index, value in held.items())
        assert not {var.index for var in best.built.bought.quantity.values()} & held.keys()


def test_stages_are_kept_and_their_leads_are_not() -> None:
    best, _ = begun(build(*made_up_job(4, 2, 90, 1)))
    v, solution = best.built.v, best.solution
    held = in_turn(v)[2].held(solution)
    opened = 0
    for load in v.instance.loads:
        feeds = list(v.all_feeds(load))
        chosen = {option.parts for option, var in feeds if solution[var.index]}
        assert len(chosen) == 1
        assert {option.parts for option, var in feeds if var.index not in held} == chosen
        assert all(held[var.index] == 0 for option, var in feeds if option.parts not in chosen)
        opened += sum(var.index not in held for _, var in feeds)
    assert opened > len(v.instance.loads)


def test_one_seller_less_or_more_each_time() -> None:
    best, _ = begun(build(*made_up_job(4, 2, 90, 1)))
    bought, solution = best.built.bought, best.solution
    flips = list(other_sellers(bought, solution))
    assert len(flips) == len(bought.used) > 1
    for (seller, used), held in zip(bought.used.items(), flips, strict=True):
        assert held[used.index] == 1 - solution[used.index]
        assert set(held) <= {used.index, bought.waived[seller].index}


def test_conductors_of_all_circuits_chosen_together_are_cheaper_than_place_by_place() -> None:
    """Of a job of twelve loads as a careful person plans it: one look with circuits and stages kept."""
    best, settling = begun(build(*made_up_job(12, 4, 90, 1)))
    around_it = LookAround(best, settling)
    relaxed = around_it.tightened(60)
    assert relaxed is not None
    before_cents, kept = best.cost_cents, in_turn(best.built.v)[0]
    assert isinstance(kept, Side)
    held = kept.held(best.solution)
    found = best.linear().look(
        relaxed.dear(kept.reach_cents, best.solution) | held, limit_s=60, stop=None, below_cents=before_cents
    )
    assert found.solution is not None
    assert best.cents_of(found.solution) < before_cents
    assert all(found.solution[index] == value for index, value in held.items())


@pytest.mark.parametrize("number", ["023", "031"])
def test_looks_with_other_sellers_change_no_total(monkeypatch: pytest.MonkeyPatch, number: str) -> None:
    """Every job counts as one of many loads, and looks by turns start with one seller more or less."""
    looked = []
    monkeypatch.setattr(search, "FEW_LOADS", 0)
    monkeypatch.setattr(search, "Beside", Before)
    monkeypatch.setattr(around, "IN_VAIN", 1)
    monkeypatch.setattr(around, "ROUNDS", 0)
    elsewhere = LookAround._look_elsewhere
    monkeypatch.setattr(
        LookAround, "_look_elsewhere", lambda self, *args: (looked.append(1), elsewhere(self, *args))[1]
    )
    answer = plan(case(number).job, case(number).catalogue)
    assert looked
    assert (answer.status, answer.total_cents) == ("optimal", case(number).total_cents)
