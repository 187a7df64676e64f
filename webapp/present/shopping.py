"""The parts list by seller, as it is bought: packs, quantities, prices, delivery."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from optimizer.catalogue import Catalogue, Content, Offer, Seller
from optimizer.plan import Delivery, Order, Plan
from webapp.present.must_be import must_be
from webapp.present.words import counted, money, quantity
from webapp.texts import _, bound
from webapp.texts.figures import SPACE


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    what: str
    pack: str  # what one unit is, where it is more than one piece
    quantity: str
    each: str
    sum: str
    offer: str
    key: str  # of its tick
    cents: int
    must: tuple[str, ...]  # what another part in its place has to be


@dataclass(frozen=True, slots=True, kw_only=True)
class SellerView:
    id: str
    name: str
    rows: tuple[OrderRow, ...]
    goods: str
    delivery: str
    delivery_note: str
    total: str
    lead: str


def seller_views(catalogue: Catalogue, plan: Plan) -> tuple[SellerView, ...]:
    """One list per seller, dearest line first."""
    orders: dict[str, list[Order]] = defaultdict(list)
    for order in plan.orders:
        orders[order.seller].append(order)
    deliveries = {delivery.seller: delivery for delivery in plan.deliveries}
    return tuple(
        _seller(catalogue, orders[each], catalogue.seller_by_id[each], deliveries.get(each)) for each in sorted(orders)
    )


def _seller(catalogue: Catalogue, orders: list[Order], seller: Seller, delivery: Delivery | None) -> SellerView:
    goods_cents = sum(order.cents for order in orders)
    delivery_cents = delivery.cents if delivery else 0
    return SellerView(
        id=seller.id,
        name=seller.name,
        rows=tuple(_row(catalogue, order) for order in sorted(orders, key=lambda o: (-o.cents, o.offer))),
        goods=money(goods_cents),
        delivery=money(delivery_cents),
        delivery_note=_delivery_note(seller, goods_cents, delivery_cents),
        total=money(goods_cents + delivery_cents),
        lead=counted("about %(num)s day", "about %(num)s days", seller.lead_days) if seller.lead_days else "",
    )


def _delivery_note(seller: Seller, goods_cents: int, delivery_cents: int) -> str:
    if seller.free_over_cents is None:
        return "" if delivery_cents else _("this seller delivers free")
    if goods_cents >= seller.free_over_cents:
        return _("free: goods reach %(price)s", price=money(seller.free_over_cents))
    short = money(seller.free_over_cents - goods_cents)
    return _("free from %(price)s; %(short)s short", price=money(seller.free_over_cents), short=short)


def _row(catalogue: Catalogue, order: Order) -> OrderRow:
    offer = catalogue.offer_by_id[order.offer]
    return OrderRow(
        what=_what(catalogue, offer),
        pack=_pack(offer),
        quantity=_quantity(offer, order.quantity),
        each=money(offer.price_cents),
        sum=money(order.cents),
        offer=offer.id,
        key=f"buy/{offer.id}",
        cents=order.cents,
        must=must_be(catalogue, offer),
    )


def _what(catalogue: Catalogue, offer: Offer) -> str:
    if len(offer.contents) == 1:
        return bound(catalogue.part(offer.contents[0].part).label)
    parts = ", ".join(_amount(each, bound(catalogue.part(each.part).label)) for each in offer.contents)
    return _("Kit: %(parts)s", parts=parts)


def _amount(content: Content, part: str) -> str:
    if content.length_m is not None:
        return _("%(length)s of %(part)s", length=quantity(content.length_m, "m"), part=part)
    return f"{content.count}{SPACE}× {part}" if content.count and content.count > 1 else part


def _pack(offer: Offer) -> str:
    if offer.step_m is not None:
        return _("by the metre, in steps of %(length)s", length=quantity(offer.step_m, "m"))
    if len(offer.contents) > 1:
        return _("kit")
    content = offer.contents[0]
    if content.length_m is not None:
        return _("spool of %(length)s", length=quantity(content.length_m, "m", 4))
    return _("pack of %(num)s", num=content.count) if content.count and content.count > 1 else ""


def _quantity(offer: Offer, number: int) -> str:
    if offer.step_m is not None:
        return quantity(number * offer.step_m, "m", 5)
    return str(number)
