"""The cheapest plan of a tiny job by trying everything: it knows the checks and no solver.

Every chain x lead for every load, every way to share circuits, every pair, fuse, switch, holder and junction on them,
every bank, and every quantity of every offer. Whether a design is allowed is said by `optimizer.checks` alone; only
"is it all bought" is worked out here, and the checks must agree with that on the answer.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from optimizer.catalogue import (
    BankKit,
    Battery,
    Cable,
    Catalogue,
    Consumable,
    Fuse,
    Holder,
    Junction,
    Stage,
    Switch,
    Terminal,
)
from optimizer.checks import check_plan, failures
from optimizer.checks.bank import check_bank
from optimizer.checks.circuits import check_circuits
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feeds import check_feeds
from optimizer.job import CutLead, Job, Load
from optimizer.plan import (
    Check,
    Circuit,
    Cut,
    Delivery,
    Energy,
    Feed,
    FeedLead,
    Order,
    OutputFuse,
    Piece,
    Plan,
    PlanBank,
    Settled,
)
from optimizer.units import cut_mm, stock_mm

MOST_BASKETS = 400_000
MOST_JUDGED = 3_000
Cables = tuple[str, ...]
Grid = NDArray[np.int64]
_OF_THE_WHOLE = frozenset({"ways", "fuse_ratio"})  # judged once the other circuits and the bank are known
_BLANK = Settled(place_v=0, current_a=0, drop_v=0)
_KEPT = PlanBank(keep=True, part=None, series=1, parallel=1, average_w=0, available_w=0)


@dataclass(frozen=True, kw_only=True)
class Design:
    """What is built, before anything is bought."""

    circuits: tuple[Circuit, ...]
    feeds: tuple[Feed, ...]
    bank: PlanBank


@dataclass(frozen=True, kw_only=True)
class Best:
    """The best plan by total, then average power, then fuse ratings, then order lines."""

    total_cents: int
    average_w: float
    fuses_a: float
    lines: int
    plan: Plan


class TooMany(Exception):
    """More designs or baskets than one can look into."""


def cheapest(job: Job, catalogue: Catalogue) -> Best | None:
    """The best plan there is; None where there is none."""
    return _Brute(job, catalogue).best()


def feeds_by_trying(job: Job, catalogue: Catalogue, load: Load) -> list[Feed]:
    """Every chain whose forms fit, with every lead; whether it is allowed is not asked."""
    return _Brute(job, catalogue).feeds(load)


class _Brute:
    def __init__(self, job: Job, catalogue: Catalogue) -> None:
        self.job = job
        self.catalogue = catalogue
        sold = {content.part for offer in catalogue.offers for content in offer.contents}
        self._judged = 0
        self.at_hand = sold | {owned.part for owned in job.owned}

    # -- designs --------------------------------------------------------------------------------------------------

    def designs(self) -> Iterator[Design]:
        for on_bus in _subsets([load.id for load in self.job.loads]):
            ac_feeds = tuple(
                Feed(load=load.id, source="ac", circuit=None, stages=(), lead=None)
                for load in self.job.loads
                if load.id not in on_bus
            )
            for groups in _partitions([load for load in self.job.loads if load.id in on_bus]):
                yield from self._laid_out(groups, ac_feeds)

    def _laid_out(self, groups: list[list[Load]], ac_feeds: tuple[Feed, ...]) -> Iterator[Design]:
        laid = Counter(group[0].place for group in groups if group)
        ways = [self._circuits(tuple(load.id for load in group), laid[group[0].place]) for group in groups]
        for chosen in itertools.product(*ways):
            circuits = tuple(replace(circuit, id=f"C{n}") for n, (circuit, _) in enumerate(chosen, start=1))
            feeds = tuple(replace(feed, circuit=f"C{n}") for n, (_, fed) in enumerate(chosen, start=1) for feed in fed)
            for held in itertools.product((None, *self._ids(Holder)), repeat=len(circuits)):
                with_holders = tuple(replace(c, holder=h) for c, h in zip(circuits, held, strict=True))
                for bank in self._banks():
                    design = Design(circuits=with_holders, feeds=(*feeds, *ac_feeds), bank=bank)
                    if self._allows(self.job, design, _everything):
                        yield design

    def _circuits(self, loads: tuple[str, ...], laid: int) -> list[tuple[Circuit, tuple[Feed, ...]]]:
        """Every allowed circuit for these loads where so many circuits are laid to their place."""
        key = (loads, laid)
        if key not in self._known:
            self._known[key] = list(self._allowed_circuits(loads, laid))
        return self._known[key]

    @cached_property
    def _known(self) -> dict[tuple[tuple[str, ...], int], list[tuple[Circuit, tuple[Feed, ...]]]]:
        return {}

    def _allowed_circuits(self, ids: tuple[str, ...], laid: int) -> Iterator[tuple[Circuit, tuple[Feed, ...]]]:
        """Judged in a job of these loads alone; other circuits to the place only change the bundling."""
        job = self._alone(ids, laid)
        fed = [self.feeds(load) for load in job.loads]
        fed = [[f for f in feeds if f.run is None or self._is_sound(job, f)] for feeds in fed]
        if len(ids) > 1:  # what fails alone fails together, but for the fuse ratio: more load may justify the fuse
            fed = [[f for f in feeds if self._runs_alone(load, f, laid)] for load, feeds in zip(ids, fed, strict=True)]
        for feeds in (shared for own in itertools.product(*fed) for shared in self._shared(own)):
            for circuit in self._circuit_of(job, feeds):
                design = Design(circuits=(circuit,), feeds=feeds, bank=_KEPT)
                if self._allows(job, design, _circuit_and_feeds, _OF_THE_WHOLE):
                    yield circuit, feeds

    def _is_sound(self, job: Job, feed: Feed) -> bool:
        """Whether a boosted feed is one by itself; which fuse stands before it matters to no rule but one."""
        job = replace(job, loads=tuple(load for load in job.loads if load.id == feed.load))
        circuit = next(self._circuit_of(job, (feed,)), None)
        if circuit is None:
            return False
        design = Design(circuits=(circuit,), feeds=(feed,), bank=_KEPT)
        return self._allows(job, design, lambda facts: tuple(check_feeds(facts)), {"stage_input_current"})

    def _shared(self, feeds: tuple[Feed, ...]) -> Iterator[tuple[Feed, ...]]:
        """Every feed through a chain of its own, or through the same chain of another load."""
        if not self.job.limits.share_stages:
            yield feeds
            return
        hosts = [[None, *(f.load for f in feeds if f.stages == feed.stages and f is not feed)] for feed in feeds]
        for chosen in itertools.product(*hosts):
            yield tuple(replace(feed, shares=host) for feed, host in zip(feeds, chosen, strict=True))

    def _alone(self, ids: tuple[str, ...], laid: int) -> Job:
        job = self.job
        places = tuple(replace(place, bundled=max(place.bundled, 2 * laid)) for place in job.places)
        loads = tuple(load for load in job.loads if load.id in ids)
        return replace(job, loads=loads, places=places if job.limits.count_circuits else job.places)

    def _runs_alone(self, load: str, feed: Feed, laid: int) -> bool:
        job = self._alone((load,), laid)
        return any(
            self._allows(
                job,
                Design(circuits=(replace(circuit, loads=(load,), junction=None),), feeds=(feed,), bank=_KEPT),
                _circuit_and_feeds,
                _OF_THE_WHOLE,
            )
            for circuit in self._circuit_of(job, (feed,))
        )

    def _circuit_of(self, job: Job, feeds: tuple[Feed, ...]) -> Iterator[Circuit]:
        place = job.place_by_id[job.loads[0].place]
        panel_m = job.limits.panel_run_m if any(feed.run for feed in feeds) else None
        switches = self._ids(Switch) if any(load.switch for load in job.loads) else [None]
        junctions = [None, *self._ids(Junction)] if len(job.loads) > 1 else [None]
        for cable, fuse, switch, junction in itertools.product(self._pairs, self._ids(Fuse), switches, junctions):
            yield Circuit(
                id="C1",
                place=place.id,
                loads=tuple(load.id for load in job.loads),
                cable=cable,
                cut_mm=cut_mm((place.run_m if panel_m is None else panel_m) + job.limits.slack_m),
                fuse=str(fuse),
                switch=switch,
                holder=None,
                floor_v=0,
                design_a=0,
                settled=_BLANK,
                junction=junction,
                run_m=panel_m,
            )

    def feeds(self, load: Load) -> list[Feed]:
        leads: list[FeedLead | None] = [None]
        if isinstance(load.lead, CutLead):
            mm = cut_mm(load.lead.length_m + self.job.limits.slack_m)
            leads = [FeedLead(cable=cable, cut_mm=mm) for cable in self._pairs]
        fused = [None, *itertools.starmap(_output_fuse, itertools.product(self._ids(Fuse), self._ids(Holder)))]
        return [
            Feed(
                load=load.id,
                source="bus",
                circuit="C1",
                stages=chain,
                lead=lead,
                output_fuse=output,
                panel_stages=panel_stages,
                run=run,
            )
            for chain in self._chains(load.needs.form)
            for lead in leads
            for output in (fused if self._is_unlimited(chain) else [None])
            for panel_stages, run in [(0, None), *self._runs(load, chain)]
        ]

    def _runs(self, load: Load, chain: tuple[str, ...]) -> Iterator[tuple[int, FeedLead]]:
        """Every number of stages at the panel that hand plain wire on, with every pair as the run behind them."""
        if not self.job.limits.boost_at_panel:
            return
        mm = cut_mm(self.job.place_by_id[load.place].run_m + self.job.limits.slack_m)
        for n, stage in enumerate(chain, start=1):
            if self.catalogue.get(Stage, stage).out_form == "dc-wire":
                yield from ((n, FeedLead(cable=cable, cut_mm=mm)) for cable in self._pairs)

    def _is_unlimited(self, chain: Iterable[str]) -> bool:
        return any(not self.catalogue.get(Stage, stage).limits_output for stage in chain)

    def _chains(self, form: str) -> Iterator[tuple[str, ...]]:
        stages = [self.catalogue.get(Stage, str(stage)) for stage in self._ids(Stage)]
        for length in range(4):
            for chain in itertools.permutations(stages, length):
                forms = ["dc-wire", *(stage.out_form for stage in chain)]
                if forms[:-1] == [stage.in_form for stage in chain] and forms[-1] == form:
                    yield tuple(stage.id for stage in chain)

    @cached_property
    def _pairs(self) -> list[Cables]:
        cables = [self.catalogue.get(Cable, str(cable)) for cable in self._ids(Cable)]
        twins = [(c.id,) for c in cables if c.cores == 2]
        singles = [
            (red.id, black.id)
            for red in cables
            for black in cables
            if (red.polarity, black.polarity) == ("positive", "negative")
        ]
        return [*twins, *singles]

    def _banks(self) -> Iterator[PlanBank]:
        if self.job.bank.existing is not None:
            yield _KEPT
        if self.job.bank.may_buy:
            for battery, s, p, kit in itertools.product(
                self._ids(Battery), (1, 2, 4), range(1, 5), (None, *self._ids(BankKit))
            ):
                yield replace(_KEPT, keep=False, part=battery, series=s, parallel=p, kit=kit)

    def _ids(self, kind: type) -> list[str | None]:
        return [part.id for part in self.catalogue.of(kind) if part.id in self.at_hand]

    def _allows(
        self,
        job: Job,
        design: Design,
        checks: Callable[[PlanFacts], tuple[Check, ...]],
        ignored: Iterable[str] = (),
    ) -> bool:
        self._judged += 1
        if self._judged > MOST_JUDGED:
            raise TooMany(f"more than {MOST_JUDGED} designs")
        plan = _plan(design)
        failed = failures(checks(PlanFacts(job=job, catalogue=self.catalogue, plan=plan)))
        return all(check.rule.endswith("_recorded") or check.rule in ignored for check in failed)

    # -- baskets --------------------------------------------------------------------------------------------------

    def best(self) -> Best | None:
        found = list(self.designs())
        if not found:
            return None
        demands = {design: _Demand(self.job, self.catalogue, design) for design in _unique(found)}
        baskets = _Baskets(self.job, self.catalogue, list(demands.values()))
        best: tuple[tuple[int, float, float, int], Design, Grid] | None = None
        bought: dict[object, tuple[int, int, Grid] | None] = {}
        for design, demand in demands.items():
            if demand.key not in bought:
                bought[demand.key] = baskets.cheapest(demand)
            if (basket := bought[demand.key]) is None:
                continue
            total, lines, quantities = basket
            rank = (total, round(self._average_w(design), 5), self._fuses_a(design), lines)
            if best is None or rank < best[0]:
                best = (rank, design, quantities)
        if best is None:
            return None
        rank, design, quantities = best
        return Best(
            total_cents=rank[0],
            average_w=rank[1],
            fuses_a=rank[2],
            lines=rank[3],
            plan=baskets.plan(design, demands[design], quantities, rank[0]),
        )

    def _average_w(self, design: Design) -> float:
        return PlanFacts(job=self.job, catalogue=self.catalogue, plan=_plan(design)).average_w

    def _fuses_a(self, design: Design) -> float:
        return sum(self.catalogue.get(Fuse, circuit.fuse).rating_a for circuit in design.circuits)


class _Demand:
    """Everything that must be at hand for a design."""

    def __init__(self, job: Job, catalogue: Catalogue, design: Design) -> None:
        self.parts: Counter[str] = Counter()
        self.ends: Counter[float] = Counter()  # terminals by conductor [mm²]
        self.pieces: dict[str, list[Piece]] = defaultdict(list)
        joints = 2 if job.limits.count_joints else 0
        for circuit in design.circuits:
            self.parts.update(filter(None, (circuit.fuse, circuit.switch, circuit.holder, circuit.junction)))
            in_line = sum(part is not None for part in (circuit.switch, circuit.holder))
            self.ends[catalogue.get(Cable, circuit.cable[0]).mm2] += 4 + joints * in_line
            for cable in circuit.cable:
                self.pieces[cable].append(Piece(mm=circuit.cut_mm, circuit=circuit.id))
        for feed in design.feeds:
            self.parts.update(feed.stages if feed.shares is None else ())
            if feed.output_fuse:
                self.parts.update((feed.output_fuse.fuse, feed.output_fuse.holder))
            if feed.lead:
                self._cut(catalogue, feed.lead, Piece(mm=feed.lead.cut_mm, lead=feed.load))
            if feed.run:
                self._cut(catalogue, feed.run, Piece(mm=feed.run.cut_mm, run=feed.load))
        if design.bank.part:
            self.parts[design.bank.part] += design.bank.series * design.bank.parallel
        if design.bank.kit:
            self.parts[design.bank.kit] += 1
        self.counts = {
            "circuit": len(design.circuits),
            "termination": sum(self.ends.values()),
            "cut_lead": sum((feed.lead is not None) + (feed.run is not None) for feed in design.feeds),
            "job": 1,
        }

    def _cut(self, catalogue: Catalogue, lead: FeedLead, piece: Piece) -> None:
        self.ends[catalogue.get(Cable, lead.cable[0]).mm2] += 4
        for cable in lead.cable:
            self.pieces[cable].append(piece)

    @property
    def key(self) -> object:
        """Equal for designs that need the same things."""
        lengths = {cable: tuple(sorted(piece.mm for piece in pieces)) for cable, pieces in self.pieces.items()}
        counted = tuple(self.counts.values())
        return (frozenset(self.parts.items()), frozenset(self.ends.items()), frozenset(lengths.items()), counted)


class _Baskets:
    """Every quantity of every offer that could be of use, by total."""

    def __init__(self, job: Job, catalogue: Catalogue, demands: list[_Demand]) -> None:
        self._job = job
        self._catalogue = catalogue
        self._offers = sorted(catalogue.offers, key=lambda offer: offer.id)
        most = [self._most(n, demands) for n in range(len(self._offers))]
        if math.prod(m + 1 for m in most) > MOST_BASKETS:
            raise TooMany(str(most))
        grid = np.indices([m + 1 for m in most], dtype=np.int64).reshape(len(most), -1).T
        self._total, order = self._totals(grid)
        self._grid = grid[order]
        self._total = self._total[order]

    def _most(self, n: int, demands: list[_Demand]) -> int:
        """Units that can be of use: enough for any design, and those that cost less than the delivery they save."""
        offer, most = self._offers[n], 0
        for demand in demands:
            for content in offer.contents:
                most = max(most, self._units(content.part, content.count, demand))
                if content.length_m is not None:
                    pieces = demand.pieces.get(content.part, [])
                    length_mm = sum(piece.mm for piece in pieces)
                    steps = math.ceil(length_mm / (offer.step_m * 1000) + 1e-9) if offer.step_m else len(pieces)
                    most = max(most, steps)
        seller = self._catalogue.seller_by_id[offer.seller]
        if seller.free_over_cents is not None and offer.price_cents:
            most += seller.delivery_cents // offer.price_cents
        return most if offer.limit is None else min(most, offer.limit)

    def _units(self, part_id: str, count: int | None, demand: _Demand) -> int:
        part = self._catalogue.part(part_id)
        if count is None:
            return 0
        wanted = demand.parts[part_id]
        if isinstance(part, Terminal):
            wanted = sum(demand.ends.values())
        if isinstance(part, Consumable):
            wanted = math.ceil(part.each * demand.counts[part.per])
        return -(-wanted // count)

    def _totals(self, grid: Grid) -> tuple[Grid, Grid]:
        total = np.zeros(len(grid), dtype=np.int64)
        for seller in self._catalogue.sellers:
            prices = np.array([o.price_cents if o.seller == seller.id else 0 for o in self._offers])
            used = (grid[:, [o.seller == seller.id for o in self._offers]] > 0).any(axis=1)
            goods = grid @ prices
            pays = used if seller.free_over_cents is None else used & (goods < seller.free_over_cents)
            total += goods + pays * seller.delivery_cents
        lines = (grid > 0).sum(axis=1)
        return total, np.lexsort((lines, total))

    def cheapest(self, demand: _Demand) -> tuple[int, int, Grid] | None:
        """Total, order lines and quantities of the first basket that covers a demand."""
        for row in np.flatnonzero(self._covers(demand)):
            quantities = self._grid[row]
            if self._cuts(demand, quantities) is not None:
                return int(self._total[row]), int((quantities > 0).sum()), quantities
        return None

    @cached_property
    def _pieces(self) -> dict[str, Grid]:
        """Pieces at hand of each part, by basket."""
        owned: Counter[str] = Counter()
        for stock in self._job.owned:
            owned[stock.part] += stock.count or 0
        held = {}
        for part in self._catalogue.parts:
            each = [sum(c.count or 0 for c in o.contents if c.part == part.id) for o in self._offers]
            held[part.id] = self._grid @ np.array(each) + owned[part.id]
        return held

    def _covers(self, demand: _Demand) -> NDArray[np.bool_]:
        covered = np.ones(len(self._grid), dtype=bool)
        for part, count in demand.parts.items():
            covered &= self._pieces[part] >= count
        for sizes in _subsets(list(demand.ends)):  # Hall's condition: any mix of terminals will do
            fitting = [t for t in self._catalogue.of(Terminal) if any(t.mm2_min <= s <= t.mm2_max for s in sizes)]
            held = sum(self._pieces[t.id] for t in fitting)
            covered &= held >= sum(demand.ends[size] for size in sizes)
        by_purpose: dict[str, list[Consumable]] = defaultdict(list)
        for part in self._catalogue.of(Consumable):
            by_purpose[part.purpose].append(part)
        for parts in by_purpose.values():
            wanted = math.ceil(parts[0].each * demand.counts[parts[0].per])
            covered &= sum(self._pieces[part.id] for part in parts) >= wanted
        return covered

    def _cuts(self, demand: _Demand, quantities: Grid) -> list[Cut] | None:
        """A cut list by trying; None where the basket's cable does not do."""
        cuts: list[Cut] = []
        for cable, pieces in demand.pieces.items():
            stock = self._stock(cable, quantities)
            longest_first = sorted(pieces, key=lambda piece: -piece.mm)
            placed = _placed([piece.mm for piece in longest_first], [cut.stock_mm for cut in stock])
            if placed is None:
                return None
            for n, cut in enumerate(stock):
                mine = tuple(p for p, at in zip(longest_first, placed, strict=True) if at == n)
                if mine:
                    cuts.append(replace(cut, pieces=mine, left_mm=cut.stock_mm - sum(p.mm for p in mine)))
        return cuts

    def _stock(self, cable: str, quantities: Grid) -> list[Cut]:
        blank = Cut(part=cable, offer=None, unit=None, owned=None, stock_mm=0, pieces=(), left_mm=0)
        stock = [
            replace(blank, owned=n, stock_mm=stock_mm(owned.length_m))
            for n, owned in enumerate(self._job.owned)
            if owned.part == cable and owned.length_m is not None
        ]
        for offer, units in zip(self._offers, quantities.tolist(), strict=True):
            lengths = [c.length_m for c in offer.contents if c.part == cable and c.length_m is not None]
            if offer.step_m is not None and lengths and units:
                stock.append(replace(blank, offer=offer.id, stock_mm=stock_mm(offer.step_m * units)))
            elif offer.step_m is None:
                spools = [length for _ in range(units) for length in lengths]
                stock += [replace(blank, offer=offer.id, unit=n, stock_mm=stock_mm(x)) for n, x in enumerate(spools)]
        return stock

    def plan(self, design: Design, demand: _Demand, quantities: Grid, total: int) -> Plan:
        """The whole plan, for the checks to have the last word."""
        orders = tuple(
            Order(offer=offer.id, seller=offer.seller, quantity=units, cents=units * offer.price_cents)
            for offer, units in zip(self._offers, quantities.tolist(), strict=True)
            if units
        )
        goods: Counter[str] = Counter()
        for order in orders:
            goods[order.seller] += order.cents
        deliveries = []
        for seller_id, cents in goods.items():
            seller = self._catalogue.seller_by_id[seller_id]
            is_free = seller.free_over_cents is not None and cents >= seller.free_over_cents
            due = 0 if is_free else seller.delivery_cents
            deliveries.append(Delivery(seller=seller_id, goods_cents=cents, cents=due))
        return replace(
            _plan(design),
            total_cents=total,
            bound_cents=total,
            orders=orders,
            deliveries=tuple(deliveries),
            cuts=tuple(self._cuts(demand, quantities) or ()),
        )


