"""Plans without one of the sellers: what is held, in which order, and when it is not worth a search."""

from __future__ import annotations

import pytest

from optimizer.solve import other_sellers
from optimizer.solve.around import LookAround
from optimizer.solve.best import Best
from optimizer.solve.cases import Cases
from optimizer.solve.diving import Diving
from optimizer.solve.instance import build
from optimizer.solve.narrowed import Narrowed
from optimizer.solve.other_sellers import OtherSellers
from optimizer.solve.variables import Var
from tests.benchmarks.jobs import made_up_job
from tests.optimizer.solve.begun import LIMIT_S, begun


@pytest.fixture(scope="module")
def best() -> Best:
    """A careful person's plan, which buys from both sellers whose delivery costs something."""
    best, _ = begun(build(*made_up_job(12, 4, 90, 2)))
    assert [best.solution[var.index] for var in best.built.bought.used.values()] == [1, 1]
    return best


@pytest.fixture
def others(best: Best) -> OtherSellers:
    _, settling = begun(best.built.v.instance)
    relaxed = LookAround(best, settling).tightened(60)
    assert relaxed is not None
    return OtherSellers(best, relaxed, Cases(best, Narrowed(best, relaxed), relaxed, lambda _: None))


def _relaxed_without(best: Best, seller: Var) -> float:
    """What HiGHS says of the whole model, with fractions allowed and nothing from that seller. [cents]"""
    relaxing = best.linear().relaxing(best.halt)
    relaxing.add([(1, seller)], 0)
    relaxed = relaxing.solve(60)
    assert relaxed is not None
    return relaxed.least_cents


def test_each_seller_is_left_out_once_the_one_with_the_cheapest_relaxation_first(
    best: Best, others: OtherSellers
) -> None:
    used, left_out = best.built.bought.used, []
    while (held := others.next()) is not None:
        (seller,) = [seller for seller, var in used.items() if held.get(var.index) == 0]
        left_out.append(seller)
    assert left_out == sorted(used, key=lambda seller: _relaxed_without(best, used[seller]))


def test_without_a_seller_a_cheaper_plan_is_found_where_there_is_one(best: Best, others: OtherSellers) -> None:
    held = others.next()
    assert held is not None
    (seller,) = [seller for seller, var in best.built.bought.used.items() if held.get(var.index) == 0]
    found = Diving(best).below(best.solution, held, limit_s=LIMIT_S)
    assert found.is_ended
    assert found.solution is not None
    assert all(found.solution[index] == value for index, value in held.items())
    sold = [var for offer, var in best.built.bought.quantity.items() if _seller(best, offer) == seller]
    assert sum(best.solution[var.index] for var in sold) > 0
    assert sum(found.solution[var.index] for var in sold) == 0


def _seller(best: Best, offer: str) -> str:
    return best.built.v.instance.catalogue.offer_by_id[offer].seller


def test_what_is_mostly_no_cheaper_is_not_searched(
    best: Best, others: OtherSellers, monkeypatch: pytest.MonkeyPatch
) -> None:
    cheapest = min(_relaxed_without(best, var) for var in best.built.bought.used.values())
    monkeypatch.setattr(other_sellers, "WORTH", 1.0001 * best.cost_cents / cheapest)
    assert others.next() is None
    monkeypatch.setattr(other_sellers, "WORTH", 0.9999 * best.cost_cents / cheapest)
    assert others.next() is not None
    assert others.next() is None
