"""Whole answers: totals against other methods, every rule by the verifier."""

from __future__ import annotations

import random
import threading
import time
from dataclasses import replace

import pytest

from optimizer.cutting import ByTheMetre, CutListRequest, FaultyCutList, Owned, Run, Settings, Spool, cut_list
from tests.benchmarks import cut_lists
from tests.benchmarks.cutting_peer import assignment_cents
from tests.optimizer.cutting.trying_all import best_of_all
from tests.optimizer.cutting.verifier import faults_of

LIMIT_S = 240.0  # for what is to be proven, on a busy machine too


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
    bought = sum(1 for length in answer.lengths if length.source != "owned")
    rest_mm = max(length.rest_mm for length in answer.lengths)
    assert bought >= best[1]
    if answer.fewest_lengths:
        assert bought == best[1]
    if answer.longest_rest:
        assert (bought, rest_mm) == (best[1], -best[2])


@pytest.mark.parametrize("family", [cut_lists.single, cut_lists.plain])
@pytest.mark.parametrize("pieces", [10, 20, 80, 320])
def test_realistic_lists_are_sound(family, pieces):
    for seed in range(4):
        request = family(pieces, seed)
        assert not faults_of(request, cut_list(request, time_limit_s=10))


@pytest.mark.parametrize("seed", range(12))
def test_small_lists_agree_with_an_assignment_model(seed):
    family = [cut_lists.single, cut_lists.plain, cut_lists.chosen][seed % 3]
    request = family(9 + seed % 4, seed)
    answer = cut_list(request)
    cents, is_proven, _ = assignment_cents(request, LIMIT_S, answer.total_cents)
    assert not faults_of(request, answer)
    assert (is_proven, cents) == (True, answer.total_cents)


@pytest.mark.parametrize("seed", range(4))
def test_choice_among_cables_by_the_metre_agrees_with_an_assignment_model(seed):
    request = cut_lists.chosen(8, seed, metre=True)
    answer = cut_list(request)
    cents, is_proven, _ = assignment_cents(request, LIMIT_S, answer.total_cents)
    assert not faults_of(request, answer)
    assert (is_proven, answer.status, cents) == (True, "optimal", answer.total_cents)


