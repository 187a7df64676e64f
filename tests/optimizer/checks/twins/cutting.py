"""Twins of planning rules 5: the cut list."""

from __future__ import annotations

from dataclasses import replace

from optimizer.catalogue import Content, Offer
from optimizer.job import Owned
from optimizer.plan import Order, Piece
from tests.builders import CUTS, a_catalogue, a_job

from .twin import a_cut, by_job, by_plan

TWIN4, TWIN1 = CUTS
PAIR = Offer(
    id="o-pair",
    seller="shop",
    price_cents=6000,
    contents=(Content(part="twin4", length_m=20), Content(part="twin4", length_m=10)),
)
TO_DESK, TO_MAST = TWIN4.pieces


def spool(unit: int, stock_mm: int, piece: Piece) -> object:
    """A spool of the pair, cut."""
    return replace(TWIN4, offer="o-pair", unit=unit, stock_mm=stock_mm, pieces=(piece,), left_mm=stock_mm - piece.mm)


FROM_PAIR = {
    "catalogue": a_catalogue(offers=(PAIR,)),
}
PAIR_ORDER = (Order(offer="o-pair", seller="shop", quantity=1, cents=6000),)
OFFCUT = a_job(owned=(Owned(part="twin1", length_m=2), Owned(part="twin4", length_m=2), Owned(part="twin1", count=1)))

TWINS = (
    by_plan("cut_length", "run and slack", {"c1": {"cut_mm": 20000}}, {"c1": {"cut_mm": 19999}}),
    by_job("cut_length", "rounded up to the millimetre", {"desk": {"run_m": 19.4991}}, {"desk": {"run_m": 19.5001}}),
    by_plan("cut_made_once", "lead not cut", {}, {"cuts": (TWIN4,)}),
    by_plan("cut_made_once", "lead cut twice", {}, {"more_cuts": (replace(TWIN1, unit=1),)}),
    by_plan("cut_made_once", "too short", {}, {"cuts": (TWIN4, a_cut(pieces=(Piece(mm=1999, lead="lamp"),)))}),
    by_plan("cut_made_once", "other cable", {}, {"cuts": (TWIN4, a_cut(part="twin4"))}),
    by_plan("cut_asked_for", "a piece more", {}, {"more_cuts": (a_cut(pieces=(Piece(mm=1, circuit="C1"),)),)}),
    by_plan("cut_source", "spool not bought", {}, {"cuts": (replace(TWIN4, unit=1), TWIN1)}),
    by_plan("cut_source", "offer not ordered", {}, {"orders": ()}),
    by_plan("cut_source", "offer of other goods", {}, {"cuts": (replace(TWIN4, offer="o-boost"), TWIN1)}),
    by_plan("cut_source", "unit of a length", {}, {"cuts": (TWIN4, a_cut(unit=0))}),
    by_plan("cut_source", "two sources", {}, {"cuts": (TWIN4, a_cut(owned=0))}, job=OFFCUT),
    by_plan("cut_source", "one length twice", {}, {"more_cuts": (a_cut(),)}),
    by_plan(
        "cut_source",
        "offcut of another cable",
        {"cuts": (TWIN4, a_cut(offer=None, owned=0))},
        {"cuts": (TWIN4, a_cut(offer=None, owned=1))},
        job=OFFCUT,
    ),
    by_plan(
        "cut_source",
        "not an offcut",
        {"cuts": (TWIN4, a_cut(offer=None, owned=0))},
        {"cuts": (TWIN4, a_cut(offer=None, owned=2))},
        job=OFFCUT,
    ),
    by_plan("cut_stock_length", "4 × 0.5 m", {}, {"cuts": (TWIN4, a_cut(stock_mm=2001, left_mm=1))}),
    by_plan(
        "cut_stock_length",
        "offcut of 2 m",
        {"cuts": (TWIN4, a_cut(offer=None, owned=0))},
        {"cuts": (TWIN4, a_cut(offer=None, owned=0, stock_mm=2100, left_mm=100))},
        job=OFFCUT,
    ),
    by_plan(
        "cut_spools_bought",
        "a pair of two lengths",
        {"more_orders": PAIR_ORDER, "cuts": (spool(0, 20000, TO_DESK), spool(1, 10000, TO_MAST), TWIN1)},
        {"more_orders": PAIR_ORDER, "cuts": (spool(0, 20000, TO_DESK), spool(1, 20000, TO_MAST), TWIN1)},
        **FROM_PAIR,
    ),
    by_plan(
        "spool_not_overdrawn",
        "30 m",
        {},
        {"cuts": (replace(TWIN4, pieces=(TO_DESK, replace(TO_MAST, mm=10001))), TWIN1)},
    ),
    by_plan("cut_left_recorded", "nothing left", {}, {"cuts": (replace(TWIN4, left_mm=1), TWIN1)}),
)
