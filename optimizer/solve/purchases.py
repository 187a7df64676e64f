"""What is bought and from whom: offers, deliveries and the total; the cuts that it must yield are in `cutting`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from optimizer.catalogue import Content, Offer, Seller
from optimizer.solve.cutting import Cutting, CuttingUse
from optimizer.solve.filler import are_many, attainable_cents, with_prices_of_their_own
from optimizer.solve.variables import Term, Var, Variables, total, upper
from optimizer.units import steps_for, stock_mm

Model = cp_model.CpModel


@dataclass(slots=True)
class Purchases:
    """The variables of buying and cutting."""

    quantity: dict[str, Var] = field(default_factory=dict)  # offer -> units or steps
    used: dict[str, Var] = field(default_factory=dict)  # sellers whose delivery costs something
    waived: dict[str, Var] = field(default_factory=dict)  # of those, whose goods reach free delivery
    filler: dict[str, Var] = field(default_factory=dict)  # seller -> goods nobody needs, to reach free delivery [cents]
    cutting: CuttingUse = field(default_factory=CuttingUse)
    cost: list[Term] = field(default_factory=list)


class Buying:
    """Adds buying and cutting to a model whose demands are known."""

    def __init__(self, model: Model, v: Variables) -> None:
        self._model = model
        self._v = v
        self._catalogue = v.instance.catalogue
        self._owned = v.instance.job.owned
        self.out = Purchases()

    def build(self) -> Purchases:
        most = self._v.most_wanted
        useful = {offer.id for part in (*most, *self._v.cuts) for offer, _ in self._catalogue.offers_of(part)}
        for offer_id in sorted(useful):
            self._offer(self._catalogue.offer_by_id[offer_id], most)
        for part, terms in sorted(self._v.demand.items()):
            self._cover(part, terms)
        cutting = Cutting(self._model, self._v, self.out.quantity, self._holding, self.out.cutting)
        for cable in sorted(self._v.cuts):
            cutting.add(cable)
        for seller in self._catalogue.sellers:
            self._deliver(seller)
        for any_of, parts in self._v.needs:
            self._tighten(any_of, parts)
        for cable, wanted in sorted(self._v.cuts.items()):
            for choices in (choices for cuts in wanted.values() for choices in cuts.exclusive):
                self._tighten_sellers(choices, [cable])
        return self.out

    def _tighten(self, any_of: list[Var], parts: list[str]) -> None:
        """A part wanted is a whole pack bought, not the share of it that is used."""
        if any(owned.part in parts for owned in self._owned):
            return
        packs = {o.id: self.out.quantity[o.id] for part in parts for o, _ in self._holding(part)}
        self._model.add(sum(any_of) <= sum(packs.values()))
        self._tighten_sellers(any_of, parts)

    def _tighten_sellers(self, any_of: list[Var], parts: list[str]) -> None:
        """A part wanted is a seller used, whole delivery included."""
        if any(owned.part in parts for owned in self._owned):
            return
        sellers = {o.seller for part in parts for o, _ in self._holding(part)}
        if sellers <= self.out.used.keys():
            self._model.add(sum(any_of) <= sum(self.out.used[seller] for seller in sorted(sellers)))

    # -- quantities -----------------------------------------------------------------------------------------------

    def _offer(self, offer: Offer, most: dict[str, int]) -> None:
        """One quantity for every offer that holds something wanted, no larger than could be useful."""
        units = max((self._units_useful(offer, content, most) for content in offer.contents), default=0)
        if units == 0:
            return
        units += self._surplus_units(offer)
        if offer.limit is not None:
            units = min(units, offer.limit)
        if units <= 0:
            return
        quantity = self._v.new_count(units, f"buy[{offer.id}]")
        self.out.quantity[offer.id] = quantity
        self.out.cost.append((offer.price_cents, quantity))

    def _units_useful(self, offer: Offer, content: Content, most: dict[str, int]) -> int:
        if content.length_m is None:
            return -(-most.get(content.part, 0) // (content.count or 1))
        wanted = self._v.cuts.get(content.part)
        if not wanted:
            return 0
        if offer.step_m is not None:
            return steps_for(sum(mm * cuts.most for mm, cuts in wanted.items()), offer.step_m)
        return sum(cuts.most for mm, cuts in wanted.items() if mm <= stock_mm(content.length_m))

    def _surplus_units(self, offer: Offer) -> int:
        """Units beyond need are worth buying only while they cost less than the delivery they save."""
        seller = self._catalogue.seller_by_id[offer.seller]
        if seller.free_over_cents is None or offer.price_cents <= 0:
            return 0
        return seller.delivery_cents // offer.price_cents

    def _cover(self, part: str, terms: list[Term]) -> None:
        owned = sum(o.count or 0 for o in self._owned if o.part == part)
        bought = [
            (content.count, self.out.quantity[offer.id])
            for offer, content in self._holding(part)
            if content.count is not None
        ]
        self._model.add(total(bought) + owned >= total(terms))

    def _holding(self, part: str) -> Iterator[tuple[Offer, Content]]:
        return ((offer, content) for offer, content in self._catalogue.offers_of(part) if offer.id in self.out.quantity)

    # -- delivery -------------------------------------------------------------------------------------------------

    def _deliver(self, seller: Seller) -> None:
        """A used seller's delivery is paid, or waived where its goods reach the threshold."""
        offers = [o for o in self._catalogue.offers if o.seller == seller.id and o.id in self.out.quantity]
        if seller.delivery_cents == 0 or not offers:
            return
        used = self._v.new_choice(f"seller[{seller.id}]")
        for offer in offers:
            quantity = self.out.quantity[offer.id]
            self._model.add(quantity <= upper(quantity) * used)
        self.out.used[seller.id] = used
        self.out.cost.append((seller.delivery_cents, used))
        if seller.free_over_cents is None:
            return
        waived = self._v.new_choice(f"waived[{seller.id}]")
        self.out.waived[seller.id] = waived
        self._model.add(waived <= used)
        goods = [(offer.price_cents, self.out.quantity[offer.id]) for offer in offers]
        goods += self._filler(seller)
        self._model.add(total(goods) >= seller.free_over_cents * waived)
        self.out.cost.append((-seller.delivery_cents, waived))

    def _filler(self, seller: Seller) -> list[Term]:
        """Goods that nobody needs, bought only to reach the threshold: cheaper than the delivery, or pointless."""
        unneeded = [o for o in self._catalogue.offers if o.seller == seller.id and o.id not in self.out.quantity]
        if are_many(unneeded, seller.delivery_cents - 1):
            return self._filler_by_quantity(unneeded, seller.delivery_cents - 1)
        sums = attainable_cents(unneeded, seller.delivery_cents - 1)
        if len(sums) == 1:
            return []
        filler = self._model.new_int_var_from_domain(cp_model.Domain.from_values(sums), f"filler[{seller.id}]")
        self.out.filler[seller.id] = filler
        self.out.cost.append((1, filler))
        return [(1, filler)]

    def _filler_by_quantity(self, unneeded: list[Offer], most_cents: int) -> list[Term]:
        terms = []
        for offer in with_prices_of_their_own(unneeded):
            units = most_cents // offer.price_cents
            units = units if offer.limit is None else min(units, offer.limit)
            if units > 0:
                self.out.quantity[offer.id] = self._v.new_count(units, f"buy[{offer.id}]")
                terms.append((offer.price_cents, self.out.quantity[offer.id]))
        self.out.cost += terms
        return terms
