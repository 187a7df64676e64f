"""The peer: planning rules 1 to 6 written down as one mixed-integer program for HiGHS, plainly, as in one sitting.

A circuit is named by its first load, so that no two numberings of the same circuits count; spools of one offer are
opened in order, and the n-th cut goes to one of the first n. Prices only: no tie-breaks, which the product has to do.
The safer limits of rules 10 and consumables are left out: jobs that use them are refused.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise

import numpy as np

from optimizer.catalogue import Catalogue, Consumable, Content, Offer, Seller, Terminal
from optimizer.chain_table import MAX_STAGES, Chain, Chains
from optimizer.feeds import FeedFinder, FeedOption
from optimizer.job import Job, Load
from optimizer.prices import PriceBounds
from optimizer.solve.instance import Instance
from optimizer.solve.outlet import ac_average_w, ac_idle_average_w, ac_peak_w
from optimizer.solve.runs import RunPair, may_share
from optimizer.units import stock_mm
from tests.benchmarks.milp import Column, Milp, Outcome, Terms

TERMINALS_EACH = 4
Options = dict[str, list[FeedOption]]


def solve_plainly(instance: Instance, time_limit_s: float, *, options: Options | None = None) -> Outcome:
    """The cheapest total by HiGHS. Candidates are the instance's own unless others are given."""
    return PlainModel(instance, options or instance.options).milp.solve(time_limit_s)


def every_feed(job: Job, catalogue: Catalogue) -> Options:
    """Every feed that obeys the rules on its own, beaten or not."""
    finder = _EveryChain(job, catalogue, PriceBounds(job, catalogue))
    return {load.id: finder.options(load) for load in job.loads}


class _EveryChain(FeedFinder):
    """No chain is left out because another beats it."""

    def _chains(self, load: Load) -> list[Chain]:
        ending = self._grown[self._grown.form == self._shelf.form_codes.get(load.needs.form, -1)]
        return ending[self._may_feed(load, ending)].as_stages()

    @cached_property
    def _grown(self) -> Chains:
        newest = grown = self._shelf.none()
        for _ in range(MAX_STAGES):
            newest = newest.longer(self._job.bus, np.zeros(len(newest), dtype=bool))
            grown += newest
        return grown


