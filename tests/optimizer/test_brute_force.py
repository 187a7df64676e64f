"""On tiny jobs the planner must find what trying everything finds, to the cent and through every tie-break."""

from __future__ import annotations

from functools import cache

import pytest

from optimizer.catalogue import Catalogue, Fuse
from optimizer.job import Job
from optimizer.plan import Plan
from optimizer.planner import plan
from tests.optimizer.brute_force import Best, cheapest, failures_of
from tests.optimizer.tiny import tiny

SEEDS = (
    0,
    1,
    2,
    3,
    6,
    7,
    8,
    10,
    11,
    12,
    14,
    15,
    18,
    20,
    23,
    27,
    28,
    31,
    33,
    36,
    37,
    43,
    45,
    46,
    47,
    52,
    54,
    55,
    65,
    85,
    88,
    91,
    108,
    118,
    124,
    130,
    132,
    133,
    143,
    147,
    149,
    150,
    185,
    214,
    373,
    697,
)
TWO_HOLDERS = (51, 137, 242, 354, 403)


@cache
def tried(seed: int) -> tuple[Job, Catalogue, Best | None]:
    job, catalogue = tiny(seed)
    return job, catalogue, cheapest(job, catalogue)


@cache
def planned(seed: int) -> Plan:
    return plan(*tiny(seed))


@pytest.mark.parametrize("seed", SEEDS)
def test_planner_equals_trying_everything(seed: int) -> None:
    _, catalogue, best = tried(seed)
    answer = planned(seed)
    if best is None:
        assert (answer.status, answer.total_cents) == ("infeasible", None)
        return
    assert answer.bank is not None
    assert (answer.status, answer.total_cents) == ("optimal", best.total_cents)
    assert answer.bank.average_w == pytest.approx(best.average_w, abs=2e-4)
    fuses_a = sum(catalogue.get(Fuse, circuit.fuse).rating_a for circuit in answer.circuits)
    assert (fuses_a, len(answer.orders)) == (best.fuses_a, best.lines)


@pytest.mark.parametrize("seed", TWO_HOLDERS)
def test_planner_equals_trying_everything_with_two_in_line_holders(seed: int) -> None:
    _, _, best = tried(seed)
    assert best is not None
    assert planned(seed).total_cents == best.total_cents


@pytest.mark.parametrize("seed", SEEDS)
def test_checks_agree_with_what_was_tried(seed: int) -> None:
    job, catalogue, best = tried(seed)
    assert best is None or failures_of(job, catalogue, best.plan) == []


def test_tiny_jobs_are_odd_enough() -> None:
    """What the seeds must bring up between them, or equality would say little."""
    seen: set[str] = set()
    for seed in SEEDS:
        seen |= set(_features(tiny(seed)[1], planned(seed)))
    assert seen == {
        "none",
        "two loads",
        "shared",
        "outlet",
        "two stages",
        "cut lead",
        "single cores",
        "switch",
        "holder",
        "junction",
        "bank bought",
        "two batteries",
        "kit of parts",
        "pack of many",
        "spool",
        "by the metre",
        "offcut",
        "free delivery",
        "two sellers",
    }


def _features(catalogue: Catalogue, answer: Plan) -> list[str]:
    bank = answer.bank
    if bank is None:
        return ["none"]
    offers = [catalogue.offer_by_id[order.offer] for order in answer.orders]
    claims = {
        "two loads": len(answer.feeds) == 2,
        "shared": any(len(circuit.loads) == 2 for circuit in answer.circuits),
        "outlet": any(feed.source == "ac" for feed in answer.feeds),
        "two stages": any(len(feed.stages) == 2 for feed in answer.feeds),
        "cut lead": any(feed.lead for feed in answer.feeds),
        "single cores": any(len(circuit.cable) == 2 for circuit in answer.circuits),
        "switch": any(circuit.switch for circuit in answer.circuits),
        "holder": any(circuit.holder for circuit in answer.circuits),
        "junction": any(circuit.junction for circuit in answer.circuits),
        "bank bought": not bank.keep,
        "two batteries": bank.series * bank.parallel == 2,
        "kit of parts": any(len(offer.contents) > 1 and offer.contents[0].count for offer in offers),
        "pack of many": any(len(o.contents) == 1 and (o.contents[0].count or 0) > 1 for o in offers),
        "spool": any(cut.unit is not None for cut in answer.cuts),
        "by the metre": any(cut.offer is not None and cut.unit is None for cut in answer.cuts),
        "offcut": any(cut.owned is not None for cut in answer.cuts),
        "free delivery": any(
            delivery.cents == 0 and catalogue.seller_by_id[delivery.seller].delivery_cents > 0
            for delivery in answer.deliveries
        ),
        "two sellers": len(answer.deliveries) == 2,
    }
    return [claim for claim, holds in claims.items() if holds]
