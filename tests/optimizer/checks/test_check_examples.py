"""The example plans, found by two other solvers, against this reading of the rules."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace

import pytest

from optimizer.catalogue import Battery, Cable, Catalogue, Fuse, Stage, Switch
from optimizer.checks import check_plan, failures
from optimizer.plan import Circuit, Feed, FeedLead, Plan
from tests.builders import a_catalogue, a_job, a_plan
from tests.optimizer.examples import NUMBERS, Example, example

each_example = pytest.mark.parametrize("number", NUMBERS)


def test_system_worked_out_by_hand_has_no_failing_check() -> None:
    assert failures(check_plan(a_job(), a_catalogue(), a_plan())) == ()


@each_example
def test_example_plan_has_no_failing_check(number: str) -> None:
    case = example(number)
    assert failures(check_plan(case.job, case.catalogue, case.plan)) == ()


@each_example
def test_cost_recomputed_from_orders_is_the_stated_total(number: str) -> None:
    case = example(number)
    total = next(c for c in check_plan(case.job, case.catalogue, case.plan) if c.rule == "total_cost")
    assert total.limit == case.total_cents  # the recomputed side, against the number stated in the case


@each_example
def test_checks_come_in_the_same_order_every_time(number: str) -> None:
    case = example(number)
    assert check_plan(case.job, case.catalogue, case.plan) == check_plan(case.job, case.catalogue, case.plan)


@each_example
def test_every_check_names_its_source_and_shows_its_sum(number: str) -> None:
    case = example(number)
    for check in check_plan(case.job, case.catalogue, case.plan):
        assert check.source
        assert check.formula
        assert "\n" not in check.formula


@each_example
def test_checking_takes_well_under_50_ms(number: str) -> None:
    case = example(number)
    best_s = min(_seconds(case) for _ in range(3))
    assert best_s < 0.05


def _seconds(case: Example) -> float:
    start = time.process_time()
    check_plan(case.job, case.catalogue, case.plan)
    return time.process_time() - start


@each_example
def test_any_part_exchanged_for_any_other_fails_a_check(number: str) -> None:
    case = example(number)
    tried = 0
    for mutant in _mutants(case.plan, case.catalogue):
        tried += 1
        assert failures(check_plan(case.job, case.catalogue, mutant)), mutant
    assert tried > 100


@pytest.mark.parametrize("emptied", ["circuits", "feeds", "orders", "deliveries", "cuts"])
@each_example
def test_plan_without_one_of_its_lists_fails_and_does_not_raise(number: str, emptied: str) -> None:
    case = example(number)
    assert failures(check_plan(case.job, case.catalogue, replace(case.plan, **{emptied: ()})))


@each_example
def test_any_order_left_out_fails_a_check(number: str) -> None:
    case = example(number)
    for i in range(len(case.plan.orders)):
        mutant = replace(case.plan, orders=case.plan.orders[:i] + case.plan.orders[i + 1 :])
        assert failures(check_plan(case.job, case.catalogue, mutant))


def _mutants(plan: Plan, catalogue: Catalogue) -> Iterator[Plan]:
    for i, circuit in enumerate(plan.circuits):
        for other in _other_circuits(circuit, catalogue):
            yield replace(plan, circuits=(*plan.circuits[:i], other, *plan.circuits[i + 1 :]))
    for i, feed in enumerate(plan.feeds):
        for changed in _other_feeds(feed, catalogue):
            yield replace(plan, feeds=(*plan.feeds[:i], changed, *plan.feeds[i + 1 :]))
    assert plan.bank is not None
    for battery in catalogue.of(Battery):
        if battery.id != plan.bank.part:
            yield replace(plan, bank=replace(plan.bank, part=battery.id))


def _other_circuits(circuit: Circuit, catalogue: Catalogue) -> Iterator[Circuit]:
    yield from (replace(circuit, fuse=fuse.id) for fuse in catalogue.of(Fuse) if fuse.id != circuit.fuse)
    for pair in _pairs(catalogue):
        if set(pair) != set(circuit.cable):
            yield replace(circuit, cable=pair)
    for part in [None, *(switch.id for switch in catalogue.of(Switch))]:
        if part != circuit.switch:
            yield replace(circuit, switch=part)


def _other_feeds(feed: Feed, catalogue: Catalogue) -> Iterator[Feed]:
    for stage in catalogue.of(Stage):
        if feed.stages != (stage.id,):
            yield replace(feed, stages=(stage.id,))
    for pair in _pairs(catalogue):
        if feed.lead is not None and set(pair) != set(feed.lead.cable):
            yield replace(feed, lead=FeedLead(cable=pair, cut_mm=feed.lead.cut_mm))


def _pairs(catalogue: Catalogue) -> Iterator[tuple[str, ...]]:
    cables = list(catalogue.of(Cable))
    yield from ((cable.id,) for cable in cables if cable.cores == 2)
    for red in (cable for cable in cables if cable.polarity == "positive"):
        yield from ((red.id, c.id) for c in cables if c.polarity == "negative" and c.mm2 == red.mm2)
