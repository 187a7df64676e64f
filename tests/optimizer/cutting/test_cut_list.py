"""Whole answers: totals against other methods, every rule by the verifier."""

from __future__ import annotations

import random

import pytest

from optimizer.cutting import ByTheMetre, CutListRequest, Owned, Run, Settings, Spool, cut_list
from tests.benchmarks import cut_lists
from tests.optimizer.cutting.trying_all import best_of_all
from tests.optimizer.cutting.verifier import faults_of


def tiny(seed):
    rng = random.Random(seed)
    cables = ["a", "b"][: rng.choice([1, 1, 2])]
    spools = tuple(
        Spool(
            offer=f"s{at}",
            cable=rng.choice(cables),
            length_mm=rng.randint(8, 30),
            price_cents=rng.randint(5, 40),
            limit=rng.choice([None, None, 1, 2]),
        )
        for at in range(rng.randint(1, 3))
    )
    metre = ()
    if rng.random() < 0.6:
        step_mm = rng.randint(2, 7)
        metre = (ByTheMetre(offer="m", cable=rng.choice(cables), step_mm=step_mm, step_cents=rng.randint(3, 9)),)
    owned = tuple(
        Owned(id=f"o{at}", cable=rng.choice(cables), length_mm=rng.randint(4, 15)) for at in range(rng.randint(0, 2))
    )
    runs = tuple(
        Run(
            id=f"r{at}",
            length_mm=rng.randint(3, 14),
            cables=tuple(rng.sample(cables, rng.randint(1, len(cables)))),
            quantity=rng.choice([1, 1, 2]),
        )
        for at in range(rng.randint(1, 3))
    )
    settings = Settings(
        kerf_mm=rng.choice([0, 0, 1]), trim_mm=rng.choice([0, 0, 2]), least_offcut_mm=rng.choice([0, 5])
    )
    return CutListRequest(runs=runs, spools=spools, by_the_metre=metre, owned=owned, settings=settings)


@pytest.mark.parametrize("seed", range(200))
def test_tiny_lists_agree_with_trying_all(seed):
    request = tiny(seed)
    answer, best = cut_list(request), best_of_all(request)
    if best is None:
        assert answer.status == "infeasible"
        assert answer.reasons
        return
    assert (answer.status, answer.total_cents) == ("optimal", best[0])
    assert not faults_of(request, answer)


@pytest.mark.parametrize("family", [cut_lists.single, cut_lists.plain])
@pytest.mark.parametrize("pieces", [10, 20, 80, 320])
def test_realistic_lists_are_sound(family, pieces):
    for seed in range(4):
        request = family(pieces, seed)
        assert not faults_of(request, cut_list(request, time_limit_s=10))
