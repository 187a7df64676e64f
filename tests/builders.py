"""One small system, worked out by hand, that every test may bend: a job, a catalogue and the plan that answers them.

A 12 V bus that goes down to 11.7 V and up to 14 V, 10 % drop allowed, copper at 20 °C, 0.5 m slack:
- C1 at the desk, 20 m of 4 mm² (0.2 Ω loop): a router of 36 W behind a 19 V converter (idle 2 W, efficiency 0.9),
  so 42 W in; floor 10.5 V, 4 A there, 1.25 × 4 A = the 5 A fuse.
- C2 at the mast, 10 m of 4 mm² (0.1 Ω): a switched lamp of 21 W fed directly over a lead of 2 m of 1 mm² (0.08 Ω);
  10.5 V and 2 A at the lamp make a floor of 10.66 V.
Average (22 W × 12 h + 2 W × 12 h + 12 W × 4 h) / 24 h × 1.05 = 14.7 W; bank 0.5 × 80 Ah / 24 h × 12 V = 20 W.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from optimizer.catalogue import (
    Cable,
    Catalogue,
    Consumable,
    Content,
    Fuse,
    Offer,
    Part,
    Seller,
    Stage,
    Switch,
    Terminal,
)
from optimizer.job import (
    Bank,
    Bus,
    CutLead,
    ExistingBank,
    Job,
    Limits,
    Load,
    Needs,
    Place,
    SuppliedLead,
)
from optimizer.plan import (
    Circuit,
    Cut,
    Delivery,
    Feed,
    FeedLead,
    Order,
    Piece,
    Plan,
    PlanBank,
    Settled,
)

Fields = dict[str, Any]

BUS = Bus(nominal_v=12, low_v=11.7, high_v=14, spare_ways=2, way_max_a=30, fuse_style="blade", fault_a=800)
EXISTING = ExistingBank(
    nominal_v=12, capacity_ah=100, usable_fraction=0.5, rated_hours=20, peukert=1, max_discharge_a=50
)
LIMITS = Limits(
    drop_pct=10,
    headroom_pct=20,
    autonomy_h=24,
    bank_derate=0.8,
    conductor_c=20,
    slack_m=0.5,
    wiring_allowance_pct=5,
)
DESK = Place(id="desk", run_m=19.5)
MAST = Place(id="mast", run_m=9.5)
ROUTER = Load(
    id="router",
    place="desk",
    needs=Needs(form="dc-plug", min_v=18, max_v=20),
    peak_w=36,
    typical_w=18,
    hours_per_day=12,
    lead=SuppliedLead(loop_ohm=0),
)
LAMP = Load(
    id="lamp",
    place="mast",
    needs=Needs(form="dc-wire", min_v=10, max_v=15),
    peak_w=21,
    typical_w=12,
    hours_per_day=4,
    lead=CutLead(length_m=1.5),
    switch=True,
)

PARTS: tuple[Part, ...] = (
    Stage(
        id="boost",
        in_form="dc-wire",
        in_min_v=9,
        in_max_v=32,
        out_form="dc-plug",
        out_v=19,
        max_out_w=60,
        efficiency=0.9,
        idle_w=2,
    ),
    Cable(id="twin4", mm2=4, cores=2, ohm_per_km_20c=5, ampacity_a=40, insulation_c=90),
    Cable(id="twin1", mm2=1, cores=2, ohm_per_km_20c=20, ampacity_a=15, insulation_c=90),
    Cable(id="red4", mm2=4, cores=1, polarity="positive", ohm_per_km_20c=5, ampacity_a=40, insulation_c=90),
    Cable(id="black4", mm2=4, cores=1, polarity="negative", ohm_per_km_20c=5, ampacity_a=40, insulation_c=90),
    Cable(id="black1", mm2=1, cores=1, polarity="negative", ohm_per_km_20c=20, ampacity_a=15, insulation_c=90),
    Fuse(id="fuse5", style="blade", rating_a=5, max_v=32, interrupt_a=1000),
    Switch(id="switch", max_a=10, max_v=24),
    Terminal(id="crimp", mm2_min=1, mm2_max=4),
    Consumable(id="label", purpose="labels", per="circuit", each=2),
)
SHOP = Seller(id="shop", name="Shop", delivery_cents=500, free_over_cents=20000)
OFFERS = (
    Offer(id="o-boost", seller="shop", price_cents=3000, contents=(Content(part="boost", count=1),)),
    Offer(id="o-fuse5", seller="shop", price_cents=200, contents=(Content(part="fuse5", count=2),)),
    Offer(id="o-switch", seller="shop", price_cents=400, contents=(Content(part="switch", count=1),)),
    Offer(id="o-crimp", seller="shop", price_cents=300, contents=(Content(part="crimp", count=12),)),
    Offer(id="o-label", seller="shop", price_cents=100, contents=(Content(part="label", count=4),)),
    Offer(id="o-twin4", seller="shop", price_cents=6000, contents=(Content(part="twin4", length_m=30),)),
    Offer(id="o-twin1", seller="shop", price_cents=40, contents=(Content(part="twin1", length_m=0.5),), step_m=0.5),
)

C1 = Circuit(
    id="C1",
    place="desk",
    loads=("router",),
    cable=("twin4",),
    cut_mm=20000,
    fuse="fuse5",
    switch=None,
    holder=None,
    floor_v=10.5,
    design_a=4.0,
    settled=Settled(place_v=10.9316, current_a=3.8421, drop_v=0.7684),  # (11.7 + √(11.7² − 4 × 0.2 × 42)) / 2
)
C2 = Circuit(
    id="C2",
    place="mast",
    loads=("lamp",),
    cable=("twin4",),
    cut_mm=10000,
    fuse="fuse5",
    switch="switch",
    holder=None,
    floor_v=10.66,
    design_a=2.0,
    settled=Settled(place_v=11.5153, current_a=1.8474, drop_v=0.1847),  # 21 W behind 0.1 Ω + 0.08 Ω: 11.36747 V
)
ROUTER_FEED = Feed(load="router", source="bus", circuit="C1", stages=("boost",), lead=None)
LAMP_FEED = Feed(load="lamp", source="bus", circuit="C2", stages=(), lead=FeedLead(cable=("twin1",), cut_mm=2000))
KEPT = PlanBank(keep=True, part=None, series=1, parallel=1, average_w=14.7, available_w=20.0)
ORDERS = (
    Order(offer="o-boost", seller="shop", quantity=1, cents=3000),
    Order(offer="o-fuse5", seller="shop", quantity=1, cents=200),
    Order(offer="o-switch", seller="shop", quantity=1, cents=400),
    Order(offer="o-crimp", seller="shop", quantity=1, cents=300),
    Order(offer="o-label", seller="shop", quantity=1, cents=100),
    Order(offer="o-twin4", seller="shop", quantity=1, cents=6000),
    Order(offer="o-twin1", seller="shop", quantity=4, cents=160),
)
CUTS = (
    Cut(
        part="twin4",
        offer="o-twin4",
        unit=0,
        owned=None,
        stock_mm=30000,
        pieces=(Piece(mm=20000, circuit="C1"), Piece(mm=10000, circuit="C2")),
        left_mm=0,
    ),
    Cut(
        part="twin1",
        offer="o-twin1",
        unit=None,
        owned=None,
        stock_mm=2000,
        pieces=(Piece(mm=2000, lead="lamp"),),
        left_mm=0,
    ),
)


def a_job(
    *,
    bus: Fields | None = None,
    limits: Fields | None = None,
    existing: Fields | None = None,
    desk: Fields | None = None,
    mast: Fields | None = None,
    router: Fields | None = None,
    lamp: Fields | None = None,
    **fields: Any,
) -> Job:
    """The job, with fields of its parts or of itself changed; more_loads=(...) adds loads."""
    more_loads = fields.pop("more_loads", ())
    job = Job(
        title="Small system",
        bus=replace(BUS, **bus or {}),
        bank=Bank(existing=replace(EXISTING, **existing or {})),
        places=(replace(DESK, **desk or {}), replace(MAST, **mast or {})),
        loads=(replace(ROUTER, **router or {}), replace(LAMP, **lamp or {}), *more_loads),
        limits=replace(LIMITS, **limits or {}),
    )
    return replace(job, **fields)


def a_catalogue(
    *more: Part, offers: tuple[Offer, ...] = (), seller: Fields | None = None, **parts: Fields
) -> Catalogue:
    """The catalogue, with more parts and offers, and with fields of parts changed by their id."""
    changed = tuple(replace(part, **parts.pop(part.id, {})) for part in PARTS)
    assert not parts, f"no such part: {sorted(parts)}"
    return Catalogue(sellers=(replace(SHOP, **seller or {}),), parts=(*changed, *more), offers=(*OFFERS, *offers))


def a_plan(
    *,
    c1: Fields | None = None,
    c2: Fields | None = None,
    router: Fields | None = None,
    lamp: Fields | None = None,
    bank: Fields | None = None,
    **fields: Any,
) -> Plan:
    """The plan, with fields of its parts or of itself changed; more_circuits, _feeds, _orders and _cuts add."""
    circuits = (replace(C1, **c1 or {}), replace(C2, **c2 or {}), *fields.pop("more_circuits", ()))
    feeds = (replace(ROUTER_FEED, **router or {}), replace(LAMP_FEED, **lamp or {}), *fields.pop("more_feeds", ()))
    plan = Plan(
        status="optimal",
        total_cents=10660,
        bound_cents=10660,
        circuits=circuits,
        feeds=feeds,
        bank=replace(KEPT, **bank or {}),
        orders=(*ORDERS, *fields.pop("more_orders", ())),
        deliveries=(Delivery(seller="shop", goods_cents=10160, cents=500),),
        cuts=(*CUTS, *fields.pop("more_cuts", ())),
    )
    return replace(plan, **fields)
