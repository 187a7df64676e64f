"""What nobody can check here is said, never passed over; and what is not asked for is not judged."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.catalogue import Catalogue, Content, Offer, Terminal
from optimizer.checks import check_plan
from optimizer.job import Job
from optimizer.plan import Check, Order, Plan
from tests.builders import ORDERS, a_catalogue, a_job, a_plan
from tests.optimizer.checks.twins.bank import KIT, MAY_BUY, WITH_KIT
from tests.optimizer.checks.twins.circuits import AGM, TWO_STRINGS


def lines(rule: str, job: Job, catalogue: Catalogue, plan: Plan) -> list[Check]:
    return [check for check in check_plan(job, catalogue, plan) if check.rule == rule]


@pytest.mark.parametrize("rule", ["terminal_torque", "fuse_curve", "far_fault", "inrush", "energy_recorded"])
def test_what_nobody_can_check_is_said(rule: str) -> None:
    found = lines(rule, a_job(), a_catalogue(), a_plan())
    assert {check.state for check in found} == {"not_checked"}


def test_fuse_well_above_the_rated_input_of_a_converter_rides_its_inrush() -> None:
    # 1.5 × (2 W + 60 W / 0.9) / 11.7 V = 8.80 A
    found = lines("inrush", a_job(), a_catalogue(fuse5={"rating_a": 8.81}), a_plan())
    assert [check.state for check in found] == ["holds"]


def test_interrupt_rating_of_a_kit_is_not_judged_where_the_battery_states_no_fault_current() -> None:
    silent = replace(AGM, fault_a=None, chemistry="agm")
    found = lines("bank_kit_interrupt", MAY_BUY, a_catalogue(silent, KIT), WITH_KIT)
    assert [check.state for check in found] == ["not_checked"]


def test_no_kit_is_asked_of_a_battery_that_states_nothing_of_the_safer_limits() -> None:
    assert lines("bank_kit", MAY_BUY, a_catalogue(replace(AGM, fault_a=None)), TWO_STRINGS) == []


@pytest.mark.parametrize(
    ("small", "wide", "served"),
    [
        # 4 ends of 1 mm² and 8 of 4 mm²; small fits 1 to 2.5 mm² alone, wide fits both
        pytest.param(4, 8, True, id="each where it fits"),
        pytest.param(0, 12, True, id="the wide one alone"),
        pytest.param(5, 7, False, id="enough in number, not in size"),
    ],
)
def test_terminals_may_be_mixed_as_far_as_they_fit(small: int, wide: int, served: bool) -> None:
    fine = Terminal(id="fine", mm2_min=1, mm2_max=2.5)
    pack = Offer(
        id="o-mix",
        seller="shop",
        price_cents=300,
        contents=(Content(part="fine", count=small), Content(part="crimp", count=wide)),
    )
    orders = (
        *(order for order in ORDERS if order.offer != "o-crimp"),
        Order(offer="o-mix", seller="shop", quantity=1, cents=300),
    )
    found = lines("terminals", a_job(), a_catalogue(fine, offers=(pack,)), a_plan(orders=orders))
    assert all(check.state == "holds" for check in found) is served
