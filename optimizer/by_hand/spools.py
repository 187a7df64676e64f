"""First-fit-decreasing: a list cut by hand, longest piece first, each from the first spool with room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from optimizer.catalogue import Offer
from optimizer.units import steps_for, steps_mm, stock_mm


@dataclass(slots=True)
class Opened:
    """One length that is cut from, with the pieces by their place in the list of cuts."""

    offer: Offer | None  # None: an owned offcut
    owned: int | None
    length_mm: int
    pieces: list[int] = field(default_factory=list)
    left_mm: int = 0


@dataclass(frozen=True, slots=True)
class CutPlan:
    """How a list of cuts of one cable is bought and cut."""

    cents: int
    opened: tuple[Opened, ...]
    orders: tuple[tuple[Offer, int], ...]  # offer, units or steps


def first_fit(cuts_mm: Sequence[int], which: Sequence[int], opened: list[Opened]) -> list[int]:
    """Puts cuts, longest first, into opened lengths; returns those that fit nowhere."""
    rest = []
    for n in sorted(which, key=lambda n: (-cuts_mm[n], n)):
        spool = next((spool for spool in opened if spool.left_mm >= cuts_mm[n]), None)
        if spool is None:
            rest.append(n)
        else:
            spool.pieces.append(n)
            spool.left_mm -= cuts_mm[n]
    return rest


def from_offcuts(cuts_mm: Sequence[int], offcuts: Sequence[tuple[int, int]]) -> tuple[list[Opened], list[int]]:
    """What owned offcuts (index, length) serve, shortest first, and the cuts still to be bought."""
    opened = [Opened(None, n, mm, [], mm) for n, mm in sorted(offcuts, key=lambda offcut: offcut[1])]
    rest = first_fit(cuts_mm, range(len(cuts_mm)), opened)
    return [spool for spool in opened if spool.pieces], rest


def cut_from(offer: Offer, length_m: float, cuts_mm: Sequence[int], which: Sequence[int]) -> CutPlan | None:
    """All these cuts from one offer: spools filled first-fit-decreasing, or one length by the metre."""
    if offer.step_m is not None:
        return _by_the_metre(offer, cuts_mm, which)
    spool_mm = stock_mm(length_m)
    opened: list[Opened] = []
    for n in sorted(which, key=lambda n: (-cuts_mm[n], n)):
        spool = next((spool for spool in opened if spool.left_mm >= cuts_mm[n]), None)
        if spool is None:
            if cuts_mm[n] > spool_mm or (offer.limit is not None and len(opened) >= offer.limit):
                return None
            spool = Opened(offer, None, spool_mm, [], spool_mm)
            opened.append(spool)
        spool.pieces.append(n)
        spool.left_mm -= cuts_mm[n]
    return CutPlan(len(opened) * offer.price_cents, tuple(opened), ((offer, len(opened)),))


def _by_the_metre(offer: Offer, cuts_mm: Sequence[int], which: Sequence[int]) -> CutPlan | None:
    step_m = offer.step_m or 0
    wanted_mm = sum(cuts_mm[n] for n in which)
    steps = steps_for(wanted_mm, step_m)
    if offer.limit is not None and steps > offer.limit:
        return None
    length_mm = steps_mm(steps, step_m)
    opened = Opened(offer, None, length_mm, sorted(which, key=lambda n: (-cuts_mm[n], n)), length_mm - wanted_mm)
    return CutPlan(steps * offer.price_cents, (opened,), ((offer, steps),))
