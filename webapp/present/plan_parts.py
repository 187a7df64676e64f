"""The pages of a plan, in the order in which they are used."""

from __future__ import annotations

from optimizer.plan import Plan
from webapp.present.checks import may_build
from webapp.texts import N_

# Endpoint and name.
PARTS = (
    ("show_plan", N_("Answer")),
    ("proof", N_("Proof")),
    ("buy", N_("Buy")),
    ("cut", N_("Cut")),
    ("labels", N_("Labels")),
    ("wiring", N_("Wiring")),
    ("build", N_("Build")),
    ("record", N_("Record")),
    ("docket", N_("Docket")),
)


def parts_of(plan: Plan | None) -> tuple[tuple[str, str], ...]:
    """The pages that a plan has: where nothing may be built from it, those that say why."""
    if plan is None or not plan.has_answer:
        return PARTS[:1]
    return PARTS if may_build(plan) else PARTS[:2]
