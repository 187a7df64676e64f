"""The planning rules held against a finished plan: a second, independent reading that knows no solver."""

from __future__ import annotations

from collections.abc import Iterable

from optimizer.catalogue import Catalogue
from optimizer.checks import rules
from optimizer.checks.bank import check_bank
from optimizer.checks.budget import check_budget
from optimizer.checks.circuits import check_circuits
from optimizer.checks.cutting import check_cutting
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feeds import check_feeds
from optimizer.checks.purchases import check_purchases
from optimizer.checks.references import check_references
from optimizer.checks.verdict import claim
from optimizer.job import Job
from optimizer.plan import Check, Plan

__all__ = ["check_plan", "failures"]


def check_plan(job: Job, catalogue: Catalogue, plan: Plan) -> tuple[Check, ...]:
    """Every rule that binds a plan, with value, limit, margin, source and the sum a builder would do by hand.

    Feeds come first, then circuits, bank, cut list and purchases; the order is always the same. Where the plan names
    something unknown, only that is said: nothing else could be judged.
    """
    if not plan.has_answer:
        return (_empty(plan),)
    references = check_references(job, catalogue, plan)
    if failures(references):
        return references
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    groups = (check_feeds, check_circuits, check_bank, check_cutting, check_purchases, check_budget)
    return (*references, *(check for group in groups for check in group(facts)))


def failures(checks: Iterable[Check]) -> tuple[Check, ...]:
    """Those that fail."""
    return tuple(check for check in checks if check.state == "fails")


def _empty(plan: Plan) -> Check:
    lists = (plan.circuits, plan.feeds, plan.orders, plan.deliveries, plan.cuts)
    empty = not any(lists) and plan.total_cents is None and plan.bank is None and plan.energy is None
    return claim(rules.EMPTY, "plan", empty, f"{plan.status}: nothing to buy, nothing to build")
