"""A budget: a plan that just costs it stands, a cent less and there is none, with the cheapest total named.

The small system costs 10,660 cents (tests/builders.py, worked out there order by order).
"""

from __future__ import annotations

from optimizer.plan import Plan, Reason
from optimizer.planner import plan
from tests.builders import a_catalogue, a_job


def with_budget(cents: int | None, **job: object) -> Plan:
    return plan(a_job(limits={"budget_cents": cents}, **job), a_catalogue())  # type: ignore[arg-type]


def test_plan_that_costs_just_the_budget_stands_and_says_so() -> None:
    answer = with_budget(10660)
    assert (answer.status, answer.total_cents) == ("optimal", 10660)
    assert [(check.value, check.limit, check.state) for check in answer.checks if check.rule == "budget"] == [
        (10660, 10660, "holds")
    ]


def test_budget_of_a_cent_less_leaves_no_plan_and_names_the_cheapest() -> None:
    answer = with_budget(10659)
    assert (answer.status, answer.total_cents, answer.bound_cents, answer.orders) == ("infeasible", None, None, ())
    assert answer.reasons == (
        Reason(subject="budget", text="The cheapest plan costs 106.60, the budget is 106.59.", rule="budget"),
    )


def test_without_a_budget_nothing_is_checked() -> None:
    assert not [check for check in with_budget(None).checks if check.rule == "budget"]


def test_what_cannot_be_built_is_not_a_matter_of_money() -> None:
    answer = with_budget(1, existing={"capacity_ah": 50})
    assert [reason.rule for reason in answer.reasons] == ["autonomy"]
