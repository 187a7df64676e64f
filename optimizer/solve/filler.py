"""Goods nobody needs that lift a basket over a seller's free-delivery threshold.

Surplus is allowed (planning rules 9), so even an offer of parts that no feed can use may make a plan cheaper. Thousands
of such offers matter only through the sums their prices can make.
"""

from __future__ import annotations

import math

from optimizer.catalogue import Offer

MOST_SUMS = 50_000  # looked at one by one


def are_many(offers: list[Offer], most_cents: int) -> bool:
    """Whether so many sums up to most_cents may come of these offers that quantities are less work."""
    prices = _distinct_prices(offers, most_cents)
    return bool(prices) and most_cents // math.gcd(*(price for price, _ in prices)) > MOST_SUMS


def with_prices_of_their_own(offers: list[Offer]) -> list[Offer]:
    """Offers that make sums the others do not: none at a multiple of a price at which there is any number."""
    kept: list[Offer] = []
    for offer in sorted(offers, key=lambda o: (o.price_cents, o.limit is not None, o.id)):
        endless = (o.price_cents for o in kept if o.limit is None)
        if offer.price_cents > 0 and not any(offer.price_cents % price == 0 for price in endless):
            kept.append(offer)
    return kept


def attainable_cents(offers: list[Offer], most_cents: int) -> list[int]:
    """Every sum up to most_cents that quantities of these offers can make, 0 included, smallest first. [cents]"""
    prices = _distinct_prices(offers, most_cents)
    if most_cents <= 0 or not prices:
        return [0]
    unit = math.gcd(*(price for price, _ in prices))  # round prices make few sums however large they are
    most = most_cents // unit
    full = (1 << (most + 1)) - 1
    sums = 1  # bit n is set where n units can be made
    for price, limit in prices:
        times = most_cents // price if limit is None else min(limit, most_cents // price)
        sums = _add_up_to(sums, price // unit, times) & full
    return [unit * n for n, bit in enumerate(reversed(f"{sums:b}")) if bit == "1"]


def _add_up_to(sums: int, price: int, times: int) -> int:
    """All sums with 0 to `times` further units of a price."""
    block = 1
    while times > 0:
        take = min(block, times)
        sums |= sums << (price * take)
        times -= take
        block *= 2
    return sums


def _distinct_prices(offers: list[Offer], most_cents: int) -> list[tuple[int, int | None]]:
    """Prices that can be part of a sum, each once, with how many units of it there are. None: any number"""
    limits: dict[int, int | None] = {}
    for offer in offers:
        price = offer.price_cents
        if not 0 < price <= most_cents:
            continue
        known = limits.get(price, 0)
        limits[price] = None if known is None or offer.limit is None else known + offer.limit
    return sorted(limits.items())


def fill(offers: list[Offer], cents: int) -> dict[str, int]:
    """Quantities of these offers that come to exactly so much, with few order lines; dear ones first among equals.

    Raises:
        ValueError: No quantities make that sum.
    """
    usable = sorted((o for o in offers if 0 < o.price_cents <= cents), key=lambda o: (-o.price_cents, o.id))
    unit = math.gcd(cents, *(offer.price_cents for offer in usable))
    target = cents // unit if unit else 0
    sums = [[1] * (len(usable) + 1)]  # [lines][offers]: bit n is set where that many of the first offers make n units
    while not (sums[-1][-1] >> target) & 1:
        sums.append([0])
        for n, offer in enumerate(usable):
            price, times = offer.price_cents // unit, _times(offer, cents)
            with_it = _add_up_to(sums[-2][n] << price, price, times - 1) if times else 0
            sums[-1].append(sums[-1][n] | with_it & ((2 << target) - 1))
        if not sums[-1][-1]:
            raise ValueError(f"no quantities of these offers make {cents} cents")
    quantities = {}
    for lines in range(len(sums) - 1, 0, -1):
        last = next(n for n in range(len(usable)) if (sums[lines][n + 1] >> target) & 1)
        price = usable[last].price_cents // unit
        fewer = sums[lines - 1][last]
        units = next(n for n in range(1, target // price + 1) if (fewer >> (target - n * price)) & 1)
        quantities[usable[last].id] = units
        target -= units * price
    return quantities


def _times(offer: Offer, cents: int) -> int:
    most = cents // offer.price_cents
    return most if offer.limit is None else min(most, offer.limit)
