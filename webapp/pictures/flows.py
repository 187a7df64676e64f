"""Energy of a day as flows from the battery: to the loads, and to everything else that takes its share on the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose

from optimizer.catalogue import Catalogue
from optimizer.checks.chain_facts import chains_of
from optimizer.checks.facts import PlanFacts
from optimizer.checks.feed_facts import FeedFacts
from optimizer.job import Job
from optimizer.plan import Plan
from optimizer.units import FORGIVEN, HOURS_PER_DAY
from webapp.pictures.lettering import Words, lettered
from webapp.present.words import figure, quantity
from webapp.texts import N_, _

WIDTH = 328.0
SOURCE_W = 18.0
RIBBON_X = 112.0  # ribbons end there, labels begin behind
TALLEST = 190.0  # of the larger of the two, so both have one scale
LABEL_X = 132.0
GAP = 6.0
TOP = 8.0

NAMES = {
    "loads": N_("At the loads"),
    "converters": N_("Lost in conversion"),
    "inverter": N_("Lost in the inverter"),
    "idle": N_("Inverter idle"),
    "wiring": N_("Allowed for wiring"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Split:
    """Where an average draw from the battery goes. [W]"""

    loads: float = 0.0
    converters: float = 0.0
    inverter: float = 0.0
    idle: float = 0.0
    wiring: float = 0.0

    @property
    def total(self) -> float:
        return self.loads + self.converters + self.inverter + self.idle + self.wiring


@dataclass(frozen=True, slots=True, kw_only=True)
class Ribbon:
    """One share: its band from the battery to its bar, and its words."""

    kind: str
    path: str
    height: float
    bar_y: float
    lines: tuple[Words, ...]
    name: str
    amount: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """One day: today's, or that of the plan."""

    heading: str
    total: str
    height: float
    source_height: float
    ribbons: tuple[Ribbon, ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowRow:
    """One share in the table beside the picture."""

    name: str
    today: str
    planned: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowView:
    today: Flow | None
    planned: Flow
    rows: tuple[FlowRow, ...]


def flow_view(job: Job, catalogue: Catalogue, plan: Plan) -> FlowView | None:
    """Both days on one scale; today's is left out where nobody knows it."""
    if plan.energy is None or plan.bank is None:
        return None
    facts = PlanFacts(job=job, catalogue=catalogue, plan=plan)
    planned = split(facts, facts.bus_feeds, facts.ac_feeds)
    today = today_split(facts)
    largest_w = max(planned.total, today.total if today else 0.0)
    if not largest_w > 0:
        return None
    scale = TALLEST / largest_w
    return FlowView(
        today=_flow(_("Today, through the inverter"), today, scale) if today else None,
        planned=_flow(_("By this plan"), planned, scale),
        rows=_rows(today, planned),
    )


def split(facts: PlanFacts, bus_feeds: Sequence[FeedFacts], ac_feeds: Sequence[FeedFacts]) -> Split:
    """Where the average draw of some feeds goes; adds up to what the checks count for them."""
    used_w = sum(_used_w(feed, feed.typical_out_w) for feed in bus_feeds)
    bus_w = sum(chain.average_w for chain in chains_of(bus_feeds))
    bare_w = bus_w / (1 + facts.job.limits.wiring_allowance_pct / 100)
    ac = facts.job.ac
    if ac is None or not ac_feeds:
        return Split(loads=used_w, converters=_lost(bare_w, used_w), wiring=_lost(bus_w, bare_w))
    behind_w = sum(_used_w(feed, feed.load.typical_w) for feed in ac_feeds)
    outlet_w = sum(feed.outlet_average_w for feed in ac_feeds)
    return Split(
        loads=used_w + behind_w,
        converters=_lost(bare_w + outlet_w, used_w + behind_w),
        inverter=_lost(outlet_w / ac.efficiency, outlet_w),
        idle=ac.idle_w * ac.on_hours_per_day / HOURS_PER_DAY,
        wiring=_lost(bus_w, bare_w),
    )


def _lost(taken_w: float, left_w: float) -> float:
    """What is gone on the way; nothing where only binary fractions differ. [W]"""
    return 0.0 if isclose(taken_w, left_w, rel_tol=FORGIVEN) else taken_w - left_w


def today_split(facts: PlanFacts) -> Split | None:
    """Every load that has a mains adapter on the inverter; None where it could not feed them."""
    if facts.today_average_w is None:
        return None
    on_bricks = [feed for feed in facts.feeds if feed.load.brick]
    return split(facts, [feed for feed in facts.feeds if not feed.load.brick], on_bricks)


def _used_w(feed: FeedFacts, while_on_w: float) -> float:
    """What a load takes, its lead with it, on average over a day. [W]"""
    return while_on_w * feed.load.hours_per_day / HOURS_PER_DAY


def _rows(today: Split | None, planned: Split) -> tuple[FlowRow, ...]:
    named = {**NAMES, "total": N_("From the battery")}
    return tuple(
        FlowRow(
            name=_(name),
            today=_per_day(getattr(today, kind)) if today else "",
            planned=_per_day(getattr(planned, kind)),
        )
        for kind, name in named.items()
        if getattr(planned, kind) > 0 or (today and getattr(today, kind) > 0)
    )


# shapes


def _flow(heading: str, shares: Split, scale: float) -> Flow:
    named = [(kind, getattr(shares, kind)) for kind in NAMES]
    shown = [(kind, watts) for kind, watts in named if watts > 0]
    ribbons, from_y, free_y = [], TOP, TOP
    for kind, watts in shown:
        ribbon, bottom = _ribbon(kind, watts, shares.total, from_y, max(free_y, from_y), watts * scale)
        ribbons.append(ribbon)
        from_y += watts * scale
        free_y = bottom + GAP
    total = _("%(energy)s a day from the battery", energy=_per_day(shares.total))
    listing = "; ".join(f"{ribbon.name} {ribbon.amount}" for ribbon in ribbons)
    return Flow(
        heading=heading,
        total=total,
        height=round(free_y + 2, 1),
        source_height=round(shares.total * scale, 2),
        ribbons=tuple(ribbons),
        said=f"{heading}: {total}. {listing}.",
    )


def _ribbon(
    kind: str, watts: float, total_w: float, from_y: float, bar_y: float, height: float
) -> tuple[Ribbon, float]:
    """A share from its place at the battery to its bar, and the bottom edge of bar and words."""
    name, amount = _(NAMES[kind]), f"{_per_day(watts)}, {figure(100 * watts / total_w, 2)} %"
    texts = ((name, "title"), (amount, "note"))
    _lines, tall = lettered(LABEL_X, 0, WIDTH - LABEL_X, *texts)
    lines, bottom = lettered(LABEL_X, bar_y + max(0.0, (height - tall) / 2), WIDTH - LABEL_X, *texts)
    middle_x = (SOURCE_W + RIBBON_X) / 2
    path = (
        f"M{SOURCE_W:g} {from_y:.2f}C{middle_x:g} {from_y:.2f} {middle_x:g} {bar_y:.2f} {RIBBON_X:g} {bar_y:.2f}"
        f"V{bar_y + height:.2f}"
        f"C{middle_x:g} {bar_y + height:.2f} {middle_x:g} {from_y + height:.2f} {SOURCE_W:g} {from_y + height:.2f}Z"
    )
    ribbon = Ribbon(
        kind=kind, path=path, height=round(height, 2), bar_y=round(bar_y, 2), lines=lines, name=name, amount=amount
    )
    return ribbon, max(bottom, bar_y + height)


def _per_day(average_w: float) -> str:
    return quantity(average_w * HOURS_PER_DAY, "Wh")
