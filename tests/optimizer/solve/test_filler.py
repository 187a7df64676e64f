"""Goods that nobody needs, against every quantity there is."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.catalogue import Content, Offer
from optimizer.checks import failures
from optimizer.planner import plan
from optimizer.solve.filler import are_many, attainable_cents, fill, with_prices_of_their_own
from tests.builders import a_catalogue, a_job

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


@thorough
@given(prices=OFFERS, most_cents=st.integers(0, 40))
def test_offers_left_out_make_no_sum_of_their_own(prices: list[tuple[int, int | None]], most_cents: int) -> None:
    kept = with_prices_of_their_own(offers(prices))
    assert attainable_cents(kept, most_cents) == by_trying(prices, most_cents)


def test_whether_sums_are_many() -> None:
    assert are_many(offers([(100, None)]), 1_000_000_000)
    assert not are_many(offers([(100, None)]), 1000)
    assert not are_many(offers([(2_000_000_000, None)]), 1_000_000_000)


@pytest.mark.parametrize("price_cents", [100, 99])
def test_delivery_dearer_than_all_else_takes_no_longer(price_cents: int) -> None:
    """Goods of 10,160 and whatever else nobody needs: less than 10^9 of delivery where they reach 10^9 (rules 6, 9)."""
    plain = a_catalogue(seller={"delivery_cents": 10**9, "free_over_cents": 10**9})
    bead = Offer(id="bead", seller="shop", price_cents=price_cents, contents=(Content(part="red4", length_m=0.1),))
    only = replace(plain, offers=(*(replace(o, limit=o.limit or 20) for o in plain.offers), bead))
    answer = plan(a_job(), only, time_limit_s=60)
    assert answer.status == "optimal"
    assert answer.total_cents is not None
    assert 10**9 <= answer.total_cents < 10**9 + 99
    assert not failures(answer.checks)
