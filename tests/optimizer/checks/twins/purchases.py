"""Twins of planning rules 6: purchases and cost; and of what names nothing."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import Consumable
from optimizer.job import Owned
from optimizer.plan import Delivery, Order, Plan
from tests.builders import CUTS, OFFERS, ORDERS, a_catalogue

from .twin import System, Twin, by_job, by_parts, by_plan

WITHOUT_SWITCH = tuple(order for order in ORDERS if order.offer != "o-switch")
PAID = Delivery(seller="shop", goods_cents=10160, cents=500)


def limited(most: int) -> System:
    offers = tuple(replace(offer, limit=most) if offer.id == "o-twin1" else offer for offer in OFFERS)
    return System(catalogue=replace(a_catalogue(), offers=offers))


def first_order(**fields: object) -> dict[str, tuple[Order, ...]]:
    return {"orders": (replace(ORDERS[0], **fields), *ORDERS[1:])}


DEMANDS = (
    by_plan("covered", "no switch bought", {}, {"orders": WITHOUT_SWITCH}),
    by_job(
        "covered",
        "the switch owned",
        {"owned": (Owned(part="switch", count=1),)},
        {"owned": (Owned(part="label", count=1),)},
        plan=replace(System().plan, orders=WITHOUT_SWITCH),
    ),
    # four a circuit and a cut lead: 12; with joints two more for the switch
    by_job("terminals", "joints counted", {"limits": {"count_joints": False}}, {"limits": {"count_joints": True}}),
    by_parts("terminals", "up to 4 mm²", {"crimp": {"mm2_max": 4}}, {"crimp": {"mm2_max": 3.9}}),
    by_parts("terminals", "from 1 mm²", {"crimp": {"mm2_min": 1}}, {"crimp": {"mm2_min": 1.1}}),
    # two circuits, 12 terminations, one cut lead, one job; four labels
    by_parts("consumables", "per circuit", {"label": {"each": 2}}, {"label": {"each": 2.1}}),
    *(
        by_parts(
            "consumables", f"per {per}", {"label": {"per": per, "each": obeys}}, {"label": {"per": per, "each": breaks}}
        )
        for per, obeys, breaks in (("termination", 1 / 3, 0.34), ("cut_lead", 4, 4.1), ("job", 4, 4.1))
    ),
    by_job(
        "consumables",
        "any mix of a purpose",
        {"owned": (Owned(part="tag", count=1),)},
        {},
        catalogue=a_catalogue(Consumable(id="tag", purpose="labels", per="circuit", each=2.5), label={"each": 2.5}),
    ),
)

COST = (
    by_plan("order_price", "cents", {}, first_order(cents=3001)),
    by_plan("order_price", "quantity 0", {}, first_order(quantity=0, cents=0)),
    by_plan("order_price", "two lines", {}, {"orders": (*ORDERS, ORDERS[0])}),
    Twin(rule="order_limit", what="4 steps", obeys=limited(4), breaks=limited(3)),
    by_plan("delivery_cost", "500", {}, {"deliveries": (replace(PAID, cents=499),)}),
    by_plan("delivery_cost", "goods", {}, {"deliveries": (replace(PAID, goods_cents=10161),)}),
    by_plan("delivery_cost", "missing", {}, {"deliveries": ()}),
    by_plan("delivery_cost", "twice", {}, {"deliveries": (PAID, PAID)}),
    Twin(
        rule="delivery_cost",
        what="waived at and above the threshold",
        obeys=System(catalogue=a_catalogue(seller={"free_over_cents": 10161})),
        breaks=System(catalogue=a_catalogue(seller={"free_over_cents": 10160})),
    ),
    by_plan("total_cost", "10660", {}, {"total_cents": 10659}),
    by_plan("cost_bound", "proven", {}, {"bound_cents": 10659}),
    by_plan(
        "cost_bound",
        "feasible",
        {"status": "feasible", "bound_cents": 10660},
        {"status": "feasible", "bound_cents": 10661},
    ),
)

BUDGET = (by_job("budget", "to the cent", {"limits": {"budget_cents": 10660}}, {"limits": {"budget_cents": 10659}}),)

UNKNOWN = (
    by_plan("references", "load", {}, {"lamp": {"load": "nobody"}}),
    by_plan("references", "stage", {}, {"router": {"stages": ("fuse5",)}}),
    by_plan("references", "circuit", {}, {"router": {"circuit": "C9"}}),
    by_plan("references", "two of one id", {}, {"c2": {"id": "C1"}}),
    by_plan("references", "fuse", {}, {"c1": {"fuse": "boost"}}),
    by_plan("references", "no cable", {}, {"c1": {"cable": ()}}),
    by_plan("references", "place", {}, {"c1": {"place": "attic"}}),
    by_plan("references", "battery", {}, {"bank": {"part": "crimp"}}),
    Twin(rule="references", what="no bank", obeys=System(), breaks=System(plan=replace(System().plan, bank=None))),
    by_plan("references", "offer", {}, first_order(offer="o-none")),
    by_plan("references", "stock", {}, {"cuts": (replace(CUTS[1], offer=None, owned=0), CUTS[0])}),
    by_plan("references", "seller", {}, {"deliveries": (replace(PAID, seller="nobody"),)}),
)

EMPTY = Plan(status="infeasible", total_cents=None, bound_cents=None)
NO_PLAN = (
    Twin(
        rule="nothing_planned",
        what="no plan exists",
        obeys=System(plan=EMPTY),
        breaks=System(plan=replace(EMPTY, orders=ORDERS)),
    ),
    Twin(
        rule="nothing_planned",
        what="a total of nothing",
        obeys=System(plan=EMPTY),
        breaks=System(plan=replace(EMPTY, total_cents=0)),
    ),
)

TWINS = (*DEMANDS, *COST, *BUDGET, *UNKNOWN, *NO_PLAN)
