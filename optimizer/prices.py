"""Safe price bounds of single parts: they hold whatever packs, kits, stock and delivery do.

Prices interact: a part can come in a pack that is bought anyway, lie in stock, or lift a basket over a seller's
free-delivery threshold. So one part's price is only known between two bounds, and a feed may be dropped on price
only where the dearest way to the better one costs less than the cheapest saving on the worse one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from functools import cached_property

from optimizer.catalogue import Catalogue, Content, Offer
from optimizer.job import Job
from optimizer.units import steps_for, stock_mm

BySeller = tuple[float, ...]  # price of one need at each seller, delivery not included; infinite where it is not sold


class PriceBounds:
    """For each part: the most that one more unit can cost, and the least that one unit less can save."""

    def __init__(self, job: Job, catalogue: Catalogue) -> None:
        self._owned = {owned.part for owned in job.owned}
        self._sellers = catalogue.seller_by_id
        self._deliveries = tuple(float(seller.delivery_cents) for seller in self._sellers.values())
        self._compared: dict[tuple[frozenset[str], frozenset[str], tuple[BySeller, ...]], bool] = {}
        self._least: dict[tuple[str, ...], float] = {}
        self._by_seller: dict[tuple[str, int], BySeller] = {}
        self._offers = catalogue.offers_of

    @property
    def deliveries_cents(self) -> tuple[float, ...]:
        """By seller."""
        return self._deliveries

    @cached_property
    def waivers_cents(self) -> tuple[float, ...]:
        """By seller: the delivery that one unit less may bring back. 0 where it is never waived."""
        return tuple(float(self._waiver_cents(seller)) for seller in self._sellers)

    def sellers_of(self, part: str) -> tuple[bool, ...]:
        """By seller: whether it sells a part, in whatever pack."""
        selling = {offer.seller for offer, _ in self._offers(part)}
        return tuple(seller in selling for seller in self._sellers)

    def is_sold_or_owned(self, part: str) -> bool:
        return bool(self._offers(part)) or part in self._owned

    def most_cents(self, part: str) -> float:
        """One more unit costs at most this: a whole pack and a whole delivery. Infinite where none is sold freely."""
        return self.most_together_cents([self.by_seller(part)])

    def most_together_cents(self, needs: Iterable[BySeller]) -> float:
        """Several needs cost at most this: all from one seller with one delivery, or each from its cheapest."""
        needs = list(needs)
        if not needs:
            return 0
        one_by_one = sum(min(map(sum, zip(need, self._deliveries, strict=True)), default=math.inf) for need in needs)
        together = min(
            (sum(prices) + delivery for *prices, delivery in zip(*needs, self._deliveries, strict=True)),
            default=math.inf,
        )
        return float(min(one_by_one, together))

    def by_seller(self, part: str, count: int = 1) -> BySeller:
        """So many more units of a part, in whole packs. [cents]"""
        if (part, count) not in self._by_seller:
            self._by_seller[part, count] = self._units_by_seller(part, count)
        return self._by_seller[part, count]

    def _units_by_seller(self, part: str, count: int) -> BySeller:
        return self._cheapest(part, lambda offer, content: -(-count // (content.count or count)) * offer.price_cents)

    def cut_by_seller(self, cable: str, mm: int) -> BySeller:
        """One more cut of a cable: a whole spool, or a length by the metre. [cents]"""

        def price(offer: Offer, content: Content) -> float:
            if offer.step_m is not None:
                return steps_for(mm, offer.step_m) * offer.price_cents
            return offer.price_cents if stock_mm(content.length_m or 0) >= mm else float("inf")

        return self._cheapest(cable, price)

    def _cheapest(self, part: str, price: Callable[[Offer, Content], float]) -> BySeller:
        best = dict.fromkeys(self._sellers, float("inf"))
        for offer, content in self._offers(part):
            if offer.limit is None:
                best[offer.seller] = min(best[offer.seller], price(offer, content))
        return tuple(best.values())

    def is_surely_cheaper(self, better: frozenset[str], worse: frozenset[str], further: tuple[BySeller, ...]) -> bool:
        """Whether some parts and further needs cost less than other parts, whatever else is bought.

        What both hold counts for neither.
        """
        only, others = better - worse, worse - better
        key = (only, others, further)
        if key not in self._compared:
            saved = self.least_together_cents(tuple(sorted(others)))
            needs = [self.by_seller(part) for part in sorted(only)]
            self._compared[key] = saved > 0 and self.most_together_cents([*needs, *further]) < saved
        return self._compared[key]

    def least_cents(self, part: str) -> float:
        """One unit less saves at least this: nothing where a pack, a kit or stock may hold it anyway."""
        if part in self._owned:
            return 0
        savings = [self._saving_cents(offer, content) for offer, content in self._offers(part)]
        return max(0, min(savings, default=0))

    def least_together_cents(self, parts: tuple[str, ...]) -> float:
        """One unit less of each of these saves at least this: a seller's waived delivery can be lost only once."""
        if parts not in self._least:
            self._least[parts] = self._least_together(parts)
        return self._least[parts]

    def _least_together(self, parts: tuple[str, ...]) -> float:
        sellers = {offer.seller for part in set(parts) for offer, _ in self._offers(part)}
        lost = sum(self._waiver_cents(seller) for seller in sellers)
        alone = sum(self.least_price_cents(part) for part in parts) - lost
        return max(alone, sum(self.least_cents(part) for part in parts))

    def least_price_cents(self, part: str) -> float:
        """Least price of one unit, 0 where a pack, a kit or stock may hold it anyway. [cents]"""
        if part in self._owned:
            return 0
        singles = [
            offer.price_cents if len(offer.contents) == 1 and content.count == 1 else 0
            for offer, content in self._offers(part)
        ]
        return min(singles, default=0)

    def _waiver_cents(self, seller: str) -> int:
        known = self._sellers[seller]
        return 0 if known.free_over_cents is None else known.delivery_cents

    def _saving_cents(self, offer: Offer, content: Content) -> int:
        if len(offer.contents) > 1 or (content.count or 0) != 1:
            return 0
        return offer.price_cents - self._waiver_cents(offer.seller)
