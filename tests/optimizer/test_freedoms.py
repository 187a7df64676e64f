"""With stages at the panel or shared chains allowed, the planner finds what trying everything finds."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from optimizer.catalogue import Catalogue
from optimizer.checks import failures
from optimizer.job import Job
from optimizer.plan import Plan
from optimizer.planner import plan
from tests.optimizer.brute_force import Best, cheapest
from tests.optimizer.tiny import freed

BOOSTED = (0, 2, 8, 18)  # seeds whose cheapest plan has a converter at the panel
SHARED = (4, 32, 87, 130, 152)  # seeds whose cheapest plan has two loads on one converter
CASES = [("boost", seed) for seed in BOOSTED] + [("share", seed) for seed in SHARED]

each_case = pytest.mark.parametrize(("freedom", "seed"), CASES)


@cache
def tried(freedom: str, seed: int) -> tuple[Job, Catalogue, Best | None]:
    job, catalogue = freed(seed, **{freedom: True})
    return job, catalogue, cheapest(job, catalogue)


@cache
def planned(freedom: str, seed: int) -> Plan:
    return plan(*freed(seed, **{freedom: True}))


@each_case
def test_planner_equals_trying_everything(freedom: str, seed: int) -> None:
    _, _, best = tried(freedom, seed)
    answer = planned(freedom, seed)
    assert best is not None
    assert answer.bank is not None
    assert (answer.status, answer.total_cents) == ("optimal", best.total_cents)
    assert answer.bank.average_w == pytest.approx(best.average_w, abs=2e-4)


@each_case
def test_checks_have_nothing_against_it(freedom: str, seed: int) -> None:
    assert failures(planned(freedom, seed).checks) == ()


@each_case
def test_freedom_is_used_and_pays(freedom: str, seed: int) -> None:
    answer, without = planned(freedom, seed), plan(*_kept(*freed(seed, **{freedom: True})))
    used = [feed.run if freedom == "boost" else feed.shares for feed in answer.feeds]
    assert any(used)
    assert answer.total_cents is not None
    assert without.total_cents is None or answer.total_cents <= without.total_cents


@pytest.mark.parametrize("seed", [29, 49, 100])
def test_no_plan_where_a_load_has_feeds_that_no_circuit_serves(seed: int) -> None:
    """Such a load once kept the model from being built."""
    job, catalogue = freed(seed, boost=True, share=True)
    assert cheapest(job, catalogue) is None
    assert plan(job, catalogue).status == "infeasible"


def test_such_a_load_may_still_be_fed_from_the_panel() -> None:
    answer = plan(*freed(153, boost=True, share=True))
    assert answer.status == "optimal"
    assert [feed.load for feed in answer.feeds if feed.run] == ["a"]
    assert failures(answer.checks) == ()


def _kept(job: Job, catalogue: Catalogue) -> tuple[Job, Catalogue]:
    return replace(job, limits=replace(job.limits, boost_at_panel=False, share_stages=False)), catalogue
