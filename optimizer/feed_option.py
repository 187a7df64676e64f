"""One way to feed a load from the bus, and what a chain of stages does to power and voltage."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

from optimizer.catalogue import Fuse, Holder, Stage
from optimizer.conductors import Pair
from optimizer.job import Load
from optimizer.physics.line import constant_power_v, resistive_v
from optimizer.units import HOURS_PER_DAY, is_within


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What a feed takes from its circuit at peak, as a function of the voltage at its place."""

    power_w: float = 0.0  # constant power: at the head of the lead where lead_ohm is 0
    lead_ohm: float = 0.0  # direct feeds: loop of the lead
    load_ohm: float | None = None  # direct resistive load

    def current_a(self, place_v: float) -> float:
        """Current at a place voltage; infinite where the lead cannot carry the load. [A]"""
        if self.load_ohm is not None:
            return place_v / (self.load_ohm + self.lead_ohm)
        if not self.lead_ohm:
            return self.power_w / place_v
        load_v = constant_power_v(place_v, self.lead_ohm, self.power_w)
        return math.inf if load_v is None else self.power_w / load_v


@dataclass(frozen=True, slots=True, kw_only=True)
class RunNeeds:
    """What a feed whose first stages stand at the panel asks of the run behind them (additions 2)."""

    panel_stages: int
    max_ohm: float  # loop, joints included
    needs_a: float  # ampacity at the place
    max_mm2: float  # the thickest conductor that the stages at its ends take
    fuse_a: float  # output fuse that guards it, which a conductor's own ceiling must reach; 0 for none

    def takes(self, pair: Pair, loop_ohm: float, ampacity_a: float) -> bool:
        """Whether a pair will do: its loop with joints, its ampacity at the place. [Ω], [A]"""
        thin = is_within(loop_ohm, self.max_ohm) and is_within(self.needs_a, ampacity_a)
        return thin and pair.mm2 <= self.max_mm2 and self.fuse_a <= pair.max_fuse_a


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What a load adds to a chain that it shares: behind a fixed voltage powers only add up (additions 3)."""

    chain: tuple[str, ...]  # stages by id: loads share where this is equal
    outlets: int
    draw: Draw  # what the load adds to the circuit at peak, no idle power
    average_w: float  # what it adds over 24 h, no idle power, wiring allowance not included
    stage_w: tuple[float, ...]  # (stage,): what it adds to each output at peak
    room_w: tuple[float, ...]  # (stage,): what all loads may add there together, headroom and idle powers taken off
    idle_w: float  # what the chain takes with nothing plugged in


@dataclass(frozen=True, kw_only=True)
class FeedOption:
    """One way to feed one load from the bus."""

    load: str
    stages: tuple[Stage, ...]
    lead: Pair | None  # cut lead, else None
    output_fuse: tuple[Fuse, Holder] | None
    floor_v: float  # lowest voltage it may see at its place
    draw: Draw
    average_w: float  # over 24 h, wiring allowance not included
    max_fuse_a: float  # of the circuit; infinite where nothing limits it
    lead_needs_a: float  # ampacity that a cut lead needs; 0 where the circuit's fuse decides
    run: RunNeeds | None = None  # None: every stage stands at the place
    share: Share | None = None  # None where the chain cannot feed another load besides
    host: str | None = None  # the load whose chain it is plugged into; its own where None

    @cached_property
    def max_conductor_mm2(self) -> float:
        """Largest conductor of the circuit that the first stage takes. [mm²]"""
        limit = self.stages[0].max_conductor_mm2 if self.stages else None
        return math.inf if limit is None else limit

    @cached_property
    def is_direct(self) -> bool:
        """Whether nothing converts the bus voltage."""
        return all(stage.out_v is None for stage in self.stages)

    @property
    def needs_output_fuse(self) -> bool:
        """Whether its last converter does not limit its current: a fuse must protect what it feeds (rules 10)."""
        return any(not stage.limits_output for stage in self.stages if stage.out_v is not None)

    @cached_property
    def parts(self) -> tuple[str, ...]:
        """Everything bought by the piece for this feed, by id."""
        if self.host is not None:
            return ()
        bought = [stage.id for stage in self.stages]
        if self.output_fuse is not None:
            bought += [part.id for part in self.output_fuse]
        return tuple(sorted(bought))

    @cached_property
    def lead_ids(self) -> tuple[str, ...]:
        return self.lead.ids if self.lead else ()

    @property
    def panel_stages(self) -> int:
        """How many of the stages, from the first, stand at the panel."""
        return self.run.panel_stages if self.run else 0

    @cached_property
    def key(self) -> tuple[int, tuple[str, ...], tuple[str, ...], tuple[str, ...], int, str]:
        """A stated order among equals: fewest stages, then ids, then those with a chain of their own at the place."""
        ids = tuple(s.id for s in self.stages)
        return (len(self.stages), ids, self.lead_ids, self.parts, self.panel_stages, self.host or "")


def plugged_in(option: FeedOption, host: Load, load: Load) -> FeedOption:
    """The same feed through the chain of another load: it buys no stage and adds what the load alone adds.

    A switched load keeps the chain live for its own hours besides the host's; beyond a day they count no more, which is
    for who adds them up to see to (additions 3).
    """
    assert option.share is not None
    idle_w = option.share.idle_w * load.hours_per_day / HOURS_PER_DAY if load.switch else 0.0
    return replace(option, host=host.id, draw=option.share.draw, average_w=option.share.average_w + idle_w)


def fixed_v(chain: tuple[Stage, ...]) -> float | None:
    """Voltage at the end of a chain; None where it is still the bus's. [V]"""
    return next((stage.out_v for stage in reversed(chain) if stage.out_v is not None), None)


