"""Seeded cut lists: the families that figures are given for. Nothing here is measured from a real price list."""

from __future__ import annotations

import random
from collections import Counter

from optimizer.cutting import ByTheMetre, CutListRequest, Owned, Run, Settings, Spool

_BRIEF = ((5_000, 900), (10_000, 1_550), (30_000, 4_100))


def runs_of(lengths_mm, cables_of):
    """Equal lengths of equal cables pooled into one run."""
    needed = Counter((length, cables_of(at)) for at, length in enumerate(lengths_mm))
    return tuple(
        Run(id=f"r{at}", length_mm=length, cables=cables, quantity=quantity)
        for at, ((length, cables), quantity) in enumerate(sorted(needed.items()))
    )


def run_lengths(rng, pieces, grid_mm=10):
    """Lognormal lengths, median 2.2 m, 0.25 to 14 m; half of the runs in pairs; at most 200 distinct when many."""
    distinct = rng.randint(20, 200) if pieces >= 100 else pieces
    pool = [
        min(max(round(2_200 * rng.lognormvariate(0, 0.75) / grid_mm) * grid_mm, 250), 14_000) for _ in range(distinct)
    ]
    lengths = []
    while len(lengths) < pieces:
        lengths += [rng.choice(pool)] * (2 if rng.random() < 0.5 else 1)
    return lengths[:pieces]


def price_list(rng, cable, factor=1.0):
    """Three or four spool lengths whose price by length falls as they grow."""
    lengths = sorted(rng.sample([5, 10, 15, 20, 25, 30, 50, 100], rng.randint(3, 4)))
    if lengths[-1] < 15:
        lengths[-1] = 15
    base = rng.uniform(120, 220) * factor
    spools = []
    for at, metres in enumerate(lengths):
        cents = round(base * metres * (0.93**at) * rng.uniform(0.97, 1.03) / 5) * 5
        spools.append(Spool(offer=f"{cable}-{metres}", cable=cable, length_mm=metres * 1_000, price_cents=cents))
    return tuple(spools), base


def single(pieces, seed, *, grid_mm=10, kerf_mm=0, trim_mm=0):
    """One cable with a random price list, by the metre in 70 % of the jobs, up to three owned lengths."""
    rng = random.Random(f"single {pieces} {seed}")
    spools, base = price_list(rng, "a")
    metre = ()
    if rng.random() < 0.7:
        step_mm = rng.choice([500, 1_000])
        cents = round(base * rng.uniform(1.05, 1.3) * step_mm / 1_000)
        metre = (ByTheMetre(offer="a-m", cable="a", step_mm=step_mm, step_cents=cents),)
    owned = tuple(
        Owned(id=f"o{at}", cable="a", length_mm=rng.randrange(1_000, 12_000, 10)) for at in range(rng.randint(0, 3))
    )
    settings = Settings(kerf_mm=kerf_mm, trim_mm=trim_mm, least_offcut_mm=500)
    runs = runs_of(run_lengths(rng, pieces, grid_mm), lambda _: ("a",))
    return CutListRequest(runs=runs, spools=spools, by_the_metre=metre, owned=owned, settings=settings)


def plain(pieces, seed):
    """One cable: 5 m at 9.00, 10 m at 15.50, 30 m at 41.00 and 2.10 a metre in half metres."""
    rng = random.Random(f"plain {pieces} {seed}")
    spools = tuple(Spool(offer=f"a-{mm}", cable="a", length_mm=mm, price_cents=cents) for mm, cents in _BRIEF)
    metre = (ByTheMetre(offer="a-m", cable="a", step_mm=500, step_cents=105),)
    runs = runs_of(run_lengths(rng, pieces), lambda _: ("a",))
    return CutListRequest(runs=runs, spools=spools, by_the_metre=metre)


def chosen(pieces, seed, *, metre=False):
    """Six cables, each heavier one dearer; a run takes any from its lightest on, three to six of them."""
    rng = random.Random(f"chosen {pieces} {seed}")
    cables = [f"c{at}" for at in range(6)]
    spools, offers, factor = [], [], 1.0
    for cable in cables:
        own, base = price_list(rng, cable, factor)
        spools += own
        if metre:
            cents = round(base * rng.uniform(1.05, 1.3) / 2)
            offers.append(ByTheMetre(offer=f"{cable}-m", cable=cable, step_mm=500, step_cents=cents))
        factor *= rng.uniform(1.25, 1.65)
    lightest = [rng.randint(0, 3) for _ in range(pieces)]
    runs = runs_of(run_lengths(rng, pieces), lambda at: tuple(cables[lightest[at] :]))
    return CutListRequest(runs=runs, spools=tuple(spools), by_the_metre=tuple(offers))


def short(pieces, seed):
    """Tight: spools of 3, 5 and 8 m, cuts of 0.8 to 4.8 m, nothing by the metre."""
    rng = random.Random(f"short {pieces} {seed}")
    spools = tuple(
        Spool(offer=f"a-{mm}", cable="a", length_mm=mm, price_cents=cents)
        for mm, cents in ((3_000, 620), (5_000, 950), (8_000, 1_400))
    )
    lengths = [rng.randrange(800, 4_801, 10) for _ in range(pieces)]
    return CutListRequest(runs=runs_of(lengths, lambda _: ("a",)), spools=spools)


def triplets(pieces, seed):
    """Falkenauer's triplets: bins of 1,000 filled exactly by three; the optimum is a third of the pieces."""
    rng = random.Random(f"triplets {pieces} {seed}")
    lengths = []
    for _ in range(pieces // 3):
        first = rng.randint(380, 490)
        second = rng.randint(250, (1_000 - first) // 2)
        lengths += [first, second, 1_000 - first - second]
    return bins_of(1_000, lengths)


def uniform(pieces, seed):
    """Falkenauer's uniform class: bins of 150, pieces of 20 to 100."""
    rng = random.Random(f"uniform {pieces} {seed}")
    return bins_of(150, [rng.randint(20, 100) for _ in range(pieces)])


def uniform_exact(pieces, seed):
    """Uniform pieces that fill bins of 150 exactly by construction, so that the optimum is their length over 150."""
    rng = random.Random(f"uniform exact {pieces} {seed}")
    lengths = []
    while len(lengths) < pieces:
        left = 150
        while left > 100:
            piece = rng.randint(20, min(100, left - 20))
            lengths.append(piece)
            left -= piece
        lengths.append(left)
    return bins_of(150, lengths)


def textbook():
    """Stock of 100 and four widths: the bound of its relaxation is 452.25, the optimum 453 rolls.

    Source: Chvátal, Linear Programming, 1983, chapter 13 (from memory).
    """
    lengths = [45] * 97 + [36] * 610 + [31] * 395 + [14] * 211
    return bins_of(100, lengths)


def bins_of(room, lengths):
    """One spool length at a price of 1 each."""
    spools = (Spool(offer="bin", cable="a", length_mm=room, price_cents=1),)
    return CutListRequest(runs=runs_of(lengths, lambda _: ("a",)), spools=spools)
