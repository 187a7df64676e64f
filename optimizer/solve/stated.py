"""What is chosen, as a plan states it: one definition for plans found by search and for plans made by hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from optimizer.catalogue import Catalogue
from optimizer.conductors import Pair
from optimizer.feed_option import Draw as PeakDraw
from optimizer.feed_option import FeedOption
from optimizer.job import Load
from optimizer.physics.operating_point import ConstantPower, Draw, Resistive
from optimizer.plan import Delivery, Feed, FeedLead, Order, OutputFuse, PlanBank
from optimizer.solve.banks import BankOption
from optimizer.solve.instance import Instance


def stated_feed(
    instance: Instance, load: Load, option: FeedOption | None, circuit: str | None, run: Pair | None = None
) -> Feed:
    """A load's feed; the AC outlet where there is no option.

    Args: run: The pair chosen behind a converter at the panel.
    """
    if option is None:
        return Feed(load=load.id, source="ac", circuit=None, stages=(), lead=None)
    fused = option.output_fuse
    return Feed(
        load=load.id,
        source="bus",
        circuit=circuit,
        stages=tuple(stage.id for stage in option.stages),
        lead=FeedLead(cable=option.lead.ids, cut_mm=instance.lead_mm(load)) if option.lead else None,
        output_fuse=OutputFuse(fuse=fused[0].id, holder=fused[1].id) if fused else None,
        panel_stages=option.panel_stages,
        run=FeedLead(cable=run.ids, cut_mm=instance.run_mm(load.place)) if run else None,
        shares=option.host,
    )


def stated_bank(bank: BankOption, average_w: float) -> PlanBank:
    """The bank that carries an average power. [W]"""
    return PlanBank(
        keep=bank.battery is None,
        part=bank.battery.id if bank.battery else None,
        series=bank.series,
        parallel=bank.parallel,
        average_w=round(average_w, 4),
        available_w=round(bank.available_w, 4),
        kit=bank.kit.id if bank.kit else None,
    )


def stated_orders(catalogue: Catalogue, quantity: Mapping[str, int]) -> tuple[tuple[Order, ...], tuple[Delivery, ...]]:
    """Offers bought so many times, by id, and what each of their sellers' delivery comes to."""
    orders = []
    goods: Counter[str] = Counter()
    for offer_id, units in sorted(quantity.items()):
        offer = catalogue.offer_by_id[offer_id]
        cents = offer.price_cents * units
        goods[offer.seller] += cents
        orders.append(Order(offer=offer_id, seller=offer.seller, quantity=units, cents=cents))
    return tuple(orders), tuple(_delivery(catalogue, seller, cents) for seller, cents in sorted(goods.items()))


def _delivery(catalogue: Catalogue, seller_id: str, goods_cents: int) -> Delivery:
    seller = catalogue.seller_by_id[seller_id]
    is_free = seller.free_over_cents is not None and goods_cents >= seller.free_over_cents
    return Delivery(seller=seller_id, goods_cents=goods_cents, cents=0 if is_free else seller.delivery_cents)


def settling(draw: PeakDraw) -> Draw:
    """A feed's draw as the settled operating point takes it."""
    if draw.load_ohm is not None:
        return Resistive(load_ohm=draw.load_ohm, lead_ohm=draw.lead_ohm)
    return ConstantPower(load_w=draw.power_w, lead_ohm=draw.lead_ohm)
