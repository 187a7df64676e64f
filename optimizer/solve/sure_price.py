"""A bound on the price that takes no solver: what the feeds alone cost at the least."""

from __future__ import annotations

from optimizer.prices import PriceBounds
from optimizer.solve.instance import Instance


def surely_spent_cents(instance: Instance) -> int:
    """Every load has one feed, and its parts are bought. Cables, fuses, deliveries and the bank count for nothing."""
    prices = PriceBounds(instance.job, instance.catalogue)
    spent = 0.0
    for load in instance.loads:
        if not instance.may_use_ac(load):
            spent += min(
                (sum(prices.least_price_cents(part) for part in feed.parts) for feed in instance.feeds_of(load)),
                default=0.0,
            )
    return int(spent)
