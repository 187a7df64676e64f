"""Made-up jobs are the same from the same seed, are sound documents, and have the size and the choices asked for."""

from __future__ import annotations

import pytest

from optimizer.feeds import FeedFinder
from optimizer.prices import PriceBounds
from optimizer.solve.instance import build
from tests.benchmarks.irrelevant import with_irrelevant_offers
from tests.benchmarks.jobs import SIZES_OF_JOBS, made_up_documents, made_up_job, safer_documents, safer_job
from webapp import schemas


@pytest.mark.parametrize("size", SIZES_OF_JOBS, ids=lambda size: size.label)
def test_documents_are_sound_and_of_the_size_asked_for(size):
    job, catalogue = made_up_documents(*size, seed=1)
    assert schemas.read_job(job).faults == ()
    assert schemas.read_catalogue(catalogue).faults == ()
    assert (len(job["loads"]), len(job["places"])) == (size.loads, size.places)
    assert abs(len(catalogue["parts"]) - size.parts) <= 5


def test_equal_seeds_give_equal_documents_and_others_do_not():
    assert made_up_documents(6, 3, 120, 1) == made_up_documents(6, 3, 120, 1)
    assert made_up_documents(6, 3, 120, 1) != made_up_documents(6, 3, 120, 2)
    assert safer_documents(6, 3, 1) == safer_documents(6, 3, 1)


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("make", [lambda seed: made_up_job(12, 4, 90, seed), lambda seed: safer_job(6, 3, seed)])
def test_every_load_can_be_fed_and_most_in_several_ways(make, seed):
    job, catalogue = make(seed)
    finder = FeedFinder(job, catalogue, PriceBounds(job, catalogue))
    ways = [len(finder.options(load)) for load in job.loads]
    assert min(ways) >= 1
    assert sorted(ways)[len(ways) // 2] >= 4


def test_irrelevant_offers_are_at_every_seller_and_change_no_candidate():
    job, catalogue = made_up_job(4, 2, 90, 1)
    larger = with_irrelevant_offers(catalogue, 1000)
    added = larger.offers[len(catalogue.offers) :]
    assert len(added) == 1000
    assert {offer.seller for offer in added} == {seller.id for seller in catalogue.sellers}
    before, after = build(job, catalogue), build(job, larger)
    assert before.options == after.options
    assert before.pairs == after.pairs
    assert (before.fuses, before.switches, before.holders) == (after.fuses, after.switches, after.holders)
