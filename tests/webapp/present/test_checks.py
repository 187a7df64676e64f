"""The proof in groups: trouble first, what holds by subject."""

from __future__ import annotations

from dataclasses import replace

from optimizer.plan import Check, Plan
from webapp import schemas
from webapp.present.checks import check_groups


def a_check(rule: str, subject: str, state: str = "holds") -> Check:
    return Check(rule=rule, subject=subject, value=1.0, limit=2.0, unit="A", state=state, margin=1.0, source="ours")


def groups_of(case, *checks: Check):
    answer = case("plan-062") | {"checks": [], "reasons": [], "energy": {"average_w": 31, "today_average_w": None}}
    plan = schemas.read_plan(answer).value
    assert isinstance(plan, Plan)
    return check_groups(replace(plan, checks=checks))


def test_subjects_with_one_check_share_the_last_section(case):
    several = [a_check("drop", "circuit C1"), a_check("fuse_load", "circuit C1")]
    (group,) = groups_of(case, a_check("covered", "part F1"), *several, a_check("order_price", "order O1"))
    assert [section.heading for section in group.sections] == ["Circuit C1", "Purchases and the rest"]
    assert [check.subject for check in group.sections[1].checks] == ["part F1", "order O1"]
    assert sum(len(section.checks) for section in group.sections) == 4


def test_what_fails_comes_first_and_what_holds_last(case):
    states = ("holds", "not_checked", "fails", "tight")
    groups = groups_of(case, *(a_check("drop", f"circuit {state}", state) for state in states))
    assert [group.state for group in groups] == ["fails", "tight", "not_checked", "holds"]