def reached_by_bus(chain: tuple[Stage, ...]) -> tuple[Stage, ...]:
    """The stages that see the bus voltage: up to the first that fixes a voltage, that one included."""
    first = next((n for n, stage in enumerate(chain) if stage.out_v is not None), len(chain) - 1)
    return chain[: first + 1]


def input_w(chain: tuple[Stage, ...], out_w: float) -> float:
    """Power that a chain takes from its circuit while it puts out so much. [W]

    Source: planning rules 2, back from the load: idle_w + P_out / efficiency.
    """
    for stage in reversed(chain):
        out_w = stage.idle_w + out_w / stage.efficiency
    return out_w


def load_ohm(load: Load) -> float | None:
    """Resistance of a resistive load, rated_v² / peak_w; None for constant power. [Ω]"""
    if load.behaviour != "resistive" or load.rated_v is None:
        return None
    return load.rated_v**2 / load.peak_w


def place_v_for(load: Load, load_v: float, lead_ohm: float) -> float:
    """Voltage of a place at which a directly fed load at peak sees a voltage behind its lead; infinite at none. [V]"""
    if not lead_ohm:
        return load_v
    resistance = load_ohm(load)
    if resistance is not None:
        return load_v + lead_ohm * load_v / resistance
    return load_v + lead_ohm * load.peak_w / load_v if load_v > 0 else math.inf


def behind_converter(load: Load, out_v: float, lead_ohm: float, power_w: float) -> tuple[float, float] | None:
    """What a load sees behind its lead, and the power at the head of the lead. [V], [W]

    Args:
        power_w: peak_w or typical_w; a resistive load's scales with the voltage it sees. [W]
    Source: planning rules 2 (lead) and 9 (resistive loads).
    """
    resistance = load_ohm(load)
    if resistance is not None:
        head_w = out_v**2 / (resistance + lead_ohm) * power_w / load.peak_w
        return resistive_v(out_v, lead_ohm, resistance), head_w
    load_v = constant_power_v(out_v, lead_ohm, power_w)
    if load_v is None:
        return None
    return load_v, out_v * power_w / load_v
