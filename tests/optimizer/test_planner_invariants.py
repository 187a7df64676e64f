"""What must hold of any plan, whatever the numbers: on tiny jobs made from a seed."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from optimizer import feeds
from optimizer.catalogue import Catalogue, Content, Offer
from optimizer.job import Job, Owned
from optimizer.plan import Plan
from optimizer.planner import plan
from optimizer.solve import instance
from tests.optimizer.made_up import made_up
from tests.optimizer.tiny import tiny

Bend = Callable[[Job], Job]
SEEDS = st.integers(min_value=0, max_value=2000)
few = settings(max_examples=25, derandomize=True, suppress_health_check=[HealthCheck.filter_too_much])


@cache
def planned(seed: int) -> Plan:
    return plan(*tiny(seed))


def cents(answer: Plan) -> float:
    """Total; infinite where no plan exists, so that totals can be compared."""
    assert answer.status in ("optimal", "infeasible")
    return math.inf if answer.total_cents is None else answer.total_cents


def limits(**fields: Any) -> Bend:
    return lambda job: replace(job, limits=replace(job.limits, **fields))


TIGHTER: dict[str, Bend] = {
    "drop": lambda job: limits(drop_pct=job.limits.drop_pct * 0.7)(job),
    "headroom": lambda job: limits(headroom_pct=job.limits.headroom_pct + 25)(job),
    "autonomy": lambda job: limits(autonomy_h=job.limits.autonomy_h * 1.6)(job),
    "spare ways": lambda job: replace(job, bus=replace(job.bus, spare_ways=max(0, job.bus.spare_ways - 1))),
    "far fault": lambda job: limits(far_fault_multiple=job.limits.far_fault_multiple + 6)(job),
    "fault current": lambda job: replace(job, bus=replace(job.bus, fault_a=job.bus.fault_a + 300)),
    "smallest conductor": lambda job: limits(min_mm2=4.0)(job),
    "bank derate": lambda job: limits(bank_derate=job.limits.bank_derate * 0.7)(job),
    "wiring allowance": lambda job: limits(wiring_allowance_pct=job.limits.wiring_allowance_pct + 20)(job),
    "way": lambda job: replace(job, bus=replace(job.bus, way_max_a=5)),
    "own circuits": lambda job: replace(job, loads=tuple(replace(load, own_circuit=True) for load in job.loads)),
    "no outlet": lambda job: replace(job, ac=None),
}


@pytest.mark.parametrize("what", TIGHTER)
@settings(few, max_examples=12)
@given(seed=SEEDS)
def test_tighter_limit_never_costs_less(what: str, seed: int) -> None:
    job, catalogue = tiny(seed)
    if what == "fault current":
        job = limits(far_fault_multiple=0)(job)  # a stronger battery helps the far fault
    if what in ("way", "fault current"):
        job = limits(fuse_ratio_max=None)(job)  # fewer fuses on offer make a larger one the smallest: no tightening
    assert cents(plan(job, catalogue)) <= cents(plan(TIGHTER[what](job), catalogue))


@few
@given(seed=SEEDS, at=st.integers(0, 10), fraction=st.sampled_from((0.3, 0.6, 1.0)))
def test_another_offer_never_raises_the_optimum(seed: int, at: int, fraction: float) -> None:
    job, catalogue = tiny(seed)
    model = catalogue.offers[at % len(catalogue.offers)]
    better = replace(model, id="zz", price_cents=round(model.price_cents * fraction))
    more = replace(catalogue, offers=(*catalogue.offers, better))
    assert cents(plan(job, more)) <= cents(planned(seed))


@few
@given(seed=SEEDS, at=st.integers(0, 5))
def test_taking_away_an_ordered_offer_never_lowers_it(seed: int, at: int) -> None:
    job, catalogue = tiny(seed)
    if job.limits.fuse_ratio_max is not None or not planned(seed).orders:
        return  # with the ratio limit a fuse taken away can make a larger one allowed
    orders = planned(seed).orders
    gone = orders[at % len(orders)].offer
    fewer = replace(catalogue, offers=tuple(offer for offer in catalogue.offers if offer.id != gone))
    assert cents(plan(job, fewer)) >= cents(planned(seed))


@few
@given(seed=SEEDS)
def test_twice_the_prices_are_twice_the_total(seed: int) -> None:
    job, catalogue = tiny(seed)
    offers = tuple(replace(offer, price_cents=2 * offer.price_cents) for offer in catalogue.offers)
    sellers = tuple(
        replace(
            seller,
            delivery_cents=2 * seller.delivery_cents,
            free_over_cents=None if seller.free_over_cents is None else 2 * seller.free_over_cents,
        )
        for seller in catalogue.sellers
    )
    assert cents(plan(job, replace(catalogue, offers=offers, sellers=sellers))) == 2 * cents(planned(seed))


@few
@given(seed=SEEDS)
def test_stock_on_hand_never_raises_it(seed: int) -> None:
    job, catalogue = tiny(seed)
    with_stock, without = planned(seed), plan(replace(job, owned=()), catalogue)
    if job.limits.fuse_ratio_max is None:  # a fuse in stock counts as on offer and can make another one oversized
        assert cents(with_stock) <= cents(without)


@few
@given(seed=SEEDS)
def test_nothing_is_bought_where_everything_is_owned(seed: int) -> None:
    job, catalogue = tiny(seed)
    answer = planned(seed)
    if not answer.has_answer:
        return
    owned = (*job.owned, *_bought(catalogue, answer))
    assert cents(plan(replace(job, owned=owned), catalogue)) == 0
    nobody_sells = replace(catalogue, sellers=(), offers=())
    assert cents(plan(replace(job, owned=owned), nobody_sells)) == 0


@pytest.mark.parametrize("has_parts", [True, False])
def test_where_nobody_sells_anything_there_is_no_plan(has_parts: bool) -> None:
    job, catalogue = tiny(1)
    assert planned(1).orders
    parts = catalogue.parts if has_parts else ()
    assert plan(job, Catalogue(sellers=(), parts=parts, offers=())).status == "infeasible"


def _bought(catalogue: Catalogue, answer: Plan) -> Iterator[Owned]:
    """Everything that a plan orders, as stock."""
    pieces: Counter[str] = Counter()
    for order in answer.orders:
        offer = catalogue.offer_by_id[order.offer]
        for content in offer.contents:
            if content.length_m is None:
                pieces[content.part] += order.quantity * (content.count or 0)
            elif offer.step_m is not None:
                yield Owned(part=content.part, length_m=order.quantity * offer.step_m)
            else:
                yield from [Owned(part=content.part, length_m=content.length_m)] * order.quantity
    yield from (Owned(part=part, count=count) for part, count in pieces.items())


@few
@given(seed=SEEDS)
def test_offers_of_things_nobody_needs_change_nothing_without_a_threshold(seed: int) -> None:
    job, catalogue = tiny(seed)
    sellers = tuple(replace(seller, free_over_cents=None) for seller in catalogue.sellers)
    plain = replace(catalogue, sellers=sellers)
    unasked = tuple(
        Offer(id=f"x{n}", seller="east", price_cents=n, contents=(Content(part="kit", count=1),)) for n in range(1, 4)
    )
    more = replace(plain, offers=(*plain.offers, *unasked)) if "kit" in plain else plain
    if job.bank.may_buy:
        return
    assert plan(job, more).orders == plan(job, plain).orders


# -- what the planner leaves out of the model does not matter -----------------------------------------------------


def unpruned(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(instance, "without_beaten", lambda options, *_, **__: options)
    monkeypatch.setattr(feeds.Heads, "beaten", lambda _, chains: np.zeros(len(chains), dtype=bool))
    monkeypatch.setattr(feeds.Ends, "unbeaten", lambda _, chains: chains)


@pytest.mark.parametrize("seed", range(100, 140))
def test_feeds_that_another_beats_change_no_total(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    pruned = cents(planned(seed))
    unpruned(monkeypatch)
    assert cents(plan(*tiny(seed))) == pruned


@pytest.mark.parametrize("seed", [1, 4, 7, 8])
def test_feeds_that_another_beats_change_no_total_of_a_larger_job(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    job, catalogue = made_up(seed)
    small = _thinned(catalogue, seed)
    pruned, options = cents(plan(job, small)), _options(job, small)
    unpruned(monkeypatch)
    assert _options(job, small) > options
    assert cents(plan(job, small)) == pruned


def _options(job: Job, catalogue: Catalogue) -> int:
    return sum(len(options) for options in instance.build(job, catalogue).options.values())


def _thinned(catalogue: Catalogue, seed: int) -> Catalogue:
    """Every second stage and cable, so that nothing need be pruned."""
    gone = {p.id for n, p in enumerate(catalogue.parts) if p.kind in ("stage", "cable") and n % 2 == seed % 2}
    offers = tuple(o for o in catalogue.offers if not any(content.part in gone for content in o.contents))
    return replace(catalogue, offers=offers)
