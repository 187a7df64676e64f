"""What one feed of a finished plan does, worked out afresh from the job and the catalogue."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from optimizer.catalogue import Cable, Catalogue, Fuse, Holder, Stage
from optimizer.checks.run_facts import RunFacts, pair_ohm_per_km, run_ohm
from optimizer.job import Job, Load, Place, SuppliedLead
from optimizer.physics import resistance
from optimizer.physics.operating_point import ConstantPower, Draw, Regulated, Resistive
from optimizer.plan import Feed
from optimizer.units import HOURS_PER_DAY

_ASSUMED_FUSE_A = 5.0  # a load fed directly through its own lead that states nothing (planning rules 10)


@dataclass(frozen=True, kw_only=True)
class FeedFacts:
    """One load as the plan feeds it."""

    job: Job
    catalogue: Catalogue
    feed: Feed

    @property
    def subject(self) -> str:
        return f"load {self.load.label}"

    @property
    def from_bus(self) -> bool:
        return self.feed.source == "bus"

    @cached_property
    def load(self) -> Load:
        return self.job.load_by_id[self.feed.load]

    @cached_property
    def place(self) -> Place:
        return self.job.place_by_id[self.load.place]

    @cached_property
    def stages(self) -> tuple[Stage, ...]:
        return tuple(self.catalogue.get(Stage, part) for part in self.feed.stages)

    @cached_property
    def lead_cables(self) -> tuple[Cable, ...]:
        return tuple(self.catalogue.get(Cable, part) for part in self.feed.lead.cable) if self.feed.lead else ()

    @cached_property
    def output_fuse(self) -> Fuse | None:
        return self.catalogue.get(Fuse, self.feed.output_fuse.fuse) if self.feed.output_fuse else None

    @cached_property
    def output_holder(self) -> Holder | None:
        return self.catalogue.get(Holder, self.feed.output_fuse.holder) if self.feed.output_fuse else None

    # the run behind stages at the panel (additions 2)

    @property
    def is_boosted(self) -> bool:
        return self.feed.panel_stages > 0 or self.feed.run is not None

    @property
    def panel_stages(self) -> tuple[Stage, ...]:
        return self.stages[: self.feed.panel_stages]

    @property
    def place_stages(self) -> tuple[Stage, ...]:
        return self.stages[self.feed.panel_stages :]

    @cached_property
    def run(self) -> RunFacts | None:
        if self.feed.run is None:
            return None
        cables = tuple(self.catalogue.get(Cable, part) for part in self.feed.run.cable)
        length_m = self.place.run_m + self.job.limits.slack_m
        out_v = next((s.out_v for s in reversed(self.panel_stages) if s.out_v is not None), math.nan)
        loop_ohm = run_ohm(cables, length_m, self.job.limits)
        return RunFacts(cables=cables, length_m=length_m, source_v=out_v, loop_ohm=loop_ohm)

    @property
    def hangs_on_run(self) -> bool:
        """Whether nothing behind the run fixes a voltage for the load."""
        return self.run is not None and all(stage.out_v is None for stage in self.place_stages)

    @cached_property
    def run_floor_v(self) -> float:
        """Lowest voltage that what hangs on the run may see. [V]"""
        assert self.run is not None
        least_v = self.run.source_v * (1 - self.job.drop_pct(self.load) / 100)
        floors_v = [least_v, *(stage.in_min_v for stage in self.reached_by_run)]
        if self.hangs_on_run:
            floors_v.append(self._place_v_for(max(self.load.needs.min_v, least_v)))
        return max(floors_v)

    @property
    def reached_by_run(self) -> tuple[Stage, ...]:
        fixing = next((i for i, stage in enumerate(self.place_stages) if stage.out_v is not None), len(self.stages))
        return self.place_stages[: fixing + 1]

    def run_current_a(self, place_v: float) -> float:
        """Current in the run at peak at a voltage of its far end; infinite where the feed cannot run at it. [A]"""
        if not self.hangs_on_run:
            return _chain_w(self.place_stages, self.peak_out_w) / place_v
        current_a = self._bare.current_a(place_v)
        return math.inf if current_a is None else current_a

    @property
    def into_run_w(self) -> float:
        """What the run takes at peak at most, with the loss that it may have. [W]"""
        assert self.run is not None
        source_v = self.run.source_v
        return source_v * max(self.run_current_a(self.run_floor_v), self.run_current_a(source_v))

    @cached_property
    def run_end_v(self) -> float | None:
        """Voltage at the far end of the run at peak; None where there is none. [V]"""
        if self.run is None:
            return None
        if not self.hangs_on_run:
            return self.run.place_v(_chain_w(self.place_stages, self.peak_out_w))
        current_a = self.appliance.current_a(self.run.source_v)
        return None if current_a is None else self.run.source_v - self.run.loop_ohm * current_a

    # along the chain

    @cached_property
    def reached(self) -> tuple[Stage, ...]:
        """Stages that see the bus voltage: up to and with the first that fixes its own."""
        fixing = next((i for i, stage in enumerate(self.stages) if stage.out_v is not None), len(self.stages))
        return self.stages[: fixing + 1]

    @cached_property
    def last_converter(self) -> Stage | None:
        """The stage whose output voltage the load lives on; None for a direct feed."""
        return next((stage for stage in reversed(self.stages) if stage.out_v is not None), None)

    @property
    def out_v(self) -> float | None:
        return self.last_converter.out_v if self.last_converter else None

    @property
    def is_direct(self) -> bool:
        return self.last_converter is None

    @property
    def unlimited(self) -> tuple[int, ...]:
        """Positions of converters that do not limit their own output."""
        return tuple(i for i, stage in enumerate(self.stages) if stage.out_v is not None and not stage.limits_output)

    def voltage_before(self, position: int) -> float | None:
        """Fixed voltage that a stage receives; None where it receives the bus voltage. [V]"""
        return next((s.out_v for s in reversed(self.stages[:position]) if s.out_v is not None), None)

    def converter_before(self, position: int) -> Stage | None:
        return next((s for s in reversed(self.stages[:position]) if s.out_v is not None), None)

    # the load and its lead

    @property
    def behind_ohm(self) -> float:
        """Loop from what the load lives on, converter or place: its lead, and a run that counts as one. [Ω]"""
        return self.lead_ohm + (self.run.loop_ohm if self.run is not None and self.hangs_on_run else 0.0)

    @cached_property
    def lead_ohm(self) -> float:
        """Loop resistance of the lead, warm where it is cut from a spool. [Ω]"""
        if isinstance(self.load.lead, SuppliedLead):
            return self.load.lead.loop_ohm
        length_m = self.load.lead.length_m + self.job.limits.slack_m
        return resistance.loop_ohm(pair_ohm_per_km(self.lead_cables), length_m, self.job.limits.conductor_c)

    @property
    def load_ohm(self) -> float | None:
        """Resistance of a resistive load; None for constant power. [Ω]"""
        if self.load.behaviour != "resistive" or self.load.rated_v is None:
            return None
        return self.load.rated_v**2 / self.load.peak_w

    @cached_property
    def _bare(self) -> ConstantPower | Resistive:
        """The load behind its lead alone, at peak."""
        if self.load_ohm is not None:
            return Resistive(load_ohm=self.load_ohm, lead_ohm=self.lead_ohm)
        return ConstantPower(load_w=self.load.peak_w, lead_ohm=self.lead_ohm)

    @cached_property
    def appliance(self) -> ConstantPower | Resistive:
        """The load behind its lead, and a run that it hangs on, at peak."""
        if self.load_ohm is not None:
            return Resistive(load_ohm=self.load_ohm, lead_ohm=self.behind_ohm)
        return ConstantPower(load_w=self.load.peak_w, lead_ohm=self.behind_ohm)

    @property
    def behind_v(self) -> float | None:
        """Voltage at the load behind a converter; None where nothing converts or the lead cannot carry it. [V]"""
        return None if self.out_v is None else self.appliance.load_v(self.out_v)

    # power

    @cached_property
    def peak_out_w(self) -> float:
        """Power out of the last stage at peak, lead loss included; the load's own where nothing converts. [W]"""
        if self.hangs_on_run:
            return self.into_run_w
        return self.load.peak_w if self.out_v is None else _drawn_w(self.appliance, self.out_v)

    @cached_property
    def typical_out_w(self) -> float:
        """The same while on, on average. [W]"""
        if self.out_v is None or self.hangs_on_run:
            return self._direct_typical_w
        if isinstance(self.appliance, Resistive):
            return self.load.typical_w / self.load.peak_w * self.peak_out_w
        return _drawn_w(ConstantPower(load_w=self.load.typical_w, lead_ohm=self.behind_ohm), self.out_v)

    @property
    def _direct_typical_w(self) -> float:
        # the wiring allowance covers the lead; a resistive load takes more where the bus is above its rated voltage
        if self.load_ohm is None or self.load.rated_v is None:
            return self.load.typical_w
        return self.load.typical_w * max(1.0, ((self.out_v or self.job.bus.nominal_v) / self.load.rated_v) ** 2)

    def powers_w(self, out_w: float) -> tuple[tuple[float, ...], float]:
        """What every stage puts out for a power out of the last one, and what the first takes in. [W]

        A run counts as losing nothing. Of a chain that it shares a load but the host adds no idle power.
        """
        return self._back(out_w, lambda place_w: place_w)

    @property
    def peak_powers_w(self) -> tuple[tuple[float, ...], float]:
        """The same at peak, a run with the loss that it may have. [W]"""
        return self._back(self.peak_out_w, lambda place_w: place_w if self.hangs_on_run else self.into_run_w)

    def _back(self, out_w: float, into_run: Callable[[float], float]) -> tuple[tuple[float, ...], float]:
        outputs: list[float] = []
        for position, stage in reversed(list(enumerate(self.stages, start=1))):
            if self.run is not None and position == self.feed.panel_stages:
                out_w = into_run(out_w)
            outputs.append(out_w)
            out_w = (0.0 if self.feed.shares else stage.idle_w) + out_w / stage.efficiency
        return tuple(reversed(outputs)), out_w

    @cached_property
    def draw(self) -> Draw:
        """The feed at peak as it settles, as its place sees it: a run with the loss that it has."""
        if self.out_v is None:
            return self.appliance
        run = self.run
        if run is None or self.hangs_on_run:
            input_w = self._back(_drawn_w(self.appliance, self.out_v), lambda place_w: place_w)[1]
        else:
            input_w = self._back(self.peak_out_w, run.into_w)[1]
        return Regulated(input_w=input_w, out_v=self.out_v, load=self.appliance)

    def current_a(self, place_v: float) -> float:
        """Current at peak at a place voltage; infinite where the feed cannot run at it. [A]"""
        if self.out_v is not None:
            return self.peak_powers_w[1] / place_v if place_v > 0 else math.inf
        current_a = self.draw.current_a(place_v)
        return math.inf if current_a is None else current_a

    # voltage

    @property
    def allowed_v(self) -> float:
        """Lowest bus voltage less the allowed drop, which leaves nothing below 0 V. [V]"""
        return max(0.0, self.job.bus.low_v - self.job.drop_pct(self.load) / 100 * self.job.bus.nominal_v)

    @cached_property
    def floor_v(self) -> float:
        """Lowest voltage the feed may see at its place. [V]"""
        floors_v = [self.allowed_v, *(stage.in_min_v for stage in self.reached)]
        if self.is_direct:
            floors_v.append(self._place_v_for(max(self.load.needs.min_v, self.allowed_v)))
        return max(floors_v)

    def _place_v_for(self, load_v: float) -> float:
        if self.load_ohm is not None:
            return load_v * (self.load_ohm + self.lead_ohm) / self.load_ohm
        if not self.lead_ohm:
            return load_v
        return load_v + self.lead_ohm * self.load.peak_w / load_v if load_v > 0 else math.inf

    @property
    def max_fuse_a(self) -> float | None:
        """Largest fuse a directly fed load allows, stated or taken; None: any. [A]"""
        if self.load.max_fuse_a is not None:
            return self.load.max_fuse_a
        taken = self.job.limits.fuse_ratio_max is not None and isinstance(self.load.lead, SuppliedLead)
        return _ASSUMED_FUSE_A if taken else None

    # energy

    @property
    def bus_average_w(self) -> float:
        """Average over a day taken from the bus, wiring allowance included. [W]"""
        on_w, off_w = self.powers_w(self.typical_out_w)[1], self.powers_w(0.0)[1]
        return self._daily_w(on_w, off_w) * (1 + self.job.limits.wiring_allowance_pct / 100)

    @property
    def idle_w(self) -> float:
        """What the chain takes with nothing plugged in. [W]"""
        return _chain_w(self.stages, 0.0)

    @property
    def use_average_w(self) -> float:
        """Average over a day that the load adds to a chain it shares, without idle power and allowance. [W]"""
        added_w = _chain_w(self.stages, self.typical_out_w) - self.idle_w
        return added_w * self.load.hours_per_day / HOURS_PER_DAY

    @property
    def outlet_average_w(self) -> float:
        """Average over a day at the AC outlet through the load's own brick. [W]"""
        brick = self.load.brick
        return self._daily_w(self.outlet_w(self.load.typical_w), brick.idle_w) if brick else math.inf

    def outlet_w(self, load_w: float) -> float:
        """Power into the load's brick. [W]"""
        brick = self.load.brick
        return brick.idle_w + load_w / brick.efficiency if brick else math.inf

    def _daily_w(self, on_w: float, off_w: float) -> float:
        on_h = self.load.hours_per_day
        off_h = 0.0 if self.load.switch else HOURS_PER_DAY - on_h
        return (on_w * on_h + off_w * off_h) / HOURS_PER_DAY


def _chain_w(stages: tuple[Stage, ...], out_w: float) -> float:
    """What stages without a run between them take in for a power out of the last. [W]"""
    for stage in reversed(stages):
        out_w = stage.idle_w + out_w / stage.efficiency
    return out_w


def _drawn_w(appliance: ConstantPower | Resistive, source_v: float) -> float:
    current_a = appliance.current_a(source_v)
    return math.inf if current_a is None else source_v * current_a
