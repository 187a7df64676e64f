"""Shopping: which seller each need is bought from, and what it all comes to."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from optimizer.by_hand.basket import Fitting, Needs, Purchase, Shop
from optimizer.by_hand.desk import Desk
from optimizer.by_hand.spools import CutPlan

FEW_SELLERS = 3  # up to here every group of sellers is tried, beyond it they are left out one by one
Priced = Sequence[Purchase | CutPlan | None]  # by seller
Row = list[float]  # [cents], (seller,): price of one need
Sellers = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Bill:
    """A shopping list bought: what it costs and what comes of it."""

    cents: int
    needs: Needs
    units: dict[Fitting, list[str]]  # parts in hand
    cut_plans: dict[str, CutPlan]
    quantity: dict[str, int]  # offer -> units or steps


class Prices:
    """What each need costs at each seller."""

    def __init__(self, desk: Desk, shop: Shop, needs: Needs) -> None:
        self.wanted, self.given = shop.after_stock(needs.parts)
        self.vectors: list[Priced] = [shop.pieces(fitting, count) for fitting, count in self.wanted]
        self.vectors += [shop.cuts(cable, cuts) for cable, cuts in needs.cuts.items()]
        self.rows: list[Row] = [[math.inf if p is None else p.cents for p in vector] for vector in self.vectors]
        self.sellers = desk.instance.catalogue.sellers

    def cents(self, chosen: Sequence[int]) -> float:
        """Goods and deliveries, with each need from its chosen seller; infinite where that one does not sell it."""
        goods: dict[int, float] = {}
        for row, seller in zip(self.rows, chosen, strict=True):
            goods[seller] = goods.get(seller, 0.0) + row[seller]
        return sum(cents + self._delivery_cents(seller, cents) for seller, cents in goods.items() if cents)

    def _delivery_cents(self, seller: int, goods_cents: float) -> int:
        known = self.sellers[seller]
        waived = known.free_over_cents is not None and goods_cents >= known.free_over_cents
        return 0 if waived else known.delivery_cents

    def among(self, group: Sellers) -> list[int]:
        """The cheapest of a group of sellers for each need."""
        return [min(group, key=row.__getitem__) for row in self.rows]

    def mostly(self, seller: int) -> list[int]:
        """One seller for everything it sells; the cheapest other for the rest."""
        everybody = range(len(self.sellers))
        return [seller if math.isfinite(row[seller]) else min(everybody, key=row.__getitem__) for row in self.rows]


def each_at_its_cheapest(prices: Prices) -> list[int]:
    """Every need from the seller with the lowest price for it, however many parcels that makes."""
    return prices.among(tuple(range(len(prices.sellers))))


def mostly_one_seller(prices: Prices) -> list[int]:
    """Everything it sells from one seller, the one with which the whole is cheapest."""
    return min(map(prices.mostly, range(len(prices.sellers))), key=prices.cents)


def best_sellers(prices: Prices) -> list[int]:
    """Every need from the cheapest of some sellers, chosen so that the whole is cheapest."""
    chosen = _best_group(prices)
    lifted = (_lifted(prices, chosen, seller) for seller in sorted(set(chosen)))
    return min([chosen, *lifted], key=prices.cents)


def _lifted(prices: Prices, chosen: list[int], seller: int) -> list[int]:
    """More from one seller, what costs least extra first, as long as its goods stay below free delivery."""
    free_over = prices.sellers[seller].free_over_cents
    lifted = list(chosen)
    if free_over is None:
        return lifted
    goods = sum(row[seller] for row, other in zip(prices.rows, chosen, strict=True) if other == seller)
    elsewhere = [n for n, other in enumerate(chosen) if other != seller and math.isfinite(prices.rows[n][seller])]
    for n in sorted(elsewhere, key=lambda n: prices.rows[n][seller] - prices.rows[n][chosen[n]]):
        if goods >= free_over:
            break
        lifted[n] = seller
        goods += prices.rows[n][seller]
    return lifted


def _best_group(prices: Prices) -> list[int]:
    everybody = tuple(range(len(prices.sellers)))
    if len(everybody) <= FEW_SELLERS:
        return min(map(prices.among, _groups(everybody)), key=prices.cents)
    best = prices.among(everybody)
    while True:
        in_use = tuple(sorted(set(best)))
        fewer = [prices.among(tuple(n for n in in_use if n != out)) for out in in_use] if len(in_use) > 1 else []
        next_best = min(fewer, key=prices.cents, default=best)
        if prices.cents(next_best) >= prices.cents(best):
            return best
        best = next_best


def _groups(everybody: Sellers) -> Iterator[Sellers]:
    for size in range(len(everybody), 0, -1):
        yield from combinations(everybody, size)


Pick = Callable[[Prices], list[int]]


def buy(desk: Desk, shop: Shop, needs: Needs, pick: Pick) -> Bill | None:
    """The bill with sellers picked in one way; None where something is not to be had."""
    prices = Prices(desk, shop, needs)
    chosen = pick(prices)
    cents = prices.cents(chosen)
    if math.isinf(cents):
        return None
    bought = [vector[seller] for vector, seller in zip(prices.vectors, chosen, strict=True)]
    quantity: Counter[str] = Counter()
    for purchase in bought:
        assert purchase is not None
        for offer, units in purchase.orders:
            quantity[offer.id] += units
    if over := _over_limit(desk, quantity):
        return buy(desk, shop.without(over), needs, pick)
    in_hand = defaultdict(list, prices.given)
    for (fitting, _), purchase in zip(prices.wanted, bought, strict=False):
        assert isinstance(purchase, Purchase)
        in_hand[fitting] = [*in_hand[fitting], *purchase.units]
    plans = [purchase for purchase in bought if isinstance(purchase, CutPlan)]
    return Bill(round(cents), needs, in_hand, dict(zip(needs.cuts, plans, strict=True)), dict(quantity))


def _over_limit(desk: Desk, quantity: Counter[str]) -> str | None:
    """An offer of which several needs together take more than can be bought."""
    for offer_id, units in quantity.items():
        limit = desk.instance.catalogue.offer_by_id[offer_id].limit
        if limit is not None and units > limit:
            return offer_id
    return None
