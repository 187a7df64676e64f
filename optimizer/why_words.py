"""The choices of a plan and what changes in buying, in words."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.catalogue import Catalogue
from optimizer.near_misses import apart
from optimizer.plan import Circuit, Feed, Plan
from optimizer.shortfalls import money
from optimizer.solve.banks import BankOption
from optimizer.why_held import Held

_NAMED = 2  # order lines named; the rest are counted
_SAME_W = 5e-4


def feed_words(held: Held, feed: Feed) -> str:
    """How a load is fed: its stages in order."""
    if feed.source == "ac":
        return "the AC outlet"
    if not feed.stages:
        return "the bus directly"
    stages = " then ".join(held.catalogue.part(stage).label for stage in feed.stages)
    if feed.shares is not None:
        return f"{stages}, shared with {held.job.load_by_id[feed.shares].label}"
    if feed.panel_stages:
        return f"{stages}, at the panel" if feed.panel_stages == len(feed.stages) else f"{stages}, begun at the panel"
    return stages


def lead_words(held: Held, feed: Feed) -> str:
    return pair_words(held, feed.lead.cable) if feed.lead is not None else "no lead"


def pair_words(held: Held, cables: Sequence[str]) -> str:
    return " and ".join(held.catalogue.part(cable).label for cable in cables)


def circuit_words(held: Held, circuits: Sequence[Circuit]) -> str:
    """How loads hang on circuits."""
    return ", ".join(_one_circuit(held, circuit) for circuit in circuits)


def _one_circuit(held: Held, circuit: Circuit) -> str:
    names = [held.job.load_by_id[load].label for load in circuit.loads]
    return f"{names[0]} on its own circuit" if len(names) == 1 else f"{listed(names)} on one circuit"


def bank_words(bank: BankOption) -> str:
    if bank.battery is None:
        return "the bank there is"
    shape = []
    if bank.series > 1:
        shape.append(f"{bank.series} in series")
    if bank.parallel > 1:
        shape.append(f"{bank.parallel} in parallel")
    return f"{bank.battery.label} ({', '.join(shape)})" if shape else bank.battery.label


def offer_words(catalogue: Catalogue, offer_id: str, quantity: int) -> str:
    """So many of an offer, and from whom."""
    offer = catalogue.offer_by_id[offer_id]
    by_the_metre = " by the metre" if offer.step_m else ""
    contents = [
        f"{each.length_m * (quantity if offer.step_m else 1):g} m of {catalogue.part(each.part).label}{by_the_metre}"
        if each.length_m is not None
        else f"{f'{each.count} ' if (each.count or 1) > 1 else ''}{catalogue.part(each.part).label}"
        for each in offer.contents[:_NAMED]
    ]
    more = [f"{len(offer.contents) - _NAMED} more"] if len(offer.contents) > _NAMED else []
    times = f"{quantity} × " if quantity > 1 and not offer.step_m else ""
    return f"{times}{listed([*contents, *more])} from {catalogue.seller_by_id[offer.seller].name}"


def listed(names: Sequence[str]) -> str:
    """Names in one sentence: a, b and c."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


# -- what is bought otherwise -------------------------------------------------------------------------------------


def dearer(catalogue: Catalogue, plan: Plan, other: Plan) -> tuple[str, str]:
    """What of a higher price is delivery or another pack, in words where it is; and which of the three."""
    more_cents = _total(other) - _total(plan)
    delivery_cents = sum(d.cents for d in other.deliveries) - sum(d.cents for d in plan.deliveries)
    if delivery_cents >= more_cents:
        return f"{money(delivery_cents)} more for delivery{_new_sellers(catalogue, plan, other)}", "delivery"
    before = {order.offer for order in plan.orders}
    again = {offer: n for offer, n in _gained(plan, other).items() if offer in before and _is_pack(catalogue, offer)}
    paid_cents = {offer: n * catalogue.offer_by_id[offer].price_cents for offer, n in again.items()}
    if paid_cents and 2 * max(paid_cents.values()) >= more_cents:
        offer = max(paid_cents, key=lambda each: (paid_cents[each], each))
        return f"it takes another {offer_words(catalogue, offer, again[offer])}", "pack"
    return "", "price"


def _new_sellers(catalogue: Catalogue, plan: Plan, other: Plan) -> str:
    before = {delivery.seller for delivery in plan.deliveries}
    new = [catalogue.seller_by_id[d.seller].name for d in other.deliveries if d.seller not in before]
    return f", from {listed(new)} as well" if new else ""


def _is_pack(catalogue: Catalogue, offer_id: str) -> bool:
    offer = catalogue.offer_by_id[offer_id]
    return offer.step_m is None and any(c.length_m is not None or (c.count or 1) > 1 for c in offer.contents)


def _total(plan: Plan) -> int:
    assert plan.total_cents is not None
    return plan.total_cents


def gained_words(catalogue: Catalogue, plan: Plan, other: Plan) -> str:
    """What another plan buys that this one does not, dearest first; empty where there is nothing."""
    counts = _gained(plan, other)
    by_price = sorted(counts, key=lambda o: (-counts[o] * catalogue.offer_by_id[o].price_cents, o))
    named = [offer_words(catalogue, offer, counts[offer]) for offer in by_price[:_NAMED]]
    left = len(by_price) - len(named)
    return listed([*named, *([f"{left} smaller {'line' if left == 1 else 'lines'}"] if left else [])])


def _gained(plan: Plan, other: Plan) -> dict[str, int]:
    before = {order.offer: order.quantity for order in plan.orders}
    counts = {order.offer: order.quantity - before.get(order.offer, 0) for order in other.orders}
    return {offer: count for offer, count in counts.items() if count > 0}


# -- equal prices -------------------------------------------------------------------------------------------------


_NOT_PROVEN = "between plans of one price the search stops early"


def tie(held: Held, other: Plan) -> tuple[str, str]:
    """What decided between two plans of one price, in the order of planning rules 6; "but" or "and" comes first.

    Of plans of one price the best in a fixed amount of work stands, so that another may yet come before it.
    """
    plan = held.baseline
    assert plan.bank is not None
    assert other.bank is not None
    their_w, our_w = other.bank.average_w, plan.bank.average_w
    if abs(their_w - our_w) > _SAME_W:
        theirs, ours = apart(their_w, our_w, 1)
        if their_w > our_w:
            return f"but draws more: {theirs} W on average, not {ours} W", "power"
        return f"and draws less: {theirs} W on average, not {ours} W; {_NOT_PROVEN}", "search"
    their_a, our_a = _fuses_a(held, other), _fuses_a(held, plan)
    if their_a > our_a:
        return f"but has larger fuses: {their_a:g} A in all, not {our_a:g} A", "fuse"
    if their_a < our_a:
        return f"and has smaller fuses: {their_a:g} A in all, not {our_a:g} A; {_NOT_PROVEN}", "search"
    their_lines, our_lines = len(other.orders), len(plan.orders)
    if their_lines > our_lines:
        return f"but takes {their_lines} order lines, not {our_lines}", "order"
    if their_lines < our_lines:
        lines = "1 order line" if their_lines == 1 else f"{their_lines} order lines"
        return f"and takes {lines}, not {our_lines}; {_NOT_PROVEN}", "search"
    return "and is no better in anything else; then the stated order of parts decides", "order"


def _fuses_a(held: Held, plan: Plan) -> float:
    return sum(held.rating_a(circuit) for circuit in plan.circuits)
