"""What circuits and bank of a finished plan do, worked out afresh from the job and the catalogue."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from optimizer.catalogue import BankKit, Battery, Cable, Catalogue, Fuse, Holder, Junction, Switch
from optimizer.checks.chain_facts import ChainFacts, chains_of
from optimizer.checks.feed_facts import FeedFacts
from optimizer.checks.installed import Installed, installed
from optimizer.checks.run_facts import pair_ohm_per_km
from optimizer.job import Job, Place
from optimizer.physics import bank, operating_point, protection, resistance
from optimizer.physics.operating_point import OperatingPoint
from optimizer.plan import Circuit, Plan, PlanBank
from optimizer.units import HOURS_PER_DAY, is_within

_ENDS = 4  # terminals of a circuit or a cut lead: two conductors, two ends
_IN_LINE_ENDS = 2  # an in-line holder or switch cuts one conductor open


@dataclass(frozen=True, kw_only=True)
class CircuitFacts:
    """One circuit with the feeds that hang on it."""

    job: Job
    catalogue: Catalogue
    circuit: Circuit
    feeds: tuple[FeedFacts, ...]
    bundled: int  # loaded conductors along its run

    @property
    def subject(self) -> str:
        return f"circuit {self.circuit.id}"

    @cached_property
    def place(self) -> Place:
        return self.job.place_by_id[self.circuit.place]

    @cached_property
    def cables(self) -> tuple[Cable, ...]:
        return tuple(self.catalogue.get(Cable, part) for part in self.circuit.cable)

    @cached_property
    def fuse(self) -> Fuse:
        return self.catalogue.get(Fuse, self.circuit.fuse)

    @cached_property
    def switch(self) -> Switch | None:
        return self.catalogue.get(Switch, self.circuit.switch) if self.circuit.switch else None

    @cached_property
    def holder(self) -> Holder | None:
        return self.catalogue.get(Holder, self.circuit.holder) if self.circuit.holder else None

    @cached_property
    def junction(self) -> Junction | None:
        return self.catalogue.get(Junction, self.circuit.junction) if self.circuit.junction else None

    @cached_property
    def chains(self) -> tuple[ChainFacts, ...]:
        return chains_of(self.feeds)

    @property
    def ends_at_panel(self) -> bool:
        """Whether it only reaches a converter that stands at the panel (additions 2)."""
        return any(feed.is_boosted for feed in self.feeds)

    @property
    def stated_run_m(self) -> float:
        """One way, as the job states it. [m]"""
        return self.job.limits.panel_run_m if self.ends_at_panel else self.place.run_m

    @property
    def run_m(self) -> float:
        """One way, with the slack of the job. [m]"""
        return self.stated_run_m + self.job.limits.slack_m

    @property
    def mm2(self) -> float:
        return max((cable.mm2 for cable in self.cables), default=0.0)

    @cached_property
    def loop_ohm(self) -> float:
        """Out and back, warm, joints included. [Ω]"""
        limits = self.job.limits
        wire_ohm = resistance.loop_ohm(pair_ohm_per_km(self.cables), self.run_m, limits.conductor_c)
        return wire_ohm + limits.joint_mohm / 1000

    @cached_property
    def installed(self) -> Installed:
        ambient_c = self.job.bus.ambient_c if self.ends_at_panel else self.job.ambient_c(self.place)
        return installed(ambient_c, self.bundled, self.cables)

    @property
    def ampacity_a(self) -> float:
        return self.installed.ampacity_a

    @cached_property
    def floor_v(self) -> float:
        return max((feed.floor_v for feed in self.feeds), default=self.job.bus.low_v)

    def current_a(self, place_v: float) -> float:
        """Current of all feeds at peak; infinite where one cannot run. [A]"""
        return math.fsum(feed.current_a(place_v) for feed in self.feeds)

    @cached_property
    def design_a(self) -> float:
        return max(self.current_a(self.floor_v), self.current_a(self.job.bus.high_v))

    @cached_property
    def settled(self) -> OperatingPoint | None:
        """With the bus at its lowest and every load at peak; None where the run cannot carry them."""
        return operating_point.settle(self.job.bus.low_v, self.loop_ohm, [feed.draw for feed in self.feeds])

    @property
    def far_fault_a(self) -> float:
        """Short at the place, with the fault current stated for the panel: a larger bank is no help. [A]"""
        bus = self.job.bus
        return protection.far_fault_a(bus.nominal_v, bus.fault_a, self.loop_ohm)

    @property
    def terminals(self) -> int:
        in_line = [self.circuit.switch, self.circuit.holder] if self.job.limits.count_joints else []
        return _ENDS + _IN_LINE_ENDS * sum(part is not None for part in in_line)


@dataclass(frozen=True, kw_only=True)
class PlanFacts:
    """The whole plan. Every id in it is known: references.py has seen to that."""

    job: Job
    catalogue: Catalogue
    plan: Plan

    @cached_property
    def feeds(self) -> tuple[FeedFacts, ...]:
        return tuple(FeedFacts(job=self.job, catalogue=self.catalogue, feed=feed) for feed in self.plan.feeds)

    @property
    def bus_feeds(self) -> tuple[FeedFacts, ...]:
        return tuple(feed for feed in self.feeds if feed.from_bus)

    @property
    def ac_feeds(self) -> tuple[FeedFacts, ...]:
        return tuple(feed for feed in self.feeds if not feed.from_bus)

    @cached_property
    def chains(self) -> tuple[ChainFacts, ...]:
        return chains_of(self.bus_feeds)

    @cached_property
    def circuits(self) -> tuple[CircuitFacts, ...]:
        return tuple(self._circuit(circuit) for circuit in self.plan.circuits)

    def _circuit(self, circuit: Circuit) -> CircuitFacts:
        feeds = tuple(feed for feed in self.bus_feeds if feed.feed.circuit == circuit.id)
        bundled = self.bundled(self.job.place_by_id[circuit.place])
        return CircuitFacts(job=self.job, catalogue=self.catalogue, circuit=circuit, feeds=feeds, bundled=bundled)

    def circuit_of(self, feed: FeedFacts) -> CircuitFacts | None:
        return next((c for c in self.circuits if c.circuit.id == feed.feed.circuit), None)

    def bundled(self, place: Place) -> int:
        """Loaded conductors along a run: as stated, and at least those that the plan itself lays there."""
        laid = sum(circuit.place == place.id for circuit in self.plan.circuits)
        return max(place.bundled, 2 * laid) if self.job.limits.count_circuits else place.bundled

    def lead_installed(self, feed: FeedFacts) -> Installed:
        return self._installed_at(feed.place, feed.lead_cables)

    def run_installed(self, feed: FeedFacts) -> Installed:
        return self._installed_at(feed.place, feed.run.cables if feed.run else ())

    def _installed_at(self, place: Place, cables: Sequence[Cable]) -> Installed:
        return installed(self.job.ambient_c(place), self.bundled(place), cables)

    # bank

    @property
    def bank(self) -> PlanBank:
        assert self.plan.bank is not None  # references.py has seen to that
        return self.plan.bank

    @cached_property
    def battery(self) -> Battery | None:
        return self.catalogue.get(Battery, self.bank.part) if self.bank.part else None

    @cached_property
    def kit(self) -> BankKit | None:
        return self.catalogue.get(BankKit, self.bank.kit) if self.bank.kit else None

    @property
    def bank_fault_a(self) -> float | None:
        """Fault current of a bought bank, as far as it is stated. [A]"""
        battery = self.battery
        return None if battery is None or battery.fault_a is None else battery.fault_a * self.bank.parallel

    @property
    def fault_a(self) -> float:
        """What a fuse may have to break. [A]"""
        return max(self.job.bus.fault_a, self.bank_fault_a or 0.0)

    @cached_property
    def bank_current_a(self) -> float:
        """Largest average current for the autonomy asked for. [A]"""
        store, limits = self.battery or self.job.bank.existing, self.job.limits
        if store is None:
            return 0.0
        return bank.average_current_a(
            capacity_ah=self.bank.parallel * store.capacity_ah * limits.bank_derate,
            usable_fraction=store.usable_fraction,
            rated_hours=store.rated_hours,
            peukert=store.peukert,
            autonomy_h=limits.autonomy_h,
        )

    @property
    def bank_v(self) -> float:
        store = self.battery or self.job.bank.existing
        return self.bank.series * store.nominal_v if store else 0.0

    @property
    def available_w(self) -> float:
        return self.bank_current_a * self.bank_v

    @cached_property
    def average_w(self) -> float:
        return self._average_w(self.bus_feeds, self.ac_feeds)

    @cached_property
    def today_average_w(self) -> float | None:
        """Every load that has a brick fed from the AC outlet; None where the outlet cannot. [W]"""
        ac, bricks = self.job.ac, [feed for feed in self.feeds if feed.load.brick]
        if ac is None or not is_within(outlet_peak_w(bricks), ac.max_w):
            return None
        return self._average_w([feed for feed in self.feeds if not feed.load.brick], bricks)

    def _average_w(self, bus_feeds: Sequence[FeedFacts], ac_feeds: Sequence[FeedFacts]) -> float:
        bus_w = math.fsum(chain.average_w for chain in chains_of(bus_feeds))
        if not ac_feeds or self.job.ac is None:
            return bus_w
        outlet_w = math.fsum(feed.outlet_average_w for feed in ac_feeds) / self.job.ac.efficiency
        return bus_w + outlet_w + self.job.ac.idle_w * self.job.ac.on_hours_per_day / HOURS_PER_DAY

    @property
    def outlet_peak_w(self) -> float:
        return outlet_peak_w(self.ac_feeds)

    @cached_property
    def bank_peak_a(self) -> float:
        """Every load at peak with the bus at its lowest. [A]"""
        low_v = self.job.bus.low_v
        bus_a = math.fsum(feed.current_a(low_v) for feed in self.bus_feeds)
        if not self.ac_feeds or self.job.ac is None:
            return bus_a
        return bus_a + (self.outlet_peak_w / self.job.ac.efficiency + self.job.ac.idle_w) / low_v


def outlet_peak_w(feeds: Sequence[FeedFacts]) -> float:
    """Peak of all bricks together. [W]"""
    return math.fsum(feed.outlet_w(feed.load.peak_w) for feed in feeds)
