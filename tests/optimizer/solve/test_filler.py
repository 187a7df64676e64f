"""Goods that nobody needs, against every quantity there is."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.catalogue import Content, Offer
from optimizer.solve.filler import attainable_cents, fill

OFFERS = st.lists(st.tuples(st.integers(0, 25), st.sampled_from((None, 1, 2, 3))), max_size=4)
thorough = settings(max_examples=150, deadline=None, derandomize=True)


def offers(prices: list[tuple[int, int | None]]) -> list[Offer]:
    some = (Content(part="bead", count=1),)
    return [
        Offer(id=f"o{n}", seller="shop", price_cents=price, limit=limit, contents=some)
        for n, (price, limit) in enumerate(prices)
    ]


def by_trying(prices: list[tuple[int, int | None]], most_cents: int) -> list[int]:
    units = [
        range(1 + (0 if price == 0 else min(most_cents // price, most_cents if limit is None else limit)))
        for price, limit in prices
    ]
    sums = {sum(n * price for n, (price, _) in zip(taken, prices, strict=True)) for taken in itertools.product(*units)}
    return sorted(cents for cents in sums if cents <= most_cents)


@thorough
@given(prices=OFFERS, most_cents=st.integers(0, 40))
def test_sums_equal_trying_everything(prices: list[tuple[int, int | None]], most_cents: int) -> None:
    assert attainable_cents(offers(prices), most_cents) == by_trying(prices, most_cents)


@thorough
@given(prices=OFFERS, most_cents=st.integers(0, 40))
def test_every_sum_can_be_filled_exactly(prices: list[tuple[int, int | None]], most_cents: int) -> None:
    some = offers(prices)
    by_id = {offer.id: offer for offer in some}
    for cents in attainable_cents(some, most_cents):
        quantities = fill(some, cents)
        assert sum(by_id[offer].price_cents * units for offer, units in quantities.items()) == cents
        assert all(units >= 1 and units <= (by_id[o].limit or units) for o, units in quantities.items())


@thorough
@given(prices=OFFERS, most_cents=st.integers(0, 30))
def test_filled_with_the_fewest_order_lines(prices: list[tuple[int, int | None]], most_cents: int) -> None:
    some = offers(prices)
    for cents in attainable_cents(some, most_cents):
        subsets = itertools.chain.from_iterable(itertools.combinations(prices, n) for n in range(len(prices) + 1))
        fewest = next(len(few) for few in subsets if cents in by_trying(list(few), cents))
        assert len(fill(some, cents)) == fewest


def test_sum_that_cannot_be_made_is_refused() -> None:
    with pytest.raises(ValueError, match="7 cents"):
        fill(offers([(5, None), (3, 0)]), 7)
