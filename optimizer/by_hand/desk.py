"""Prices on paper: what a person notes down once, before planning line by line."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cached_property

from optimizer.catalogue import Junction, Terminal
from optimizer.conductors import Pair
from optimizer.feeds import FeedOption
from optimizer.solve.instance import Instance
from optimizer.solve.runs import RunPair
from optimizer.units import stock_mm

TERMINALS_EACH = 4  # per circuit and per cut lead (planning rules 3)


class Desk:
    """Single-part prices of one instance, each part at its cheapest, delivery left out."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.offers = instance.catalogue.offers_of
        self._owned = {owned.part for owned in instance.job.owned}
        self._piece: dict[str, float] = {}
        self._metre: dict[str, float] = {}
        self._longest: dict[str, float] = {}
        self._ends: dict[float, float] = {}
        self._fuses: dict[tuple[float, float], tuple[str, ...]] = {}
        self._switches: dict[float, tuple[str, ...]] = {}

    def piece_cents(self, part: str) -> float:
        """One of a part, as a share of the pack it comes in. [cents]"""
        if part not in self._piece:
            shares = [offer.price_cents / content.count for offer, content in self.offers(part) if content.count]
            self._piece[part] = 0.0 if part in self._owned else min(shares, default=math.inf)
        return self._piece[part]

    def metre_cents(self, cable: str) -> float:
        """One metre of a cable. [cents/m]"""
        if cable not in self._metre:
            shares = [o.price_cents / (o.step_m or c.length_m) for o, c in self.offers(cable) if c.length_m]
            self._metre[cable] = min(shares, default=math.inf if cable not in self._owned else 0.0)
        return self._metre[cable]

    def longest_mm(self, cable: str) -> float:
        """The longest cut of a cable that can be had in one piece. [mm]"""
        if cable not in self._longest:
            lengths: list[float] = [stock_mm(o.length_m or 0) for o in self.instance.job.owned if o.part == cable]
            for offer, content in self.offers(cable):
                lengths.append(offer.longest_mm(content))
            self._longest[cable] = max(lengths, default=0)
        return self._longest[cable]

    def cut_cents(self, pair: Pair, mm: int) -> float:
        """One cut of a pair with its terminals; infinite where no length is long enough. [cents]"""
        if any(mm > self.longest_mm(cable) for cable in pair.ids):
            return math.inf
        return sum(self.metre_cents(cable) for cable in pair.ids) * mm / 1000 + self._ends_cents(pair.mm2)

    def _ends_cents(self, mm2: float) -> float:
        if mm2 not in self._ends:
            fitting = (t for t in self.terminals if t.mm2_min <= mm2 <= t.mm2_max)
            self._ends[mm2] = TERMINALS_EACH * min((self.piece_cents(t.id) for t in fitting), default=math.inf)
        return self._ends[mm2]

    def feed_cents(self, option: FeedOption, lead_mm: int) -> float:
        """The parts of a feed with its lead. [cents]"""
        lead = self.cut_cents(option.lead, lead_mm) if option.lead else 0.0
        return sum(self.piece_cents(part) for part in option.parts) + lead

    def cheapest(self, parts: Iterable[str]) -> str | None:
        """The part with the lowest price by the piece; None where there is none on sale."""
        best = min(parts, key=lambda part: (self.piece_cents(part), part), default=None)
        return None if best is None or math.isinf(self.piece_cents(best)) else best

    @cached_property
    def terminals(self) -> list[Terminal]:
        return list(self.instance.catalogue.of(Terminal))

    @cached_property
    def junctions(self) -> list[Junction]:
        """Junctions for this bus, cheapest first."""
        high_v = self.instance.job.bus.high_v
        fitting = [j for j in self.instance.catalogue.of(Junction) if j.max_v >= high_v]
        on_sale = [j for j in fitting if math.isfinite(self.piece_cents(j.id))]
        return sorted(on_sale, key=lambda j: (self.piece_cents(j.id), j.id))

    @cached_property
    def holders(self) -> tuple[str, ...]:
        """In-line holders for this panel."""
        return tuple(holder.id for holder in self.instance.holders)

    def fuses_of(self, rating_a: float, fault_a: float) -> tuple[str, ...]:
        """Fuses of a rating that break a fault current."""
        key = (rating_a, fault_a)
        if key not in self._fuses:
            fitting = (f for f in self.instance.fuses if f.rating_a == rating_a and f.interrupt_a >= fault_a)
            self._fuses[key] = tuple(fuse.id for fuse in fitting)
        return self._fuses[key]

    def switches_for(self, rating_a: float) -> tuple[str, ...]:
        """Switches that stand behind a fuse."""
        if rating_a not in self._switches:
            fitting = (switch for switch in self.instance.switches if switch.max_a >= rating_a)
            self._switches[rating_a] = tuple(switch.id for switch in fitting)
        return self._switches[rating_a]

    @cached_property
    def pairs(self) -> dict[str, list[RunPair]]:
        """Conductor pairs of each place that can be had in one piece, the cheapest cut first."""
        found = {}
        for place, pairs in self.instance.pairs.items():
            priced = [(self.cut_cents(run.pair, self.instance.run_mm(place)), run) for run in pairs]
            cheapest_first = sorted(priced, key=lambda cut: (cut[0], cut[1].pair.ids))
            found[place] = [run for cents, run in cheapest_first if math.isfinite(cents)]
        return found

    @cached_property
    def feeds(self) -> dict[str, list[tuple[float, FeedOption]]]:
        """Feeds of each load with their price, cheapest first: each with a chain of its own, all of it at the place."""
        found = {}
        for load in self.instance.loads:
            options = [o for o in self.instance.options[load.id] if o.run is None and o.host is None]
            mm = self.instance.lead_mm(load) if any(o.lead for o in options) else 0
            priced = ((self.feed_cents(option, mm), option) for option in options)
            on_sale = [feed for feed in priced if math.isfinite(feed[0])]
            found[load.id] = sorted(on_sale, key=lambda feed: (feed[0], feed[1].key))
        return found
