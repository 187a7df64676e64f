"""Rules of planning rules 6: everything needed is bought or owned, and the cost is what it is."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from optimizer.catalogue import Consumable, Terminal
from optimizer.checks import rules
from optimizer.checks.facts import PlanFacts
from optimizer.checks.verdict import at_least, at_most, num, same
from optimizer.plan import Check
from optimizer.units import FORGIVEN

_PLAN = "plan"
_LEAD_TERMINALS = 4


def check_purchases(facts: PlanFacts) -> Iterator[Check]:
    """Every demand against what is bought and owned; then the cost."""
    stock = _stock(facts)
    yield from _parts(facts, stock)
    yield from _terminals(facts, stock)
    yield from _consumables(facts, stock)
    yield from _orders(facts)
    yield from _deliveries(facts)
    yield from _total(facts)


def _stock(facts: PlanFacts) -> Counter[str]:
    """Pieces bought and owned; cable is the cut list's business."""
    stock: Counter[str] = Counter()
    for order in facts.plan.orders:
        for content in facts.catalogue.offer_by_id[order.offer].contents:
            stock[content.part] += order.quantity * (content.count or 0)
    for owned in facts.job.owned:
        stock[owned.part] += owned.count or 0
    return stock


def _parts(facts: PlanFacts, stock: Counter[str]) -> Iterator[Check]:
    for part, need in sorted(_needed(facts).items()):
        label = facts.catalogue.part(part).label
        text = f"{need} needed, {stock[part]} bought or owned"
        yield at_least(rules.COVERED, f"part {label}", stock[part], need, text)


def _needed(facts: PlanFacts) -> Counter[str]:
    need: Counter[str] = Counter()
    for circuit in facts.plan.circuits:
        need.update(filter(None, (circuit.fuse, circuit.switch, circuit.holder, circuit.junction)))
    for feed in facts.plan.feeds:
        need.update(feed.stages if feed.shares is None else ())  # what is shared is bought once
        if feed.output_fuse is not None:
            need.update((feed.output_fuse.fuse, feed.output_fuse.holder))
    if facts.bank.part is not None:
        need[facts.bank.part] += facts.bank.series * facts.bank.parallel
    if facts.bank.kit is not None:
        need[facts.bank.kit] += 1
    return need


def _terminals_needed(facts: PlanFacts) -> Counter[float]:
    """Terminals by conductor size."""
    need: Counter[float] = Counter()
    for circuit in facts.circuits:
        need[circuit.mm2] += circuit.terminals
    for feed in facts.feeds:
        if feed.feed.lead is not None:
            need[max((cable.mm2 for cable in feed.lead_cables), default=0.0)] += _LEAD_TERMINALS
        if feed.run is not None:
            need[max(cable.mm2 for cable in feed.run.cables)] += _LEAD_TERMINALS
    return need


def _terminals(facts: PlanFacts, stock: Counter[str]) -> Iterator[Check]:
    """Any mix will do: sizes from the smallest, each served by the fitting part that ends soonest."""
    parts = sorted(facts.catalogue.of(Terminal), key=lambda part: (part.mm2_max, part.id))
    left = {part.id: stock[part.id] for part in parts}
    for mm2, need in sorted(_terminals_needed(facts).items()):
        served = 0
        for part in parts:
            if part.mm2_min <= mm2 <= part.mm2_max:
                taken = min(left[part.id], need - served)
                left[part.id] -= taken
                served += taken
        text = f"{need} ends of {num(mm2)} mm², {served} terminals bought or owned for them"
        yield at_least(rules.TERMINALS, f"terminals for {num(mm2)} mm²", served, need, text)


def _consumables(facts: PlanFacts, stock: Counter[str]) -> Iterator[Check]:
    counts = {
        "circuit": len(facts.circuits),
        "termination": sum(_terminals_needed(facts).values()),
        "cut_lead": sum((feed.lead is not None) + (feed.run is not None) for feed in facts.plan.feeds),
        "job": 1,
    }
    by_purpose: dict[str, list[Consumable]] = {}
    for part in facts.catalogue.of(Consumable):
        by_purpose.setdefault(part.purpose, []).append(part)
    for purpose, parts in sorted(by_purpose.items()):
        per, each = parts[0].per, parts[0].each
        need = math.ceil(each * counts[per] * (1 - FORGIVEN))
        had = sum(stock[part.id] for part in parts)
        text = f"{num(each)} × {counts[per]} ({per}) = {need}, {had} bought or owned"
        yield at_least(rules.CONSUMABLES, f"consumables, {purpose}", had, need, text)


def _orders(facts: PlanFacts) -> Iterator[Check]:
    lines = Counter(order.offer for order in facts.plan.orders)
    for order in facts.plan.orders:
        offer, subject = facts.catalogue.offer_by_id[order.offer], f"order {order.offer}"
        sound = order.quantity >= 1 and order.seller == offer.seller and lines[order.offer] == 1
        due = order.quantity * offer.price_cents if sound else None
        text = f"{order.quantity} × {offer.price_cents} cents from {offer.seller}, one line an offer"
        yield same(rules.ORDER, subject, order.cents, due, text)
        if offer.limit is not None:
            text = f"{order.quantity} ordered, at most {offer.limit}"
            yield at_most(rules.ORDER_LIMIT, subject, order.quantity, offer.limit, text)


def _deliveries(facts: PlanFacts) -> Iterator[Check]:
    goods: Counter[str] = Counter()
    for order in facts.plan.orders:
        goods[order.seller] += order.cents
    stated = {delivery.seller: delivery for delivery in facts.plan.deliveries}
    for seller_id in sorted({*goods, *stated}):
        due = _delivery_cents(facts, seller_id, goods[seller_id]) if seller_id in goods else None
        delivery = stated.get(seller_id)
        agrees = delivery is not None and delivery.goods_cents == goods[seller_id]
        once = sum(d.seller == seller_id for d in facts.plan.deliveries) == 1
        text = f"goods {goods[seller_id]} cents; delivery {'none due' if due is None else f'{due} cents'}"
        cents = delivery.cents if delivery is not None and agrees and once else None
        yield same(rules.DELIVERY, f"seller {seller_id}", cents, due, text)


def _delivery_cents(facts: PlanFacts, seller_id: str, goods_cents: int) -> int:
    seller = facts.catalogue.seller_by_id[seller_id]
    waived = seller.free_over_cents is not None and goods_cents >= seller.free_over_cents
    return 0 if waived else seller.delivery_cents


def _total(facts: PlanFacts) -> Iterator[Check]:
    plan = facts.plan
    goods: Counter[str] = Counter()
    for order in plan.orders:
        goods[order.seller] += order.quantity * facts.catalogue.offer_by_id[order.offer].price_cents
    deliveries = sum(_delivery_cents(facts, seller, cents) for seller, cents in goods.items())
    total = sum(goods.values()) + deliveries
    text = f"goods {sum(goods.values())} + delivery {deliveries} = {total} cents"
    yield same(rules.TOTAL, _PLAN, plan.total_cents, total, text)
    if plan.status == "optimal":
        yield same(rules.BOUND, _PLAN, plan.bound_cents, plan.total_cents, "proven cheapest: bound = total")
    elif plan.bound_cents is not None:
        text = f"proven lower bound {plan.bound_cents} cents, total {total} cents"
        yield at_most(rules.BOUND, _PLAN, plan.bound_cents, total, text)
