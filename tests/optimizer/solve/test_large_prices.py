"""Prices so large that price and power no longer fit one whole number of the solver."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.planner import plan
from tests.optimizer.cases import case

TIMES = 30_000


@pytest.mark.parametrize("number", ["066", "016"])
def test_all_money_times_something_is_the_total_times_it(number: str) -> None:
    small = case(number)
    catalogue = replace(
        small.catalogue,
        offers=tuple(replace(offer, price_cents=offer.price_cents * TIMES) for offer in small.catalogue.offers),
        sellers=tuple(
            replace(
                seller,
                delivery_cents=seller.delivery_cents * TIMES,
                free_over_cents=None if seller.free_over_cents is None else seller.free_over_cents * TIMES,
            )
            for seller in small.catalogue.sellers
        ),
    )
    assert plan(small.job, catalogue).total_cents == small.total_cents * TIMES
