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

    def _saving_cents(self, offer: Offer, content: Content) -> int:
        if len(offer.contents) > 1 or (content.count or 0) != 1:
            return 0
        seller = self._sellers[offer.seller]
        lost_waiver = 0 if seller.free_over_cents is None else seller.delivery_cents
        return offer.price_cents - lost_waiver
