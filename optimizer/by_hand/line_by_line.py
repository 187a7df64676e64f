"""Line by line: each load takes the cheapest feed that fits on paper, shares an obvious circuit, then shopping.

This is what a careful person does with a catalogue and a pencil. It rests on the candidates of an instance, so every
choice here is one of the model's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property

from optimizer.by_hand.basket import Shop, needs_of
from optimizer.by_hand.bill import Bill, Pick, buy, each_at_its_cheapest, mostly_one_seller
from optimizer.by_hand.choices import Choices, CircuitChoice
from optimizer.by_hand.circuits import Sizer
from optimizer.by_hand.desk import Desk
from optimizer.by_hand.paper import write_plan
from optimizer.by_hand.power import Feeds, Power
from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.plan import Plan
from optimizer.solve.banks import BankOption
from optimizer.solve.instance import Instance
from optimizer.solve.outlet import ac_peak_w

THRIFT_CENTS_PER_W = (0.0, 100.0, 2000.0)  # what a person pays for a watt less, where a bank would have to be bought


@dataclass(frozen=True, kw_only=True)
class Answer:
    """A whole plan found by hand, with the choices behind it."""

    desk: Desk
    choices: Choices
    bill: Bill

    @property
    def total_cents(self) -> int:
        return self.bill.cents

    @cached_property
    def plan(self) -> Plan:
        """The plan as a document's values; status feasible, nothing proven."""
        return write_plan(self.desk, self.choices, self.bill)


def by_hand(instance: Instance) -> Answer | None:
    """The careful person's plan, every part at the seller where it is cheapest; None where pencil and paper fail."""
    return Pencil(instance).answer(each_at_its_cheapest)


def by_hand_from_one_seller(instance: Instance) -> Answer | None:
    """The same with all that it sells from one seller, the one with which the whole is cheapest."""
    return Pencil(instance).answer(mostly_one_seller)


class Pencil:
    """One instance worked through on paper."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self.desk = Desk(instance)
        self.power = Power(self.desk)
        self.shop = Shop(self.desk, mixes=False)
        self.sizer = cache(lambda fault_a: Sizer(self.desk, fault_a))
        self._bus_fault_a = instance.job.bus.fault_a

    def answer(self, pick: Pick) -> Answer | None:
        """The cheapest of all loads on the bus and as many as possible left on the AC outlet, with thrift or a bank.

        None also where there is no seller at all.
        """
        answers: list[Answer] = []
        if not self.instance.catalogue.sellers:
            return None
        for choices in self.choices():
            needs = needs_of(self.desk, choices)
            bill = None if needs is None else buy(self.desk, self.shop, needs, pick)
            if bill is not None:
                answers.append(Answer(desk=self.desk, choices=choices, bill=bill))
        return min(answers, key=lambda answer: answer.total_cents, default=None)

    def choices(self) -> Iterator[Choices]:
        """Nothing on the outlet that need not be there, or all that it carries; cheap feeds, then thrifty ones."""
        for prefers_ac in (False, True):
            if prefers_ac and self.instance.job.ac is None:
                return
            for cents_per_w in THRIFT_CENTS_PER_W:
                found = self.thrifty(cents_per_w, prefers_ac=prefers_ac)
                if found is not None:
                    yield found
                if found is not None and found.bank.battery is None:
                    break  # the bank there is carries it: nothing to gain by thrift

    def thrifty(self, cents_per_w: float, *, prefers_ac: bool) -> Choices | None:
        """Choices for which a watt less is worth so much; feeds that stand a full bundle where the others do not."""
        for is_bundled in (False, True):
            feeds = self._feeds(cents_per_w, prefers_ac, is_bundled)
            found = None if feeds is None else self._with_bank(feeds)
            if found is not None:
                return found
        return None

    # -- feeds --------------------------------------------------------------------------------------------------------

    def _feeds(self, cents_per_w: float, prefers_ac: bool, is_bundled: bool) -> Feeds | None:
        cheapest = {load.id: self._cheapest(load, cents_per_w, is_bundled) for load in self.instance.loads}
        feeds: Feeds = {load: found and found[1] for load, found in cheapest.items()}
        left_w = self.instance.job.ac.max_w if self.instance.job.ac else 0.0
        with_brick = [load for load in self.instance.loads if self.instance.may_use_ac(load)]
        for load in sorted(with_brick, key=lambda x: _saving(cheapest[x.id]), reverse=True):
            if (prefers_ac or feeds[load.id] is None) and ac_peak_w(load) <= left_w:
                feeds[load.id] = None
                left_w -= ac_peak_w(load)
        return feeds if self.power.fits_outlet(feeds) else None

    def _cheapest(self, load: Load, cents_per_w: float, is_bundled: bool) -> tuple[float, FeedOption] | None:
        """The cheapest feed on paper, with the run of a circuit of its own."""
        band = len(self.instance.bands[load.place]) - 1 if is_bundled else 0
        mm = self.instance.run_mm(load.place)
        sizer = self.sizer(self._bus_fault_a)
        best: tuple[float, FeedOption] | None = None
        weighed = ((cents + cents_per_w * option.average_w, option) for cents, option in self.desk.feeds[load.id])
        for cents, option in sorted(weighed, key=lambda feed: (feed[0], feed[1].key)):
            if best is not None and cents >= best[0]:
                break
            circuit = sizer.cheapest([(load, option)], band)
            if circuit is not None:
                whole = cents + self.desk.cut_cents(circuit.pair.pair, mm)
                if best is None or whole < best[0]:
                    best = (whole, option)
        return best

    # -- circuits and bank --------------------------------------------------------------------------------------------

    def _with_bank(self, feeds: Feeds) -> Choices | None:
        """The cheapest bank that carries the feeds and whose fault current the fuses can break."""
        tried: dict[float, tuple[tuple[CircuitChoice, ...], dict[str, int]] | None] = {}
        for bank in self.power.banks(feeds):
            fault_a = self._fault_a(bank)
            if fault_a not in tried:
                tried[fault_a] = self.circuits(feeds, fault_a)
            laid = tried[fault_a]
            if laid is not None:
                return Choices(feeds=feeds, circuits=laid[0], bands=laid[1], bank=bank)
        return None

    def _fault_a(self, bank: BankOption) -> float:
        return max(self._bus_fault_a, bank.fault_a)

    def circuits(self, feeds: Feeds, fault_a: float) -> tuple[tuple[CircuitChoice, ...], dict[str, int]] | None:
        """Circuits of every place, by first load, with the bundling bands."""
        circuits: list[CircuitChoice] = []
        bands = {}
        for place in self.instance.job.places:
            on_bus = ((load, feeds[load.id]) for load in self.instance.loads if load.place == place.id)
            fed = [(load, option) for load, option in on_bus if option is not None]
            laid = self.sizer(fault_a).place(fed)
            if laid is None:
                return None
            circuits += laid[0]
            bands[place.id] = laid[1]
        return tuple(sorted(circuits, key=lambda circuit: circuit.loads[0])), bands


def _saving(found: tuple[float, FeedOption] | None) -> float:
    """What leaving a load on the outlet saves on paper; everything where the bus cannot feed it. [cents]"""
    return float("inf") if found is None else found[0]
