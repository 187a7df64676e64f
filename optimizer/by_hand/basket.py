"""The shopping list that follows from the choices, and what it costs at each seller."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from optimizer.by_hand.choices import Choices, CircuitChoice
from optimizer.by_hand.desk import TERMINALS_EACH, Desk
from optimizer.by_hand.spools import CutPlan, cut_from, from_offcuts
from optimizer.catalogue import Consumable, Offer
from optimizer.units import scaled_up, stock_mm

TERMINALS_JOINT = 2  # per in-line holder and switch, where joints are counted (rules 10)
EACH_SCALE = 1000
Fitting = tuple[str, ...]  # parts of which any will do
Cuts = tuple[int, ...]  # [mm], longest first


@dataclass(slots=True)
class Needs:
    """What the choices make necessary to have."""

    parts: Counter[Fitting] = field(default_factory=Counter)
    cuts: dict[str, Cuts] = field(default_factory=dict)
    holders_on: frozenset[int] = frozenset()  # indices of the circuits that get an in-line holder


@dataclass(frozen=True, slots=True)
class Purchase:
    """One need, bought at one seller (or nothing, where what is owned serves it)."""

    cents: int
    orders: tuple[tuple[Offer, int], ...] = ()
    units: tuple[str, ...] = ()  # the parts in hand, one for each wanted


def needs_of(desk: Desk, choices: Choices) -> Needs | None:
    """The shopping list; None where something on it is not on sale."""
    instance, needs = desk.instance, Needs()
    fault_a = max(instance.job.bus.fault_a, choices.bank.fault_a)
    cuts: dict[str, list[int]] = defaultdict(list)
    ends: Counter[float] = Counter()
    holders_on = _holders_on(desk, choices.circuits)
    for n, circuit in enumerate(choices.circuits):
        _circuit(desk, circuit, fault_a, needs.parts)
        for cable in circuit.pair.pair.ids:
            cuts[cable].append(instance.run_mm(circuit.place))
        ends[circuit.pair.pair.mm2] += _ends(desk, circuit, n in holders_on)
    for load in instance.loads:
        option = choices.feeds[load.id]
        for part in option.parts if option else ():
            needs.parts[(part,)] += 1
        if option and option.lead:
            ends[option.lead.mm2] += TERMINALS_EACH
            for cable in option.lead.ids:
                cuts[cable].append(instance.lead_mm(load))
    if holders_on:
        needs.parts[desk.holders] += len(holders_on)
    if choices.bank.battery is not None:
        needs.parts[(choices.bank.battery.id,)] += choices.bank.series * choices.bank.parallel
    if choices.bank.kit is not None:
        needs.parts[(choices.bank.kit.id,)] += 1
    leads = sum(option is not None and option.lead is not None for option in choices.feeds.values())
    _consumables(desk, len(choices.circuits), sum(ends.values()), leads, needs.parts)
    needs.cuts = {cable: tuple(sorted(lengths, reverse=True)) for cable, lengths in cuts.items()}
    needs.holders_on = holders_on
    return needs if _terminals(desk, ends, needs.parts) else None


def _circuit(desk: Desk, circuit: CircuitChoice, fault_a: float, parts: Counter[Fitting]) -> None:
    """Fuse, switch and junction."""
    instance = desk.instance
    parts[desk.fuses_of(circuit.rating_a, fault_a)] += 1
    if instance.job.load_by_id[circuit.loads[0]].switch:
        parts[desk.switches_for(circuit.rating_a)] += 1
    if circuit.junction is not None:
        parts[(circuit.junction.id,)] += 1


def _holders_on(desk: Desk, circuits: Sequence[CircuitChoice]) -> frozenset[int]:
    """Circuits beyond the spare ways get an in-line holder: those of the thinnest conductors."""
    beyond = len(circuits) - desk.instance.job.bus.spare_ways
    if beyond <= 0:
        return frozenset()
    return frozenset(sorted(range(len(circuits)), key=lambda n: (circuits[n].pair.pair.mm2, n))[:beyond])


def _ends(desk: Desk, circuit: CircuitChoice, has_holder: bool) -> int:
    job = desk.instance.job
    if not job.limits.count_joints:
        return TERMINALS_EACH
    return TERMINALS_EACH + TERMINALS_JOINT * (has_holder + job.load_by_id[circuit.loads[0]].switch)


def _terminals(desk: Desk, ends: Counter[float], parts: Counter[Fitting]) -> bool:
    """One part for each conductor size, one already on the list where it fits; False where none fits."""
    chosen: set[str] = set()
    fitting = {mm2: [t.id for t in desk.terminals if t.mm2_min <= mm2 <= t.mm2_max] for mm2 in ends}
    for mm2 in sorted(ends, key=lambda mm2: (len(fitting[mm2]), mm2)):
        part = desk.cheapest([t for t in fitting[mm2] if t in chosen] or fitting[mm2])
        if part is None:
            return False
        chosen.add(part)
        parts[(part,)] += ends[mm2]
    return True


def _consumables(desk: Desk, circuits: int, ends: int, leads: int, parts: Counter[Fitting]) -> None:
    counts = {"circuit": circuits, "termination": ends, "cut_lead": leads, "job": 1}
    purposes: dict[str, list[Consumable]] = defaultdict(list)
    for part in desk.instance.catalogue.of(Consumable):
        purposes[part.purpose].append(part)
    for fitting in purposes.values():
        wanted = -(-scaled_up(fitting[0].each, EACH_SCALE) * counts[fitting[0].per] // EACH_SCALE)
        if wanted:
            parts[tuple(part.id for part in fitting)] += wanted


class Shop:
    """Prices of needs at every seller, each worked out once."""

    def __init__(self, desk: Desk, *, mixes: bool, banned: Iterable[str] = ()) -> None:
        self._desk = desk
        self._mixes = mixes
        self._banned = frozenset(banned)
        self.sellers = [seller.id for seller in desk.instance.catalogue.sellers]
        self._index = {seller: n for n, seller in enumerate(self.sellers)}
        self._owned: Counter[str] = Counter()
        self._offcuts: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for n, owned in enumerate(desk.instance.job.owned):
            self._owned[owned.part] += owned.count or 0
            if owned.length_m is not None:
                self._offcuts[owned.part].append((n, stock_mm(owned.length_m)))
        self._pieces: dict[tuple[Fitting, int], list[Purchase | None]] = {}
        self._cuts: dict[tuple[str, Cuts], list[CutPlan | None]] = {}

    def without(self, offer_id: str) -> Shop:
        """The same shop with one offer less."""
        return Shop(self._desk, mixes=self._mixes, banned=self._banned | {offer_id})

    def pieces(self, fitting: Fitting, wanted: int) -> list[Purchase | None]:
        """So many of any of these parts at each seller, in one kind of pack; None where it does not sell them."""
        key = (fitting, wanted)
        if key not in self._pieces:
            self._pieces[key] = self._price_pieces(fitting, wanted)
        return self._pieces[key]

    def _price_pieces(self, fitting: Fitting, wanted: int) -> list[Purchase | None]:
        best: list[Purchase | None] = [None] * len(self.sellers)
        for part in fitting:
            for offer, content in self._desk.offers(part):
                if not content.count or offer.id in self._banned:
                    continue
                packs = -(-wanted // content.count)
                seller = self._index[offer.seller]
                known = best[seller]
                cents = packs * offer.price_cents
                if (offer.limit is None or packs <= offer.limit) and (known is None or cents < known.cents):
                    best[seller] = Purchase(cents, ((offer, packs),), (part,) * wanted)
        return best

    def cuts(self, cable: str, cuts: Cuts) -> list[CutPlan | None]:
        """A list of cuts at each seller, after what owned offcuts serve."""
        key = (cable, cuts)
        if key not in self._cuts:
            self._cuts[key] = self._price_cuts(cable, cuts)
        return self._cuts[key]

    def _price_cuts(self, cable: str, cuts: Cuts) -> list[CutPlan | None]:
        opened, rest = from_offcuts(cuts, self._offcuts[cable])
        if not rest:
            return [CutPlan(0, tuple(opened), ())] * len(self.sellers)
        by_seller: list[list[tuple[Offer, float]]] = [[] for _ in self.sellers]
        for offer, content in self._desk.offers(cable):
            alone = sum(c.part == cable for c in offer.contents) == 1
            if content.length_m and alone and offer.id not in self._banned:
                by_seller[self._index[offer.seller]].append((offer, content.length_m))
        plans = [self._cheapest_cut(offers, cuts, rest) for offers in by_seller]
        return [p and CutPlan(p.cents, (*opened, *p.opened), p.orders) for p in plans]

    def _cheapest_cut(self, offers: list[tuple[Offer, float]], cuts: Cuts, rest: list[int]) -> CutPlan | None:
        plans = [cut_from(offer, length_m, cuts, rest) for offer, length_m in offers]
        if self._mixes:
            plans += [self._topped_up(plan, offers, cuts) for plan in plans if plan is not None]
        return min((plan for plan in plans if plan is not None), key=lambda plan: plan.cents, default=None)

    @staticmethod
    def _topped_up(plan: CutPlan, offers: list[tuple[Offer, float]], cuts: Cuts) -> CutPlan:
        """The same with its emptiest spools replaced by another offer's, as many of them as pays."""
        best = plan
        ((base, _),) = plan.orders
        if base.step_m is not None:
            return plan
        by_room = sorted(plan.opened, key=lambda spool: spool.left_mm)
        for kept in range(len(by_room)):
            rest = [n for spool in by_room[kept:] for n in spool.pieces]
            for offer, length_m in offers:
                if offer.id == base.id:
                    continue
                other = cut_from(offer, length_m, cuts, rest)
                if other is not None and kept * base.price_cents + other.cents < best.cents:
                    orders = ((base, kept), *other.orders) if kept else other.orders
                    cents = kept * base.price_cents + other.cents
                    best = CutPlan(cents, (*by_room[:kept], *other.opened), orders)
        return best

    def after_stock(self, parts: Counter[Fitting]) -> tuple[list[tuple[Fitting, int]], dict[Fitting, list[str]]]:
        """What is still to be bought once owned parts are handed out, and who got them."""
        left = Counter(self._owned)
        wanted, given = [], {}
        for fitting, count in sorted(parts.items(), key=lambda need: (len(need[0]), need[0])):
            taken: list[str] = []
            if self._owned:
                for part in fitting:
                    use = min(left[part], count - len(taken))
                    left[part] -= use
                    taken += [part] * use
            given[fitting] = taken
            if count > len(taken):
                wanted.append((fitting, count - len(taken)))
        return wanted, given