class PlainModel:
    """All rules in the order of the page."""

    def __init__(self, instance: Instance, options: Options) -> None:
        _refuse_what_is_left_out(instance)
        self._instance = instance
        self._job, self._catalogue = instance.job, instance.catalogue
        self._options = options
        self.milp = Milp()
        self._demand: dict[str, Terms] = defaultdict(list)
        self._cuts: dict[str, list[tuple[int, Terms]]] = defaultdict(list)  # cable -> length [mm], whether it is made
        self._ends: dict[float, Terms] = defaultdict(list)
        self._feeds_and_circuits()
        for first in self._firsts:
            self._floor_drop_and_fuse(first)
            self._limits_of_feeds(first)
            self._parts_of_circuit(first)
        self._leads()
        self._ways()
        self._bank()
        self._terminals()
        _Shopping(self.milp, self._job, self._catalogue, self._demand, self._cuts).add()

    # -- feeds and circuits (rules 2 and 3) ---------------------------------------------------------------------------

    def _feeds_and_circuits(self) -> None:
        milp, loads = self.milp, self._instance.loads
        self._feed: dict[tuple[str, str], list[tuple[FeedOption, Column]]] = {}  # load, first load of its circuit
        for load in loads:
            for first in loads:
                if first.id <= load.id and may_share(first, load) and self._options[first.id]:
                    self._feed[load.id, first.id] = [(option, milp.binary()) for option in self._options[load.id]]
        self._ac = {load.id: milp.binary() for load in loads if self._instance.may_use_ac(load)}
        self._firsts = [load for load in loads if self._feed.get((load.id, load.id))]
        self._pair: dict[str, list[tuple[RunPair, Column]]] = {}
        self._fuse: dict[str, list[tuple[float, Column]]] = {}
        for load in loads:
            ways: Terms = [(1, x) for first in self._firsts for _, x in self._feed.get((load.id, first.id), [])]
            milp.equal([*ways, *((1, self._ac[n]) for n in [load.id] if n in self._ac)], 1)
        for first in self._firsts:
            self._pair[first.id] = [(run, milp.binary()) for run in self._instance.pairs[first.place]]
            self._fuse[first.id] = [(rating, milp.binary()) for rating in self._instance.ratings_a]
            opened = self._opened(first)
            for chosen in (self._pair[first.id], self._fuse[first.id]):
                milp.equal([*((1, x) for _, x in chosen), *_minus(opened)])
            for load in self._members(first):
                if load.id != first.id:
                    milp.add([*((1, x) for _, x in self._feed[load.id, first.id]), *_minus(opened)], most=0)

    def _opened(self, first: Load) -> Terms:
        return [(1, x) for _, x in self._feed[first.id, first.id]]

    def _members(self, first: Load) -> Iterator[Load]:
        return (load for load in self._instance.loads if self._feed.get((load.id, first.id)))

    def _on(self, first: Load) -> Iterator[tuple[Load, FeedOption, Column]]:
        for load in self._members(first):
            yield from ((load, option, x) for option, x in self._feed[load.id, first.id])

    def _all_feeds(self) -> Iterator[tuple[Load, FeedOption, Column]]:
        for first in self._firsts:
            yield from self._on(first)

    def _floor_drop_and_fuse(self, first: Load) -> None:
        """The highest floor holds; drop and fuse at it; fuse at high_v too; fuse within the conductor's ampacity."""
        milp, bus = self.milp, self._job.bus
        floors = {floor_v: milp.binary() for floor_v in sorted({o.floor_v for _, o, _ in self._on(first)})}
        milp.equal([*((1, x) for x in floors.values()), *_minus(self._opened(first))])
        for floor_v, holds in floors.items():
            milp.add([(1, holds), *((-1, x) for _, o, x in self._on(first) if o.floor_v == floor_v)], most=0)
        for load in self._members(first):
            for floor_v in floors:
                above: Terms = [(1, x) for o, x in self._feed[load.id, first.id] if o.floor_v > floor_v]
                milp.add([*above, *((-1, x) for v, x in floors.items() if v > floor_v)], most=0)
        ratings: Terms = [(-rating, x) for rating, x in self._fuse[first.id]]
        for floor_v, holds in floors.items():
            drawn, most_a = self._drawn_at(first, floor_v)
            room: Terms = [(-min((bus.low_v - floor_v) / run.loop_ohm, most_a), x) for run, x in self._pair[first.id]]
            milp.add([*drawn, *room, (most_a, holds)], most=most_a)
            milp.add([*((1.25 * amps, x) for amps, x in drawn), *ratings, (1.25 * most_a, holds)], most=1.25 * most_a)
        at_high: Terms = [(1.25 * o.draw.current_a(bus.high_v), x) for _, o, x in self._on(first)]
        milp.add([*at_high, *ratings], most=0)
        caps: Terms = [(-run.fuse_cap_a[0], x) for run, x in self._pair[first.id]]
        milp.add([*((rating, x) for rating, x in self._fuse[first.id]), *caps], most=0)

    def _drawn_at(self, first: Load, place_v: float) -> tuple[Terms, float]:
        """Currents at a floor, and the most that they can come to together. [A]"""
        drawn: Terms = []
        most_a = 0.0
        for load in self._members(first):
            feeds = [(o.draw.current_a(place_v), x) for o, x in self._feed[load.id, first.id] if o.floor_v <= place_v]
            most_a += max((amps for amps, _ in feeds), default=0.0)
            drawn += feeds
        return drawn, most_a

    def _limits_of_feeds(self, first: Load) -> None:
        """Fuse and conductor within what each feed takes."""
        most_a = max(self._instance.ratings_a, default=0.0)
        most_mm2 = max((run.pair.mm2 for run, _ in self._pair[first.id]), default=0.0)
        ratings: Terms = list(self._fuse[first.id])
        sizes: Terms = [(run.pair.mm2, x) for run, x in self._pair[first.id]]
        for load in self._members(first):
            feeds = self._feed[load.id, first.id]
            less_a: Terms = [(max(0.0, most_a - self._fuse_limit_a(load, o)), x) for o, x in feeds]
            self.milp.add([*ratings, *less_a], most=most_a)
            less_mm2: Terms = [(max(0.0, most_mm2 - o.max_conductor_mm2), x) for o, x in feeds]
            self.milp.add([*sizes, *less_mm2], most=most_mm2)
            for option, x in feeds:
                if option.lead and not option.is_direct and self._lead_a(load, option) < option.lead_needs_a:
                    self.milp.equal([(1, x)])

    def _fuse_limit_a(self, load: Load, option: FeedOption) -> float:
        return min(option.max_fuse_a, self._lead_a(load, option)) if option.is_direct else option.max_fuse_a

    def _lead_a(self, load: Load, option: FeedOption) -> float:
        place = self._job.place_by_id[load.place]
        return option.lead.ampacity_a(self._job.ambient_c(place), place.bundled) if option.lead else math.inf

    # -- what must be had ---------------------------------------------------------------------------------------------

    def _parts_of_circuit(self, first: Load) -> None:
        """One fuse of the rating, a switch that stands it, one cut of each cable, terminals."""
        for rating, x in self._fuse[first.id]:
            self._one_of([fuse.id for fuse in self._instance.fuses if fuse.rating_a == rating], [(1, x)])
            if first.switch:
                self._one_of([s.id for s in self._instance.switches if s.max_a >= rating], [(1, x)])
        mm = self._instance.run_mm(first.place)
        by_cable: dict[str, Terms] = defaultdict(list)
        for run, x in self._pair[first.id]:
            self._ends[run.pair.mm2].append((TERMINALS_EACH, x))
            for cable in run.pair.ids:
                by_cable[cable].append((1, x))
        for cable, made in by_cable.items():
            self._cuts[cable].append((mm, made))

    def _one_of(self, parts: list[str], wanted: Terms) -> None:
        """As many as are wanted, each of any of these parts."""
        most = sum(factor * self.milp.upper(x) for factor, x in wanted)
        chosen = [(part, self.milp.integer(most)) for part in parts]
        self.milp.equal([*((1, x) for _, x in chosen), *_minus(wanted)])
        for part, x in chosen:
            self._demand[part].append((1, x))

    def _leads(self) -> None:
        for _, option, x in self._all_feeds():
            for part in option.parts:
                self._demand[part].append((1, x))
            if option.lead:
                self._ends[option.lead.mm2].append((TERMINALS_EACH, x))
        for load in self._instance.loads:
            by_cable: dict[str, Terms] = defaultdict(list)
            for other, option, x in self._all_feeds():
                if other.id == load.id:
                    for cable in option.lead_ids:
                        by_cable[cable].append((1, x))
            for cable, made in by_cable.items():
                self._cuts[cable].append((self._instance.lead_mm(load), made))

    def _ways(self) -> None:
        """Circuits beyond the spare ways each need an in-line holder."""
        beyond = max(0, len(self._firsts) - self._job.bus.spare_ways)
        holders = self.milp.integer(beyond)
        opened = [term for first in self._firsts for term in self._opened(first)]
        self.milp.add([*opened, (-1, holders)], most=self._job.bus.spare_ways)
        self._one_of([holder.id for holder in self._instance.holders], [(1, holders)])

    def _terminals(self) -> None:
        for mm2, wanted in self._ends.items():
            fitting = [t.id for t in self._catalogue.of(Terminal) if t.mm2_min <= mm2 <= t.mm2_max]
            self._one_of(fitting, wanted)

    # -- bank (rules 4) -----------------------------------------------------------------------------------------------

    def _bank(self) -> None:
        milp, job = self.milp, self._job
        allowance = 1 + job.limits.wiring_allowance_pct / 100
        average: Terms = [(o.average_w * allowance, x) for _, o, x in self._all_feeds()]
        peak: Terms = [(o.draw.current_a(job.bus.low_v), x) for _, o, x in self._all_feeds()]
        if job.ac is not None and self._ac:
            is_on = milp.binary()
            on_ac = [(self._job.load_by_id[load], x) for load, x in self._ac.items()]
            milp.add([(ac_peak_w(load), x) for load, x in on_ac], most=job.ac.max_w)
            for _, x in on_ac:
                milp.add([(1, x), (-1, is_on)], most=0)
            average += [(ac_average_w(job, load), x) for load, x in on_ac] + [(ac_idle_average_w(job), is_on)]
            peak += [(ac_peak_w(load) / job.ac.efficiency / job.bus.low_v, x) for load, x in on_ac]
            peak.append((job.ac.idle_w / job.bus.low_v, is_on))
        banks = [(bank, milp.binary()) for bank in self._instance.banks]
        milp.equal([(1, x) for _, x in banks], 1)
        milp.add([*average, *((-bank.available_w, x) for bank, x in banks)], most=0)
        milp.add([*peak, *((-bank.max_discharge_a, x) for bank, x in banks)], most=0)
        for bank, x in banks:
            if bank.battery is not None:
                self._demand[bank.battery.id].append((bank.series * bank.parallel, x))


