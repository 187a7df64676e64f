"""What is bought, from whom, and from what each cut is taken: offers, deliveries, spools and the total.

Cutting is part of the same model: for every cable and spool length the maximal patterns are listed, and the chosen
patterns together make at least the cuts wanted. Cable by the metre is one length that holds all its cuts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from optimizer.catalogue import Content, Offer, Seller
from optimizer.solve.filler import attainable_cents
from optimizer.solve.patterns import Pattern, maximal_patterns
from optimizer.solve.variables import Expr, Term, Var, Variables, total, upper
from optimizer.units import stock_mm

Model = cp_model.CpModel


@dataclass(slots=True)
class SpoolUse:
    """How the spools of one length of one cable are cut."""

    cable: str
    stock_mm: int
    lengths_mm: list[int]
    patterns: list[tuple[Pattern, Var]]


@dataclass(slots=True)
class MetreUse:
    """How one by-the-metre length is cut."""

    cable: str
    offer: str
    counts: list[tuple[int, Var]]  # length [mm], how many


@dataclass(slots=True)
class Purchases:
    """The variables of buying and cutting."""

    quantity: dict[str, Var] = field(default_factory=dict)  # offer -> units or steps
    filler: dict[str, Var] = field(default_factory=dict)  # seller -> goods nobody needs, to reach free delivery [cents]
    spools: list[SpoolUse] = field(default_factory=list)
    metres: list[MetreUse] = field(default_factory=list)
    cost: list[Term] = field(default_factory=list)


class Buying:
    """Adds buying and cutting to a model whose demands are known."""

    def __init__(self, model: Model, v: Variables) -> None:
        self._model = model
        self._v = v
        self._catalogue = v.instance.catalogue
        self._owned = v.instance.job.owned
        self._by_part: dict[str, list[tuple[Offer, Content]]] = defaultdict(list)
        for offer in self._catalogue.offers:
            for content in offer.contents:
                self._by_part[content.part].append((offer, content))
        self._used: dict[str, Var] = {}  # sellers whose delivery costs something
        self.out = Purchases()

    def build(self) -> Purchases:
        most = self._v.most_wanted
        for offer in self._catalogue.offers:
            self._offer(offer, most)
        for part, terms in sorted(self._v.demand.items()):
            self._cover(part, terms)
        for cable in sorted(self._v.cuts):
            self._cut(cable)
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
        if sellers <= self._used.keys():
            self._model.add(sum(any_of) <= sum(self._used[seller] for seller in sorted(sellers)))

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
            return -(-sum(mm * cuts.most for mm, cuts in wanted.items()) // stock_mm(offer.step_m))
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
        return ((offer, content) for offer, content in self._by_part[part] if offer.id in self.out.quantity)

    # -- cutting --------------------------------------------------------------------------------------------------

    def _cut(self, cable: str) -> None:
        wanted = self._v.cuts[cable]
        lengths_mm = sorted(wanted, reverse=True)
        made: dict[int, list[Term]] = defaultdict(list)
        for spool_mm, supply, owned in self._spools(cable):
            self._cut_spools(cable, spool_mm, supply, owned, lengths_mm, made)
        for offer, _ in self._holding(cable):
            if offer.step_m is not None:
                self._cut_metres(cable, offer, lengths_mm, made)
        for mm in lengths_mm:
            self._model.add(total(made[mm]) >= sum(wanted[mm].wanted))
            for choices in wanted[mm].exclusive:
                self._model.add(self._one_source(cable, mm) >= sum(choices))

    def _one_source(self, cable: str, mm: int) -> Expr:
        """At least 1 where some spool, offcut or metre length that takes a cut of this length is at hand."""
        spools = [(1, self.out.quantity[o.id]) for o, c in self._holding(cable) if self._is_spool(o, c, mm)]
        offcuts = sum(o.part == cable and stock_mm(o.length_m or 0) >= mm for o in self._owned)
        metres = [o for o, _ in self._holding(cable) if o.step_m is not None]
        steps = [-(-mm // stock_mm(offer.step_m or 0)) for offer in metres]
        enough = [self._v.new_choice(f"metre_enough[{offer.id},{mm}]") for offer in metres]
        for offer, least, var in zip(metres, steps, enough, strict=True):
            self._model.add(self.out.quantity[offer.id] >= least * var)
        return total(spools) + offcuts + sum(enough)

    @staticmethod
    def _is_spool(offer: Offer, content: Content, mm: int) -> bool:
        return offer.step_m is None and stock_mm(content.length_m or 0) >= mm

    def _spools(self, cable: str) -> list[tuple[int, list[Term], int]]:
        """Spool lengths of a cable with what is bought of each and how many offcuts of that length are owned."""
        bought: dict[int, list[Term]] = defaultdict(list)
        owned: dict[int, int] = defaultdict(int)
        for offer, content in self._holding(cable):
            if offer.step_m is None and content.length_m is not None:
                bought[stock_mm(content.length_m)].append((1, self.out.quantity[offer.id]))
        for offcut in self._owned:
            if offcut.part == cable and offcut.length_m is not None:
                owned[stock_mm(offcut.length_m)] += 1
        return [(mm, bought[mm], owned[mm]) for mm in sorted({*bought, *owned})]

    def _cut_spools(
        self,
        cable: str,
        spool_mm: int,
        supply: list[Term],
        owned: int,
        lengths_mm: list[int],
        made: dict[int, list[Term]],
    ) -> None:
        fitting = [mm for mm in lengths_mm if mm <= spool_mm]
        if not fitting:
            return
        most = [self._v.cuts[cable][mm].most for mm in fitting]
        patterns = [
            (pattern, self._v.new_count(self._times(pattern, most), f"cut[{cable},{spool_mm},{n}]"))
            for n, pattern in enumerate(maximal_patterns(spool_mm, fitting, most))
        ]
        self._model.add(sum(var for _, var in patterns) <= total(supply) + owned)
        for pattern, var in patterns:
            for mm, count in zip(fitting, pattern, strict=True):
                if count:
                    made[mm].append((count, var))
        self.out.spools.append(SpoolUse(cable, spool_mm, fitting, patterns))

    @staticmethod
    def _times(pattern: Pattern, most: list[int]) -> int:
        """How often a pattern can be useful."""
        return max(-(-wanted // count) for wanted, count in zip(most, pattern, strict=True) if count)

    def _cut_metres(self, cable: str, offer: Offer, lengths_mm: list[int], made: dict[int, list[Term]]) -> None:
        assert offer.step_m is not None
        counts = [(mm, self._v.new_count(self._v.cuts[cable][mm].most, f"metre[{offer.id},{mm}]")) for mm in lengths_mm]
        self._model.add(total(counts) <= stock_mm(offer.step_m) * self.out.quantity[offer.id])
        for mm, var in counts:
            made[mm].append((1, var))
        self.out.metres.append(MetreUse(cable, offer.id, counts))

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
        self._used[seller.id] = used
        self.out.cost.append((seller.delivery_cents, used))
        if seller.free_over_cents is None:
            return
        waived = self._v.new_choice(f"waived[{seller.id}]")
        self._model.add(waived <= used)
        goods = [(offer.price_cents, self.out.quantity[offer.id]) for offer in offers]
        goods += self._filler(seller)
        self._model.add(total(goods) >= seller.free_over_cents * waived)
        self.out.cost.append((-seller.delivery_cents, waived))

    def _filler(self, seller: Seller) -> list[Term]:
        """Goods that nobody needs, bought only to reach the threshold: cheaper than the delivery, or pointless."""
        unneeded = [o for o in self._catalogue.offers if o.seller == seller.id and o.id not in self.out.quantity]
        sums = attainable_cents(unneeded, seller.delivery_cents - 1)
        if len(sums) == 1:
            return []
        filler = self._model.new_int_var_from_domain(cp_model.Domain.from_values(sums), f"filler[{seller.id}]")
        self.out.filler[seller.id] = filler
        self.out.cost.append((1, filler))
        return [(1, filler)]
