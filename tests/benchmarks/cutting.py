"""Cut lists side by side with their peers: `python -m tests.benchmarks --only cutting [--quick]`.

Every list is seeded. Seconds are processor time of one thread, so a busy machine does not change them; limits are wall
time. Peers: the assignment model in HiGHS on the same lists, and first-fit and best-fit decreasing.
"""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from optimizer.cutting import CutListRequest, cut_list
from optimizer.cutting.greedy import decreasing
from optimizer.cutting.normal import components, instance_of
from tests.benchmarks import cut_lists
from tests.benchmarks.cutting_figures import CHOICE, EXACT, METRE, ONE, TEXTBOOK, TIGHT, TRIPLETS, UNIFORM, CutRow
from tests.benchmarks.cutting_peer import assignment_cents


@dataclass(frozen=True, kw_only=True)
class Family:
    """Lists that one row of the table is about."""

    label: str
    make: Callable[[int, int], CutListRequest]
    pieces: int
    seeds: int
    limit_s: float
    peer_limit_s: float = 0  # 0: the peer is not run
    peer_seeds: int = 3


_FULL = (
    *(
        Family(label=ONE, make=cut_lists.single, pieces=n, seeds=30, limit_s=15, peer_limit_s=15, peer_seeds=lists)
        for n, lists in ((40, 10), (80, 5), (160, 3))
    ),
    *(Family(label=ONE, make=cut_lists.single, pieces=n, seeds=30, limit_s=15) for n in (200, 640, 2000)),
    *(Family(label=CHOICE, make=cut_lists.chosen, pieces=n, seeds=20, limit_s=15) for n in (40, 160, 2000)),
    *(
        Family(label=METRE, make=partial(cut_lists.chosen, metre=True), pieces=n, seeds=10, limit_s=15)
        for n in (20, 40, 160, 2000)
    ),
    *(Family(label=TIGHT, make=cut_lists.short, pieces=n, seeds=5, limit_s=60) for n in (40, 80, 160, 640)),
    *(Family(label=TRIPLETS, make=cut_lists.triplets, pieces=n, seeds=5, limit_s=30) for n in (60, 120, 249, 501)),
    *(Family(label=UNIFORM, make=cut_lists.uniform, pieces=n, seeds=5, limit_s=30) for n in (120, 250, 500)),
    *(Family(label=EXACT, make=cut_lists.uniform_exact, pieces=n, seeds=5, limit_s=30) for n in (120, 500)),
)
_QUICK = (
    Family(label=ONE, make=cut_lists.single, pieces=40, seeds=5, limit_s=5, peer_limit_s=5, peer_seeds=2),
    Family(label=ONE, make=cut_lists.single, pieces=2000, seeds=3, limit_s=5),
    Family(label=CHOICE, make=cut_lists.chosen, pieces=160, seeds=3, limit_s=5),
    Family(label=TIGHT, make=cut_lists.short, pieces=40, seeds=2, limit_s=10),
    Family(label=TRIPLETS, make=cut_lists.triplets, pieces=120, seeds=2, limit_s=10),
)


def rows(*, quick: bool, say: Callable[[str], None] = lambda _: None) -> list[CutRow]:
    """One row a family and size: times with their spread, how many proven, gaps, peers beside."""
    cut_list(cut_lists.triplets(60, 0))  # loads the solvers: not part of any figure
    found = []
    for family in _QUICK if quick else _FULL:
        found.append(_row(family))
        say(f"cut lists: {found[-1]['label']}, {family.pieces} cuts: {found[-1]['proven']} of {family.seeds} proven")
    found.append(_textbook())
    return found


def _row(family: Family) -> CutRow:
    requests = [family.make(family.pieces, seed) for seed in range(family.seeds)]
    measured = [_measured(request, family.limit_s) for request in requests]
    seconds = sorted(cpu_s for cpu_s, _ in measured)
    answers = [answer for _, answer in measured]
    gaps = [answer.gap for answer in answers if answer.gap is not None]
    row: CutRow = {
        "label": family.label,
        "pieces": family.pieces,
        "lists": family.seeds,
        "proven": sum(answer.status == "optimal" for answer in answers),
        "median_s": statistics.median(seconds),
        "p90_s": seconds[math.ceil(0.9 * len(seconds)) - 1],
        "most_s": seconds[-1],
        "most_gap_pct": 100 * max(gaps, default=0.0),
    }
    for name, best_fit in (("ffd", False), ("bfd", True)):
        over = [
            _over(_by_hand(request, best_fit), answer.total_cents)
            for request, answer in zip(requests, answers, strict=True)
        ]
        row[f"{name}_over_pct"] = statistics.median([excess for excess in over if excess is not None] or [0.0])
    if family.peer_limit_s:
        row |= _peer(family, requests, measured)
    return row


def _measured(request: CutListRequest, limit_s: float) -> tuple[float, Any]:
    started = time.process_time()
    answer = cut_list(request, time_limit_s=limit_s)
    return time.process_time() - started, answer


def _over(cents: int | None, best_cents: int | None) -> float | None:
    return None if cents is None or not best_cents else 100 * (cents - best_cents) / best_cents


def _by_hand(request: CutListRequest, best_fit: bool) -> int | None:
    """First-fit or best-fit decreasing: price of the whole list, None where it fails."""
    packed = [decreasing(instance_of(request, part), best_fit=best_fit) for part in components(request)]
    return None if None in packed else sum(found.mix.cents for found in packed if found is not None)


def _peer(family: Family, requests: list[CutListRequest], measured: list[tuple[float, Any]]) -> CutRow:
    ratios, proven, seconds = [], 0, []
    for request, (cpu_s, answer) in list(zip(requests, measured, strict=True))[: family.peer_seeds]:
        by_hand = _by_hand(request, False)
        cents, is_proven, peer_s = assignment_cents(request, family.peer_limit_s, by_hand or 10**7)
        if is_proven and answer.status == "optimal" and cents != answer.total_cents:
            raise AssertionError(f"HiGHS proves {cents}, we prove {answer.total_cents}")
        proven += is_proven
        seconds.append(peer_s)
        ratios.append(peer_s / max(cpu_s, 1e-6))
    return {
        "peer_lists": len(seconds),
        "peer_proven": proven,
        "peer_median_s": statistics.median(seconds),
        "peer_limit_s": family.peer_limit_s,
        "times_faster": statistics.median(ratios),
    }


def _textbook() -> CutRow:
    cpu_s, answer = _measured(cut_lists.textbook(), 30)
    return {
        "label": TEXTBOOK,
        "pieces": 1313,
        "lists": 1,
        "proven": int(answer.status == "optimal"),
        "rolls": answer.total_cents,
        "median_s": cpu_s,
        "p90_s": cpu_s,
        "most_s": cpu_s,
        "most_gap_pct": 100 * (answer.gap or 0.0),
    }