def failures_of(job: Job, catalogue: Catalogue, plan: Plan) -> list[Check]:
    """What the checks say against a whole plan, its own book-keeping of voltages left aside."""
    return [check for check in failures(check_plan(job, catalogue, plan)) if not check.rule.endswith("_recorded")]


def _circuit_and_feeds(facts: PlanFacts) -> tuple[Check, ...]:
    return (*check_feeds(facts), *check_circuits(facts))


def _everything(facts: PlanFacts) -> tuple[Check, ...]:
    return (*_circuit_and_feeds(facts), *check_bank(facts))


def _plan(design: Design) -> Plan:
    energy = Energy(average_w=0, today_average_w=None)
    return Plan(
        status="optimal",
        total_cents=0,
        bound_cents=0,
        circuits=design.circuits,
        feeds=design.feeds,
        bank=design.bank,
        energy=energy,
    )


def _output_fuse(fuse: str, holder: str) -> OutputFuse:
    return OutputFuse(fuse=fuse, holder=holder)


def _unique(designs: list[Design]) -> list[Design]:
    return list(dict.fromkeys(designs))


def _subsets(things: list[str] | list[float]) -> Iterator[tuple[object, ...]]:
    return itertools.chain.from_iterable(itertools.combinations(things, n) for n in range(len(things) + 1))


def _partitions(loads: list[Load]) -> Iterator[list[list[Load]]]:
    """Every way to split some loads into groups."""
    if not loads:
        yield []
        return
    first, *rest = loads
    for groups in _partitions(rest):
        yield [[first], *groups]
        for n in range(len(groups)):
            yield [*groups[:n], [first, *groups[n]], *groups[n + 1 :]]


def _placed(lengths: list[int], room: list[int]) -> list[int] | None:
    """A place for every cut, by trying; None where there is none."""
    if not lengths:
        return []
    for n, left in enumerate(room):
        if lengths[0] <= left and n == room.index(left):
            rest = _placed(lengths[1:], [*room[:n], left - lengths[0], *room[n + 1 :]])
            if rest is not None:
                return [n, *rest]
    return None
