"""job/1 as frozen values: what the person states."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from optimizer.names import isolated

SETTINGS = ("vehicle", "boat", "land")
CRITICAL = ("health", "vehicle")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bus:
    """What the distribution panel hands out, and what its fuse ways take."""

    nominal_v: float
    low_v: float
    high_v: float
    spare_ways: int
    way_max_a: float
    fuse_style: str
    fault_a: float  # prospective short-circuit current at the panel
    ambient_c: float = 30.0
    wet: bool = False  # the panel stands where it gets wet
    fuel: bool = False  # petrol or gas where battery and panel stand


@dataclass(frozen=True, slots=True, kw_only=True)
class AcOutlet:
    """Outlets that exist today behind an inverter: used as they stand, or left."""

    efficiency: float
    idle_w: float
    on_hours_per_day: float
    max_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ExistingBank:
    nominal_v: float
    capacity_ah: float
    usable_fraction: float
    rated_hours: float
    peukert: float
    max_discharge_a: float
    charged_cold: bool = False  # it may be charged below 0 °C, and neither heats nor blocks itself
    chemistry: str | None = None  # as of a battery in the catalogue; None: nobody has said


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank:
    existing: ExistingBank | None = None
    may_buy: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    id: str
    name: str = ""
    run_m: float  # one way, panel to place
    bundled: int = 2  # current-carrying conductors bundled along the run
    ambient_c: float | None = None  # None: the bus's
    wet: bool = False  # it gets wet: rain, spray, a hose, under water
    fuel: bool = False  # petrol or gas there, or on the way to it
    outdoors: bool = False  # the run goes outdoors or up a mast
    above_roof: bool = False  # it ends above the line of the roof

    @property
    def label(self) -> str:
        """What a person reads: the name, or the id where there is none."""
        return isolated(self.name or self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    form: str
    min_v: float
    max_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SuppliedLead:
    """Came with the load: nothing to buy."""

    loop_ohm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLead:
    """Cut from a spool; the slack of the job is added."""

    length_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Brick:
    """The mains adapter a load came with."""

    efficiency: float
    idle_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    id: str
    name: str = ""
    place: str
    needs: Needs
    peak_w: float
    typical_w: float  # while on
    hours_per_day: float
    lead: SuppliedLead | CutLead
    switch: bool = False
    own_circuit: bool = False
    drop_pct: float | None = None  # None: the job's
    brick: Brick | None = None
    behaviour: str = "constant_power"  # or "resistive"
    rated_v: float | None = None  # resistive: the voltage at which it takes peak_w
    max_fuse_a: float | None = None  # for direct feeding
    critical: str | None = None  # "health", or "vehicle": brakes, road lights, bilge pumps and their like
    keeps_supply: bool = False  # it keeps the supply it has; the plan adds one beside it

    @property
    def label(self) -> str:
        """What a person reads: the name, or the id where there is none."""
        return isolated(self.name or self.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    drop_pct: float
    headroom_pct: float
    autonomy_h: float
    bank_derate: float  # fraction of rated capacity counted on, for age and cold
    conductor_c: float
    slack_m: float
    wiring_allowance_pct: float
    min_mm2: float = 0.0
    far_fault_multiple: float = 0.0  # 0: not asked
    count_circuits: bool = False  # rules 10 from here on
    fuse_ratio_max: float | None = None
    joint_mohm: float = 0.0
    count_joints: bool = False
    budget_cents: int | None = None  # a dearer plan is no plan; None: not asked
    boost_at_panel: bool = False  # docs/planning-rules-additions.md from here on
    panel_run_m: float = 0.5  # one way, panel to a converter that stands there
    share_stages: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned:
    """Stock on hand: so many of a part, or one offcut."""

    part: str
    count: int | None = None
    length_m: float | None = None


@dataclass(frozen=True, kw_only=True)
class Job:
    """Loads, battery, places and limits as stated. Lists keep the order of the document."""

    title: str
    bus: Bus
    bank: Bank
    places: tuple[Place, ...]
    loads: tuple[Load, ...]
    limits: Limits
    ac: AcOutlet | None = None
    owned: tuple[Owned, ...] = ()
    assumed: tuple[str, ...] = field(default=())  # pointers of values nobody has confirmed
    setting: str | None = None  # "vehicle", "boat" or "land"; None: nobody has said

    @cached_property
    def place_by_id(self) -> dict[str, Place]:
        return {place.id: place for place in self.places}

    @cached_property
    def load_by_id(self) -> dict[str, Load]:
        return {load.id: load for load in self.loads}

    def ambient_c(self, place: Place) -> float:
        """Ambient temperature of a place: its own, or the bus's. [°C]"""
        return self.bus.ambient_c if place.ambient_c is None else place.ambient_c

    def drop_pct(self, load: Load) -> float:
        """Drop allowed for a load: its own, or the job's. [%]"""
        return self.limits.drop_pct if load.drop_pct is None else load.drop_pct