@pytest.mark.parametrize("pieces", [60, 120, 249])
def test_triplets_fill_every_bin(pieces):
    request = cut_lists.triplets(pieces, 1)
    answer = cut_list(request, time_limit_s=LIMIT_S)
    assert not faults_of(request, answer)
    assert (answer.status, answer.total_cents) == ("optimal", pieces // 3)  # by construction


@pytest.mark.parametrize("pieces", [120, 500])
def test_uniform_pieces_fill_every_bin(pieces):
    request = cut_lists.uniform_exact(pieces, 2)
    answer = cut_list(request, time_limit_s=LIMIT_S)
    room = sum(run.length_mm * run.quantity for run in request.runs)
    assert not faults_of(request, answer)
    assert (answer.status, answer.total_cents) == ("optimal", room // 150)  # by construction


def test_the_textbook_takes_453_rolls():
    answer = cut_list(cut_lists.textbook(), time_limit_s=LIMIT_S)
    assert not faults_of(cut_lists.textbook(), answer)
    assert (answer.status, answer.total_cents) == ("optimal", 453)  # Chvátal 1983, chapter 13 (memory)


@pytest.mark.parametrize("seed", range(3))
def test_tight_lists_are_sound_and_proven(seed):
    request = cut_lists.short(60, seed)
    answer = cut_list(request, time_limit_s=LIMIT_S)
    assert not faults_of(request, answer)
    assert answer.status == "optimal"


@pytest.mark.parametrize("family", [cut_lists.chosen, lambda n, seed: cut_lists.chosen(n, seed, metre=True)])
def test_lists_of_several_cables_are_sound(family):
    for seed in range(2):
        request = family(160, seed)
        assert not faults_of(request, cut_list(request, time_limit_s=5))


def test_cables_that_share_no_run_are_solved_apart():
    one, other = cut_lists.plain(30, 1), cut_lists.single(30, 2)
    renamed = replace(
        one,
        runs=tuple(replace(run, id=f"x{run.id}", cables=("b",)) for run in one.runs),
        spools=tuple(replace(spool, offer=f"b{spool.offer}", cable="b") for spool in one.spools),
        by_the_metre=tuple(replace(offer, offer=f"b{offer.offer}", cable="b") for offer in one.by_the_metre),
    )
    both = replace(
        other,
        runs=other.runs + renamed.runs,
        spools=other.spools + renamed.spools,
        by_the_metre=other.by_the_metre + renamed.by_the_metre,
    )
    answer = cut_list(both)
    assert not faults_of(both, answer)
    assert answer.total_cents == cut_list(one).total_cents + cut_list(other).total_cents


def test_the_same_request_gives_the_same_answer():
    request = cut_lists.chosen(40, 3)
    assert cut_list(request) == cut_list(request)


def test_limits_that_leave_too_little_are_said():
    spool = Spool(offer="s", cable="a", length_mm=10, price_cents=5, limit=1)
    request = CutListRequest(runs=(Run(id="r", length_mm=6, cables=("a",), quantity=2),), spools=(spool,))
    answer = cut_list(request)
    assert (answer.status, answer.total_cents) == ("infeasible", None)
    assert answer.reasons == ("The limits of the offers leave too little for all runs together.",)


def test_stopped_at_once_still_answers():
    stop = threading.Event()
    stop.set()
    request = cut_lists.short(200, 1)
    answer = cut_list(request, stop=stop)
    assert answer.status in ("feasible", "unknown")
    assert not (answer.has_list and faults_of(request, answer))


def test_stop_ends_a_hard_search_with_the_best_so_far():
    stop = threading.Event()
    threading.Timer(1.0, stop.set).start()
    started = time.monotonic()
    request = cut_lists.short(640, 3)
    answer = cut_list(request, stop=stop)
    assert time.monotonic() - started < 60  # a busy machine; without the stop it searches for minutes
    assert not faults_of(request, answer)


def test_progress_only_gets_better():
    seen = []
    cut_list(cut_lists.short(60, 3), on_progress=seen.append)
    bests = [progress.best_cents for progress in seen if progress.best_cents is not None]
    bounds = [progress.bound_cents for progress in seen]
    assert bests == sorted(bests, reverse=True)
    assert bounds == sorted(bounds)
    assert bests[-1] == bounds[-1]


def test_every_fault_of_a_request_is_named_at_once():
    request = CutListRequest(
        runs=(
            Run(id="a", length_mm=0, cables=(), quantity=1),
            Run(id="a", length_mm=5, cables=("x",), quantity=2.5),
        ),
        spools=(Spool(offer="s", cable="x", length_mm=-1, price_cents=-1, limit=-1),),
        by_the_metre=(ByTheMetre(offer="s", cable="x", step_mm=True, step_cents=1),),
        settings=Settings(kerf_mm=-1),
    )
    with pytest.raises(FaultyCutList) as refused:
        cut_list(request, time_limit_s=0)
    assert {fault.field for fault in refused.value.faults} == {
        *("time_limit_s", "settings/kerf_mm", "runs", "runs/0/length_mm", "runs/0/cables", "runs/1/quantity"),
        *("spools/0/length_mm", "spools/0/price_cents", "spools/0/limit", "by_the_metre/0/step_mm", "offers"),
    }


def test_a_million_cent_spool_is_only_a_price():
    spools = (
        Spool(offer="dear", cable="a", length_mm=100, price_cents=100_000_000),
        Spool(offer="cheap", cable="a", length_mm=10, price_cents=1),
    )
    request = CutListRequest(runs=(Run(id="r", length_mm=9, cables=("a",), quantity=30),), spools=spools)
    assert cut_list(request).total_cents == 30


def test_a_long_list_of_several_cables_keeps_to_the_cables_that_serve():
    # this one is filled in two parts; a part once took pieces of other cables
    request = cut_lists.chosen(2000, 6, metre=True)
    assert not faults_of(request, cut_list(request, time_limit_s=8))


@pytest.mark.parametrize("tight", [False, True])
def test_thousands_of_different_lengths_are_answered(tight):
    rng = random.Random(5)
    lengths = rng.sample(range(800, 4_800), 2_000)
    request = cut_lists.short(1, 0) if tight else cut_lists.plain(1, 0)
    request = replace(request, runs=cut_lists.runs_of(lengths, lambda _: ("a",)))
    answer = cut_list(request, time_limit_s=4)
    assert answer.has_list
    assert not faults_of(request, answer)
