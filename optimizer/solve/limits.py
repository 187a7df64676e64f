"""What depends on the bundling band of a place, read by the rules of both kinds of circuit."""

from __future__ import annotations

import math

from optimizer.feeds import FeedOption
from optimizer.job import Load
from optimizer.solve.runs import lead_ampacity_a
from optimizer.solve.variables import Expr, Var, Variables


def band_slacks(v: Variables, place: str) -> list[tuple[Var | None, Expr]]:
    """Each bundling band of a place with the slack that switches its rows off where another band holds."""
    chosen = v.band[place]
    return [(None, 0)] if len(chosen) == 1 else [(var, 1 - var) for var in chosen]


def feed_fuse_limit_a(v: Variables, load: Load, option: FeedOption, band: int) -> float:
    if not option.is_direct:
        return option.max_fuse_a
    lead_a = lead_ampacity_a(v.instance.job, load, option, v.instance.bands[load.place][band])
    return min(option.max_fuse_a, lead_a, option.lead.max_fuse_a if option.lead else math.inf)
