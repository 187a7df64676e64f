"""What total length alone decides, part by part, against trying all."""

from __future__ import annotations

import itertools
import random

import pytest

from optimizer.cutting import ByTheMetre, CutListRequest, Owned, Run, Spool, cut_list
from optimizer.cutting.at_once import at_once
from optimizer.cutting.cheapest import cheapest
from optimizer.cutting.mixes import mix_of
from optimizer.cutting.normal import components, instance_of
from optimizer.cutting.reachable import reachable
from tests.benchmarks import cut_lists
from tests.optimizer.cutting.trying_all import best_of_all


@pytest.mark.parametrize("seed", range(40))
def test_cheapest_mixes_agree_with_every_mix(seed):
    request = cut_lists.single(6, seed)
    instance = instance_of(request, list(range(len(request.runs))))
    need = instance.total - sum(stock.room for stock in instance.stock)
    sources = [*instance.kinds, *instance.reels]
    best = {}
    for taken in itertools.product(*(range(min(source.most, 40) + 1) for source in sources)):
        counts, steps = taken[: len(instance.kinds)], taken[len(instance.kinds) :]
        room = sum(kind.room * count for kind, count in zip(instance.kinds, counts, strict=True))
        room += sum(reel.room(count) for reel, count in zip(instance.reels, steps, strict=True))
        if room >= need:
            mix = mix_of(instance, counts, steps)
            best.setdefault((mix.cents, mix.lengths), set()).add(mix)
    assert set(cheapest(instance)) == best[min(best)]


def test_cheapest_mixes_of_one_price_are_all_found():
    spools = tuple(
        Spool(offer=f"s{mm}", cable="a", length_mm=mm, price_cents=cents)
        for mm, cents in ((10, 11), (20, 20), (30, 29), (40, 38))
    )
    runs = (Run(id="x", length_mm=7, cables=("a",), quantity=5), Run(id="y", length_mm=3, cables=("a",), quantity=5))
    instance = instance_of(CutListRequest(runs=runs, spools=spools), [0, 1])
    bought = {mix.counts for mix in cheapest(instance)}
    lengths = [kind.room for kind in instance.kinds]
    assert {tuple(sorted(dict(zip(lengths, counts, strict=True)).items())) for counts in bought} == {
        ((10, 1), (20, 0), (30, 0), (40, 1)),
        ((10, 0), (20, 1), (30, 1), (40, 0)),
    }


def test_more_steps_that_cost_nothing_leave_a_longer_rest():
    request = CutListRequest(
        runs=(Run(id="r", length_mm=5, cables=("a",), quantity=2),),
        by_the_metre=(ByTheMetre(offer="m", cable="a", step_mm=4, step_cents=0),),
        owned=(Owned(id="o", cable="a", length_mm=5),),
    )
    answer = cut_list(request)
    assert best_of_all(request) == (0, 1, -7)
    assert not answer.longest_rest or max(length.rest_mm for length in answer.lengths) == 7


@pytest.mark.parametrize("seed", range(40))
def test_loads_that_exist(seed):
    rng = random.Random(seed)
    pieces = [(rng.randint(2, 9), rng.randint(1, 3)) for _ in range(3)]
    limit = rng.randint(5, 60)
    every = {
        sum(size * count for (size, _), count in zip(pieces, taken, strict=True))
        for taken in itertools.product(*(range(count + 1) for _, count in pieces))
    }
    loads = reachable(pieces, limit)
    for load in range(limit + 1):
        assert loads.down(load) == max(one for one in every if one <= load)
        above = [one for one in every if load <= one <= limit]
        assert loads.up(load) == min(above, default=limit + 1)
    assert loads.down(limit + 5) == limit + 5


@pytest.mark.parametrize("pieces", [40, 160])
def test_realistic_lists_are_decided_at_once(pieces):
    requests = [cut_lists.single(pieces, seed) for seed in range(10)]
    parts = [instance_of(request, part) for request in requests for part in components(request)]
    assert sum(at_once(part, 0) is not None for part in parts) >= 8
