"""From records to figures: times to a plan, to a gap and to the proof, ratios, money saved, goals met or not."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

Record = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Goal:
    """One promise and what came of it."""

    row: str
    goal: str
    measured: str
    is_met: bool


def first_s(record: Record) -> float:
    """When there was a plan; infinite where there never was. [s]"""
    return next((s for s, best, _ in record.get("steps", []) if best is not None), math.inf)


def proven_s(record: Record) -> float:
    """When it was proven cheapest, or that there is no plan; infinite where it was not. [s]"""
    return float(record["seconds"]) if record["status"] in ("optimal", "infeasible") else math.inf


def price_proven_s(record: Record) -> float:
    """When its price was known to be the least, whatever came after; infinite where it never was. [s]"""
    return min(proven_s(record), within_s(record, 0.0))


def within_s(record: Record, gap: float) -> float:
    """When the plan at hand was known to be within so much of the cheapest (fraction 0-1). [s]"""
    bounds = -math.inf
    for seconds, best, bound in record.get("steps", []):
        bounds = max(bounds, -math.inf if bound is None else bound)
        if best is not None and best - bounds <= gap * best:
            return float(seconds)
    return math.inf


def gap_pct(record: Record) -> float:
    """How far the best total may be above the cheapest when time was up; infinite without a plan. [%]"""
    best, bound = record.get("total_cents"), record.get("bound_cents")
    if record["status"] == "optimal" or best == 0:
        return 0.0
    return math.inf if best is None or bound is None else 100 * (best - max(bound, 0)) / best


def saved_pct(mine: Record, other: Record) -> float | None:
    """What the other plan costs more, of its own total; None where either has none. [%]"""
    if not mine.get("total_cents") or not other.get("total_cents"):
        return None
    return float(100 * (other["total_cents"] - mine["total_cents"]) / other["total_cents"])


def speedup(mine: Record, peer: Record, measured: Callable[[Record], float] = proven_s) -> tuple[float, bool] | None:
    """How many times longer the peer takes to the proof, and whether that is only a lower bound; None if unknown.

    Args: measured: What counts of our time; the peer, who proves a price and nothing else, is always timed to its end.
    """
    own_s = measured(mine)
    if math.isinf(own_s):
        return None
    peer_s = proven_s(peer)
    if peer["status"] == "died":
        return None
    worked_s = min(peer["limit_s"], peer.get("seconds", 0.0))  # less than the limit where it got less of a processor
    return (worked_s / own_s, True) if math.isinf(peer_s) else (peer_s / own_s, False)


def spread(values: Iterable[float], write: Callable[[float], str]) -> str:
    """The median with the smallest and the largest in brackets."""
    known = sorted(values)
    if not known:
        return "-"
    middle = write(median(known) if math.isfinite(known[-1]) else known[len(known) // 2])
    return middle if len(known) == 1 else f"{middle} ({write(known[0])} to {write(known[-1])})"


def seconds(value: float) -> str:
    if math.isinf(value):
        return "not reached"
    return f"{value:.3g} s" if value < 100 else f"{value:.0f} s"


def percent(value: float) -> str:
    return "no plan" if math.isinf(value) else f"{value:.2g} %"


def pairs(records: Sequence[Record], one: str, other: str) -> list[tuple[Record, Record]]:
    """The records of two kinds on the same jobs."""
    others = {str(r["job"]): r for r in records if r["kind"] == other}
    return [(r, others[str(r["job"])]) for r in records if r["kind"] == one and str(r["job"]) in others]


def disagreements(records: Sequence[Record]) -> list[str]:
    """What must never be: a plan that breaks a rule, two proven totals that differ, a plan below a proven total."""
    found = [f"{r['kind']} {r['job']}: breaks {', '.join(r['broken'])}" for r in records if r.get("broken")]
    for job in dict.fromkeys(_documents(r) for r in records):
        same = [r for r in records if _documents(r) == job and r.get("total_cents") is not None]
        proven = [r["total_cents"] for r in same if r["status"] == "optimal"]
        if proven and (max(proven) > min(proven) or min(r["total_cents"] for r in same) < min(proven)):
            found.append(f"{job}: totals {sorted({r['total_cents'] for r in same})}, proven {sorted(set(proven))}")
    return found


def _documents(record: Record) -> str:
    """What was planned. Offers nobody needs may lift a basket over a threshold, so they make another job."""
    extra = record.get("irrelevant", 0)
    return f"{record['job']}" + (f" with {extra} irrelevant offers" if extra else "")


# -- goals --------------------------------------------------------------------------------------------------------

TIMES = (  # group, what, how it is measured, at most [s]
    ("cases", "first valid plan", first_s, 0.5),
    ("cases", "proven", proven_s, 2.0),
    ("12/4", "first valid plan", first_s, 1.0),
    ("12/4", "proven", proven_s, 10.0),
    ("24/8", "within 1 %", lambda r: within_s(r, 0.01), 20.0),
    ("24/8", "within 0.3 %", lambda r: within_s(r, 0.003), 60.0),
    ("50/12", "within 2 %", lambda r: within_s(r, 0.02), 60.0),
)
FASTER = 10.0
FASTER_AT = ("6/3", "12/4")
SLOWER = 1.5


def goals(records: Sequence[Record]) -> list[Goal]:
    """Every goal that these records say something about. A goal on times is one on every job of the row."""
    found = []
    for group, what, measured, most_s in TIMES:
        mine = [r for r in records if r["group"] == group and r["kind"] == "thriftloom"]
        if what.startswith("first"):
            mine = [r for r in mine if r["status"] != "infeasible"]  # nothing to find
        if mine:
            times = [measured(r) for r in mine]
            found.append(
                Goal(
                    row=group,
                    goal=f"{what} ≤ {most_s:g} s",
                    measured=spread(times, seconds),
                    is_met=max(times) <= most_s,
                )
            )
    found += [goal for group in FASTER_AT for goal in _faster(records, group)]
    found += _survives(records)
    found += _irrelevant(records)
    return found


def _faster(records: Sequence[Record], group: str) -> list[Goal]:
    of_group = [r for r in records if r["group"] == group]
    found = []
    for kind, named in (("plain", "plain HiGHS"), ("pruned", "plain HiGHS with our feeds")):
        both = pairs(of_group, "thriftloom", kind)
        goal = f"≥ {FASTER:g} × as fast to the proof as {named}"
        ways = ((goal, proven_s), (f"{goal}, the price alone", price_proven_s)) if both else ()
        found += [_ratio_goal(group, text, [speedup(*pair, measured) for pair in both]) for text, measured in ways]
    return found


def _ratio_goal(group: str, goal: str, ratios: list[tuple[float, bool] | None]) -> Goal:
    known = [ratio for ratio in ratios if ratio is not None]
    at_least = "at least " if any(is_bound for _, is_bound in known) else ""
    text = at_least + spread([ratio for ratio, _ in known], lambda x: f"{x:.2g}") if known else "not proven"
    is_met = len(known) == len(ratios) and median(ratio for ratio, _ in known) >= FASTER
    return Goal(row=group, goal=goal, measured=text, is_met=is_met)


def _survives(records: Sequence[Record]) -> list[Goal]:
    mine = [r for r in records if r["group"] == "200/1" and r["kind"] == "thriftloom"]
    if not mine:
        return []
    text = ", ".join(f"{r['status']}, gap {percent(gap_pct(r))}" for r in mine)
    return [
        Goal(
            row="200/1",
            goal="its best and the gap, not dying",
            measured=text,
            is_met=all(math.isfinite(gap_pct(r)) for r in mine),
        )
    ]


def _irrelevant(records: Sequence[Record]) -> list[Goal]:
    of_group = [r for r in records if r["group"] == "irrelevant"]
    if not of_group:
        return []
    without = {str(r["job"]): proven_s(r) for r in of_group if not r["irrelevant"]}
    ratios = [proven_s(r) / without[str(r["job"])] for r in of_group if r["irrelevant"]]
    ratios = [math.inf if math.isnan(ratio) else ratio for ratio in ratios]
    text = spread(ratios, lambda x: "not proven" if math.isinf(x) else f"{x:.2f} ×")
    goal = f"≤ {SLOWER} × the time without them"
    return [Goal(row="6 loads, 20,000 irrelevant offers", goal=goal, measured=text, is_met=max(ratios) <= SLOWER)]
