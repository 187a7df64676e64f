"""plan/1 as frozen values: the answer."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
CheckState = Literal["holds", "tight", "fails", "not_checked"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """How far one figure may go with all else unchanged, and the rule that stops it there."""

    field: str  # of the job or the plan, with its unit: run_m, peak_w, length_m, autonomy_h, average_w
    most: float  # rounded down
    rule: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """Operating point with every load at peak and the bus at its lowest voltage."""

    place_v: float
    current_a: float
    drop_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    id: str
    place: str
    loads: tuple[str, ...]
    cable: tuple[str, ...]  # one twin part, or positive and negative single
    cut_mm: int
    fuse: str
    switch: str | None
    holder: str | None
    floor_v: float
    design_a: float
    settled: Settled
    junction: str | None = None
    run_m: float | None = None  # one way without slack; None: the place's
    holds: tuple[Hold, ...] = ()  # nearest first, as in feeds and bank


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedLead:
    """A lead, or the run behind stages that stand at the panel."""

    cable: tuple[str, ...]
    cut_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputFuse:
    """Fuse and holder behind a converter that does not limit its own output (rules 10)."""

    fuse: str
    holder: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    load: str
    source: Literal["bus", "ac"]
    circuit: str | None
    stages: tuple[str, ...]
    lead: FeedLead | None
    output_fuse: OutputFuse | None = None
    panel_stages: int = 0  # so many of the stages stand at the panel (additions 2)
    run: FeedLead | None = None  # from the last of them to the place
    shares: str | None = None  # the load whose chain this one is plugged into (additions 3)
    holds: tuple[Hold, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanBank:
    """The bank the plan rests on: kept, or bought as series x parallel of one battery."""

    keep: bool
    part: str | None
    series: int
    parallel: int
    average_w: float
    available_w: float
    kit: str | None = None
    holds: tuple[Hold, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    offer: str
    seller: str
    quantity: int  # units, or steps of a by-the-metre offer
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    seller: str
    goods_cents: int
    cents: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A cut for a circuit, a load's lead or the run behind a boosted feed; exactly one of the three is named."""

    mm: int
    circuit: str | None = None
    lead: str | None = None
    run: str | None = None  # the load of a boosted feed


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One spool, by-the-metre length or owned offcut, with what is cut from it."""

    part: str
    offer: str | None  # None: owned
    unit: int | None  # which spool of the offer, from 0; None by the metre
    owned: int | None  # index in the job's owned list
    stock_mm: int
    pieces: tuple[Piece, ...]
    left_mm: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Energy:
    average_w: float
    today_average_w: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One rule against one subject of a finished plan."""

    rule: str
    subject: str
    value: float | None
    limit: float | None
    unit: str
    state: CheckState
    margin: float | None  # in the unit; positive: room left
    source: str
    formula: str = ""  # with this job's own numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why there is no plan, in words and numbers."""

    subject: str
    text: str
    rule: str = ""
    together: tuple[str, ...] = ()  # the limits that cannot all hold, where it takes several of them


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One value of the job stated anew."""

    pointer: str  # into job/1, as in faults: "limits/autonomy_h"
    value: float | bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOut:
    """What would have to give for a plan to exist, as solved."""

    text: str
    limit: str  # which kind of limit gives
    change: tuple[Change, ...]  # empty where it is no matter of the job, as with a part nobody sells
    total_cents: int
    bound_cents: int | None
    status: Status
    least: bool = False  # whether one step less was proven not to do
    uncounted: str = ""  # what the total leaves out


@dataclass(frozen=True, slots=True, kw_only=True)
class Binding:
    """What one limit costs: the plan of the job with it a step wider or tighter."""

    text: str
    limit: str
    change: tuple[Change, ...]
    total_cents: int | None  # None where no plan exists then
    saves_cents: int  # below 0: what it costs more
    bound_cents: int | None
    status: Status


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """What one choice of a plan was preferred to, and why: in one sentence, with numbers from the model."""

    subject: str  # kind of choice and whose: "feed router", "lead router", "conductor C1", "bank", "offer o-1"
    chosen: str
    other: str  # empty where there is nothing else, or it was not tried
    text: str
    why: (
        str  # price, delivery, pack, power, fuse, order, search (unfinished), time (not tried), or the limit in the way
    )
    more_cents: int | None  # below 0: cheaper, but a limit rules it out


@dataclass(frozen=True, kw_only=True)
class Plan:
    status: Status
    total_cents: int | None
    bound_cents: int | None
    circuits: tuple[Circuit, ...] = ()
    feeds: tuple[Feed, ...] = ()
    bank: PlanBank | None = None
    orders: tuple[Order, ...] = ()
    deliveries: tuple[Delivery, ...] = ()
    cuts: tuple[Cut, ...] = ()
    energy: Energy | None = None
    checks: tuple[Check, ...] = ()
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[str, ...] = field(default=())
    ways_out: tuple[WayOut, ...] = ()  # cheapest first
    binding: tuple[Binding, ...] = ()  # what saves most first; only where somebody asked
    alternatives: tuple[Alternative, ...] = ()  # likewise
    untried: tuple[str, ...] = ()  # ways out that time did not allow to try
    answered_by: str | None = None  # the qualified person, where the plan asks for one and somebody is named

    @property
    def has_answer(self) -> bool:
        """Whether there is something to buy and build."""
        return self.status in ("optimal", "feasible")
