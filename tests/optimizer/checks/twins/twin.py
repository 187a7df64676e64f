"""A rule with a system that just obeys it and one that just breaks it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from optimizer.catalogue import Catalogue, Content, Offer, Part, Stage
from optimizer.job import AcOutlet, Brick, CutLead, Job, Load
from optimizer.plan import Cut, Feed, FeedLead, OutputFuse, Piece, Plan
from tests import builders
from tests.builders import a_catalogue, a_job, a_plan

Fields = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class System:
    job: Job = field(default_factory=a_job)
    catalogue: Catalogue = field(default_factory=a_catalogue)
    plan: Plan = field(default_factory=a_plan)


@dataclass(frozen=True, kw_only=True)
class Twin:
    rule: str
    what: str
    obeys: System
    breaks: System


def pass_through(part_id: str, in_form: str, out_form: str, **fields: Any) -> Stage:
    """A plug lead: what comes in goes out."""
    plain: Fields = {"in_min_v": 0, "in_max_v": 60, "out_v": None, "max_out_w": 100, "efficiency": 1, "idle_w": 0}
    return Stage(id=part_id, in_form=in_form, out_form=out_form, **(plain | fields))


def by_job(rule: str, what: str, obeys: Fields, breaks: Fields, **same: Any) -> Twin:
    """Twins that differ in the job alone."""
    return Twin(
        rule=rule, what=what, obeys=System(job=a_job(**obeys), **same), breaks=System(job=a_job(**breaks), **same)
    )


def by_parts(rule: str, what: str, obeys: Fields, breaks: Fields, *more: Part, **same: Any) -> Twin:
    """Twins that differ in fields of parts alone."""
    return Twin(
        rule=rule,
        what=what,
        obeys=System(catalogue=a_catalogue(*more, **obeys), **same),
        breaks=System(catalogue=a_catalogue(*more, **breaks), **same),
    )


def by_plan(rule: str, what: str, obeys: Fields, breaks: Fields, **same: Any) -> Twin:
    """Twins that differ in the plan alone."""
    return Twin(
        rule=rule, what=what, obeys=System(plan=a_plan(**obeys), **same), breaks=System(plan=a_plan(**breaks), **same)
    )


# the router fed through its own adapter: 1 W + 36 W / 0.8 = 46 W at the outlet
OUTLET = AcOutlet(efficiency=0.875, idle_w=6, on_hours_per_day=12, max_w=100)
BRICK = Brick(efficiency=0.8, idle_w=1)
WITH_OUTLET: Fields = {"ac": OUTLET, "router": {"brick": BRICK}}
AC_FEED = Feed(load="router", source="ac", circuit=None, stages=(), lead=None)
_MAST_ONLY = replace(builders.CUTS[0], pieces=(Piece(mm=10000, circuit="C2"),), left_mm=20000)
AC_PLAN: Fields = {
    "circuits": (builders.C2,),
    "feeds": (AC_FEED, builders.LAMP_FEED),
    "cuts": (_MAST_ONLY, builders.CUTS[1]),
}

# the router behind a lead cut from 4 mm², 2 m
CUT_ROUTER: Fields = {"router": {"lead": CutLead(length_m=1.5)}}
CUT_ROUTER_PLAN: Fields = {"router": {"lead": FeedLead(cable=("twin4",), cut_mm=2000)}}

# a camera like the router shares its circuit
CAMERA = Load(
    id="camera",
    place="desk",
    needs=builders.ROUTER.needs,
    peak_w=9,
    typical_w=4,
    hours_per_day=24,
    lead=builders.ROUTER.lead,
)
SHARED_PLAN: Fields = {
    "c1": {"loads": ("router", "camera")},
    "more_feeds": (Feed(load="camera", source="bus", circuit="C1", stages=("boost",), lead=None),),
}

# a boost that does not limit its output, 38 W / 19 V = 2 A at peak, with a fuse of 2.5 A behind it
OUTPUT = OutputFuse(fuse="fuse2.5", holder="holder")


def bought(part_id: str, count: int = 1) -> Offer:
    return Offer(id=f"o-{part_id}", seller="shop", price_cents=100, contents=(Content(part=part_id, count=count),))


def a_cut(**fields: Any) -> Cut:
    """The lead of the lamp from its length by the metre, changed."""
    plain: Fields = {
        "part": "twin1",
        "offer": "o-twin1",
        "unit": None,
        "owned": None,
        "stock_mm": 2000,
        "pieces": (Piece(mm=2000, lead="lamp"),),
        "left_mm": 0,
    }
    return Cut(**(plain | fields))
