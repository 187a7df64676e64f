"""Every rule with a plan that just obeys it and one that just breaks it."""

from __future__ import annotations

import pytest

from optimizer.checks import check_plan, rules
from tests.optimizer.checks.twins import bank, boosting, circuits, cutting, feeds, purchases, sharing
from tests.optimizer.checks.twins.twin import System, Twin

TWINS = (*feeds.TWINS, *circuits.TWINS, *bank.TWINS, *cutting.TWINS, *purchases.TWINS, *boosting.TWINS, *sharing.TWINS)
NOBODY_CAN_CHECK = {"fuse_curve", "inrush", "terminal_torque"}  # never fail: not checked, and said so

each_twin = pytest.mark.parametrize("twin", [pytest.param(twin, id=f"{twin.rule}: {twin.what}") for twin in TWINS])


def states(system: System, rule: str) -> set[str]:
    checks = check_plan(system.job, system.catalogue, system.plan)
    return {check.state for check in checks if check.rule == rule}


@each_twin
def test_plan_that_just_obeys_is_allowed(twin: Twin) -> None:
    found = states(twin.obeys, twin.rule)
    assert found
    assert found <= {"holds", "tight"}


@each_twin
def test_plan_that_just_breaks_it_is_refused(twin: Twin) -> None:
    assert "fails" in states(twin.breaks, twin.rule)


def test_every_rule_has_a_twin_pair() -> None:
    known = {rule.id for rule in vars(rules).values() if isinstance(rule, rules.Rule)}
    assert known - NOBODY_CAN_CHECK == {twin.rule for twin in TWINS}
