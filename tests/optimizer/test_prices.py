"""Price bounds must hold whatever packs, kits, stock and delivery do: held against every basket there is."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.catalogue import Catalogue, Content, Offer, Seller, Stage
from optimizer.job import Job, Owned
from optimizer.price_table import PartPrices, PriceTable
from optimizer.prices import PriceBounds
from tests.builders import a_job

PARTS = ("a", "b", "c")
MOST_UNITS = 5
contents = st.lists(
    st.builds(Content, part=st.sampled_from(PARTS), count=st.sampled_from((1, 1, 2))),
    min_size=1,
    max_size=2,
    unique_by=lambda content: content.part,
)
terms = st.tuples(contents, st.integers(100, 400), st.sampled_from(("east", "west")), st.sampled_from((None, None, 1)))
sellers = st.tuples(*[st.tuples(st.sampled_from((0, 90, 150)), st.sampled_from((None, 300, 600)))] * 2)
wants = st.fixed_dictionaries({part: st.integers(0, 2) for part in PARTS})


def stage(part: str) -> Stage:
    return Stage(
        id=part,
        in_form="dc-wire",
        in_min_v=9,
        in_max_v=32,
        out_form="dc-plug",
        out_v=19,
        max_out_w=60,
        efficiency=0.9,
        idle_w=1,
    )


def market(
    offered: list[tuple[list[Content], int, str, int | None]],
    delivery: tuple[tuple[int, int | None], tuple[int, int | None]],
) -> Catalogue:
    return Catalogue(
        sellers=tuple(
            Seller(id=name, name=name, delivery_cents=cents, free_over_cents=over)
            for name, (cents, over) in zip(("east", "west"), delivery, strict=True)
        ),
        parts=tuple(stage(part) for part in PARTS),
        offers=tuple(
            Offer(id=f"o{n}", seller=seller, price_cents=price, contents=tuple(inside), limit=limit)
            for n, (inside, price, seller, limit) in enumerate(offered)
        ),
    )


class Baskets:
    """Every basket of up to so many units of each offer, with its total and what it holds."""

    def __init__(self, job: Job, catalogue: Catalogue) -> None:
        most = [MOST_UNITS if offer.limit is None else offer.limit for offer in catalogue.offers]
        grid = np.indices([m + 1 for m in most]).reshape(len(most), -1).T
        self._total = np.zeros(len(grid), dtype=np.int64)
        for seller in catalogue.sellers:
            theirs = [offer.seller == seller.id for offer in catalogue.offers]
            prices = np.array([offer.price_cents for offer in catalogue.offers]) * theirs
            goods = grid @ prices
            free = goods >= (math.inf if seller.free_over_cents is None else seller.free_over_cents)
            self._total += goods + seller.delivery_cents * (grid[:, theirs].any(axis=1) & ~free)
        owned = Counter({o.part: o.count or 0 for o in job.owned})
        self._held = {
            part: owned[part]
            + grid @ np.array([sum(c.count or 0 for c in o.contents if c.part == part) for o in catalogue.offers])
            for part in PARTS
        }

    def cents(self, wanted: dict[str, int]) -> float:
        """The cheapest basket that holds what is wanted; infinite where none does."""
        holds = np.all([self._held[part] >= count for part, count in wanted.items()], axis=0)
        return float(self._total[holds].min()) if holds.any() else math.inf


@settings(max_examples=150, derandomize=True)
@given(
    offered=st.lists(terms, min_size=1, max_size=4),
    delivery=sellers,
    wanted=wants,
    owned=st.booleans(),
    few=st.sets(st.sampled_from(PARTS), min_size=1),
)
def test_bounds_hold_against_every_basket(
    offered: list[tuple[list[Content], int, str, int | None]],
    delivery: tuple[tuple[int, int | None], tuple[int, int | None]],
    wanted: dict[str, int],
    owned: bool,
    few: set[str],
) -> None:
    job = a_job(owned=(Owned(part="a", count=1),) if owned else ())
    catalogue = market(offered, delivery)
    prices, baskets = PriceBounds(job, catalogue), Baskets(job, catalogue)
    plain = baskets.cents(wanted)
    more = baskets.cents({part: count + (part in few) for part, count in wanted.items()})
    if math.isinf(plain):
        return
    needs = [prices.by_seller(part) for part in sorted(few)]
    assert more - plain <= prices.most_together_cents(needs)
    if not math.isinf(more):
        assert more - plain >= prices.least_together_cents(tuple(sorted(few)))


def one(**fields: object) -> PriceBounds:
    offer = Offer(id="o", seller="east", price_cents=200, contents=(Content(part="a", count=1),), **fields)
    return PriceBounds(a_job(), market_of(offer))


def market_of(*offers: Offer, over: int | None = None, delivery: int = 90) -> Catalogue:
    seller = Seller(id="east", name="east", delivery_cents=delivery, free_over_cents=over)
    return Catalogue(sellers=(seller,), parts=tuple(stage(part) for part in PARTS), offers=offers)


def test_one_more_unit_costs_at_most_a_pack_and_a_delivery() -> None:
    assert one().most_cents("a") == 290


def test_offer_with_a_limit_promises_nothing() -> None:
    assert one(limit=3).most_cents("a") == math.inf


def test_part_that_nobody_sells_is_not_to_be_had() -> None:
    assert one().most_cents("b") == math.inf
    assert not one().is_sold_or_owned("b")


def test_asking_for_its_price_does_not_put_a_part_on_sale() -> None:
    prices = one()
    assert prices.by_seller("b") == (math.inf,)
    assert not prices.is_sold_or_owned("b")


@pytest.mark.parametrize(
    ("count", "over", "owned", "expected"),
    [
        pytest.param(1, None, False, 200, id="a single unit saves its price"),
        pytest.param(1, 1000, False, 110, id="which may cost a waived delivery"),
        pytest.param(2, None, False, 0, id="a pack may hold it anyway"),
        pytest.param(1, None, True, 0, id="and so may stock"),
    ],
)
def test_one_unit_less_saves_at_least(count: int, over: int | None, owned: bool, expected: float) -> None:
    offer = Offer(id="o", seller="east", price_cents=200, contents=(Content(part="a", count=count),))
    job = a_job(owned=(Owned(part="a", count=1),) if owned else ())
    assert PriceBounds(job, market_of(offer, over=over)).least_cents("a") == expected


def test_needs_from_one_seller_share_a_delivery() -> None:
    two = [Offer(id=p, seller="east", price_cents=200, contents=(Content(part=p, count=1),)) for p in ("a", "b")]
    prices = PriceBounds(a_job(), market_of(*two))
    assert prices.most_together_cents([prices.by_seller("a"), prices.by_seller("b")]) == 490


def test_cuts_come_from_a_whole_spool_or_whole_steps() -> None:
    spool = Offer(id="s", seller="east", price_cents=900, contents=(Content(part="a", length_m=5),))
    metre = Offer(id="m", seller="east", price_cents=40, contents=(Content(part="b", length_m=0.5),), step_m=0.5)
    prices = PriceBounds(a_job(), market_of(spool, metre))
    assert prices.cut_by_seller("a", 5000) == (900,)
    assert prices.cut_by_seller("a", 5001) == (math.inf,)
    assert prices.cut_by_seller("b", 1001) == (120,)  # three steps of 0.5 m


@given(
    offered=st.lists(terms, min_size=2, max_size=6),
    delivery=sellers,
    owned=st.sampled_from((None, "a")),
    is_further=st.booleans(),
    same_is_dearer=st.booleans(),
)
@settings(max_examples=300)
def test_sets_of_parts_compare_at_once_as_they_do_one_by_one(
    offered: list[tuple[list[Content], int, str, int | None]],
    delivery: tuple[tuple[int, int | None], tuple[int, int | None]],
    owned: str | None,
    is_further: bool,
    same_is_dearer: bool,
) -> None:
    stock = () if owned is None else (Owned(part=owned, count=1),)
    bounds = PriceBounds(replace(a_job(), owned=stock), market(offered, delivery))
    further = ((40.0, 60.0),) if is_further else ()
    rows = [(0, 3, 3), (1, 3, 3), (2, 3, 3), (0, 1, 3), (2, 0, 3), (1, 2, 3), (0, 1, 2)]
    sets = [frozenset(PARTS[n] for n in row if n < len(PARTS)) for row in rows]
    table = PriceTable(PartPrices(bounds, PARTS), np.array(rows, dtype=np.intp))
    everybody = np.arange(len(rows))
    for one, better in enumerate(sets):
        found = table.are_dearer(everybody, np.full(len(rows), one), lambda *_: further, same_is_dearer=same_is_dearer)
        for worse, is_dearer in zip(sets, found.tolist(), strict=True):
            contained = better <= worse and (same_is_dearer or better != worse) and not further
            assert is_dearer == (contained or bounds.is_surely_cheaper(better, worse, further))
        assert (table.price[found] >= table.price[one]).all()


def test_a_kind_that_cannot_be_had_is_never_cheaper() -> None:
    offered = [([Content(part=part, count=1)], cents, "east", None) for part, cents in (("a", 100), ("b", 400))]
    rows = np.array([[0], [1]], dtype=np.intp)
    table = PriceTable(PartPrices(PriceBounds(a_job(), market(offered, ((0, None), (0, None)))), PARTS), rows)
    cheap, dear = np.array([0]), np.array([1])
    for kind, expected in ((0, True), (1, False)):
        found = table.are_dearer(
            dear, cheap, lambda _, kind: None if kind else (), np.array([kind], dtype=np.intp), same_is_dearer=True
        )
        assert found.tolist() == [expected]
