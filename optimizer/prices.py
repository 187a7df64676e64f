"""Safe price bounds of single parts: they hold whatever packs, kits, stock and delivery do.

Prices interact: a part can come in a pack that is bought anyway, lie in stock, or lift a basket over a seller's
free-delivery threshold. So one part's price is only known between two bounds, and a feed may be dropped on price
only where the dearest way to the better one costs less than the cheapest saving on the worse one.
"""

from __future__ import annotations

from collections import defaultdict

from optimizer.catalogue import Catalogue, Content, Offer
from optimizer.job import Job


class PriceBounds:
    """For each part: the most that one more unit can cost, and the least that one unit less can save."""

    def __init__(self, job: Job, catalogue: Catalogue) -> None:
        self._owned = {owned.part for owned in job.owned}
        self._sellers = catalogue.seller_by_id
        self._offers: dict[str, list[tuple[Offer, Content]]] = defaultdict(list)
        for offer in catalogue.offers:
            for content in offer.contents:
                self._offers[content.part].append((offer, content))

    def is_sold_or_owned(self, part: str) -> bool:
        return part in self._offers or part in self._owned

    def most_cents(self, part: str) -> float:
        """One more unit costs at most this: a whole pack and a whole delivery. Infinite where none is sold freely."""
        return min(
            (
                offer.price_cents + self._sellers[offer.seller].delivery_cents
                for offer, _ in self._offers[part]
                if offer.limit is None
            ),
            default=float("inf"),
        )

    def least_cents(self, part: str) -> float:
        """One unit less saves at least this: nothing where a pack, a kit or stock may hold it anyway."""
        if part in self._owned:
            return 0
        savings = [self._saving_cents(offer, content) for offer, content in self._offers[part]]
        return max(0, min(savings, default=0))

    def least_together_cents(self, parts: tuple[str, ...]) -> float:
        """One unit less of each of these saves at least this: a seller's waived delivery can be lost only once."""
        sellers = {offer.seller for part in set(parts) for offer, _ in self._offers[part]}
        lost = sum(self._waiver_cents(seller) for seller in sellers)
        alone = sum(self._price_cents(part) for part in parts) - lost
        return max(alone, sum(self.least_cents(part) for part in parts))

    def _price_cents(self, part: str) -> float:
        """Least price of one unit, 0 where a pack, a kit or stock may hold it anyway. [cents]"""
        if part in self._owned:
            return 0
        singles = [
            offer.price_cents if len(offer.contents) == 1 and content.count == 1 else 0
            for offer, content in self._offers[part]
        ]
        return min(singles, default=0)

    def _waiver_cents(self, seller: str) -> int:
        known = self._sellers[seller]
        return 0 if known.free_over_cents is None else known.delivery_cents

    def _saving_cents(self, offer: Offer, content: Content) -> int:
        if len(offer.contents) > 1 or (content.count or 0) != 1:
            return 0
        return offer.price_cents - self._waiver_cents(offer.seller)
