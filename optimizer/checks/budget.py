"""What the plan may cost at most, where the person has said so."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.verdict import at_most
from optimizer.plan import Check


def check_budget(facts: PlanFacts) -> Iterator[Check]:
    """The total, delivery included, against the budget; nothing where there is none."""
    budget_cents, total_cents = facts.job.limits.budget_cents, facts.plan.total_cents
    if budget_cents is None:
        return
    value = float("nan") if total_cents is None else total_cents
    yield at_most(rules.BUDGET, "plan", value, budget_cents, f"total {total_cents} of {budget_cents} cents")