class _Shopping:
    """Purchases, the cut list and the cost (rules 5 and 6)."""

    def __init__(
        self,
        milp: Milp,
        job: Job,
        catalogue: Catalogue,
        demand: dict[str, Terms],
        cuts: dict[str, list[tuple[int, Terms]]],
    ) -> None:
        self._milp = milp
        self._job = job
        self._catalogue = catalogue
        self._demand = demand
        self._cuts = cuts
        self._quantity: dict[str, Column] = {}
        self._holding: dict[str, list[tuple[Offer, Content]]] = defaultdict(list)

    def add(self) -> None:
        for offer in self._catalogue.offers:
            self._offer(offer)
        for part, terms in self._demand.items():
            owned = sum(o.count or 0 for o in self._job.owned if o.part == part)
            bought: Terms = [(c.count, self._quantity[o.id]) for o, c in self._holding[part] if c.count]
            self._milp.add([*bought, *_minus(terms)], least=-owned)
        for cable in self._cuts:
            self._cut(cable)
        for seller in self._catalogue.sellers:
            self._deliver(seller)

    def _offer(self, offer: Offer) -> None:
        """As many as could serve every demand, or lift the goods over the seller's threshold."""
        seller = self._catalogue.seller_by_id[offer.seller]
        units = max(self._useful_units(offer, content) for content in offer.contents)
        if seller.free_over_cents is not None and offer.price_cents > 0:
            units = max(units, math.ceil(seller.free_over_cents / offer.price_cents))
        if offer.limit is not None:
            units = min(units, offer.limit)
        if units > 0:
            self._quantity[offer.id] = self._milp.integer(units, cost=offer.price_cents)
            for content in offer.contents:
                self._holding[content.part].append((offer, content))

    def _useful_units(self, offer: Offer, content: Content) -> int:
        if content.length_m is None:
            most = sum(factor * self._milp.upper(x) for factor, x in self._demand.get(content.part, []))
            return math.ceil(most / (content.count or 1))
        lengths_mm = [mm for mm, _ in self._cuts.get(content.part, [])]
        if offer.step_m is not None:
            return math.ceil(sum(lengths_mm) / stock_mm(offer.step_m))
        return _most_spools(lengths_mm, stock_mm(content.length_m))

    def _cut(self, cable: str) -> None:
        """Each cut is taken from one opened spool, metre length or owned offcut; none is overdrawn."""
        cuts = sorted(self._cuts[cable], key=lambda cut: -cut[0])
        taken: list[Terms] = [[] for _ in cuts]
        for owned in self._job.owned:
            if owned.part == cable and owned.length_m is not None:
                self._take(cuts, taken, 0, stock_mm(owned.length_m), None)
        for offer, content in self._holding[cable]:
            quantity = self._quantity[offer.id]
            if offer.step_m is not None:
                self._take(cuts, taken, 0, stock_mm(offer.step_m), quantity)
            else:
                self._take_from_spools(cuts, taken, stock_mm(content.length_m or 0), quantity)
        for (_, made), sources in zip(cuts, taken, strict=True):
            self._milp.equal([*sources, *_minus(made)])

    def _take_from_spools(
        self, cuts: list[tuple[int, Terms]], taken: list[Terms], spool_mm: int, quantity: Column
    ) -> None:
        fitting = [mm for mm, _ in cuts if mm <= spool_mm]
        spools = min(_most_spools(fitting, spool_mm), int(self._milp.upper(quantity)))
        opened = [self._milp.binary() for _ in range(spools)]
        for before, after in pairwise(opened):
            self._milp.add([(1, after), (-1, before)], most=0)
        for n, spool in enumerate(opened):
            self._take(cuts, taken, n + len(cuts) - len(fitting), spool_mm, spool)
        self._milp.add([*((1, spool) for spool in opened), (-1, quantity)], most=0)

    def _take(
        self, cuts: list[tuple[int, Terms]], taken: list[Terms], first: int, length_mm: int, units: Column | None
    ) -> None:
        """Cuts from the first on may come from one length; it is as long as so many units, or there already."""
        used: Terms = []
        for n, (mm, _) in enumerate(cuts):
            if n >= first and (units is None or self._milp.upper(units) > 1 or mm <= length_mm):
                x = self._milp.binary()
                used.append((mm, x))
                taken[n].append((1, x))
        if units is None:
            self._milp.add(used, most=length_mm)
        else:
            self._milp.add([*used, (-length_mm, units)], most=0)

    def _deliver(self, seller: Seller) -> None:
        """A used seller's delivery is paid, or waived where its goods reach the threshold."""
        orders = [(o.price_cents, self._quantity[o.id]) for o in self._offers_of(seller)]
        if not orders or not seller.delivery_cents:
            return
        used = self._milp.binary(cost=seller.delivery_cents)
        for _, quantity in orders:
            self._milp.add([(1, quantity), (-self._milp.upper(quantity), used)], most=0)
        if seller.free_over_cents is not None:
            waived = self._milp.binary(cost=-seller.delivery_cents)
            self._milp.add([(1, waived), (-1, used)], most=0)
            self._milp.add([*orders, (-seller.free_over_cents, waived)], least=0)

    def _offers_of(self, seller: Seller) -> Iterator[Offer]:
        return (o for o in self._catalogue.offers if o.seller == seller.id and o.id in self._quantity)


def _most_spools(lengths_mm: list[int], spool_mm: int) -> int:
    """Spools of one length that can be of use: any two of them together hold more than one would."""
    fitting = [mm for mm in lengths_mm if mm <= spool_mm]
    return min(len(fitting), math.floor(2 * sum(fitting) / spool_mm) + 1)


def _minus(terms: Terms) -> Iterator[tuple[float, Column]]:
    return ((-factor, column) for factor, column in terms)


def _refuse_what_is_left_out(instance: Instance) -> None:
    limits = instance.job.limits
    is_safer = limits.count_circuits or limits.fuse_ratio_max is not None or limits.count_joints
    if is_safer or any(instance.catalogue.of(Consumable)) or any(bank.kit for bank in instance.banks):
        raise ValueError("the plain formulation leaves the safer limits of rules 10 and consumables out")
