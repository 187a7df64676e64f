"""From rows of cut lists to goals met or not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from tests.benchmarks.figures import Goal, percent, seconds

CutRow = dict[str, Any]

ONE, TIGHT = "one cable, realistic", "one cable, tight: 3, 5 and 8 m, nothing by the metre"
CHOICE, METRE = "six cables to choose from", "six cables, also by the metre"
TRIPLETS, UNIFORM, EXACT = "triplets", "uniform 20 to 100 in 150", "uniform, filled exactly"
TEXTBOOK = "textbook: 453 rolls"

MEDIANS = (  # lists, cuts, the median to a proven optimum at most [s]
    *((ONE, 40, 0.010), (ONE, 200, 0.1), (ONE, 2000, 1.5)),
    *((CHOICE, 160, 1.0), (CHOICE, 2000, 5.0), (METRE, 160, 1.0), (METRE, 2000, 5.0)),
    *((TIGHT, 80, 8.0), (TIGHT, 640, 60.0)),
)
PROVEN = 0.995  # of all realistic lists
FASTER = 100.0  # than the assignment model in HiGHS
PUBLISHED, PUBLISHED_S = (TRIPLETS, UNIFORM, EXACT), 30.0
ROLLS = 453


def goals(rows: Sequence[CutRow]) -> list[Goal]:
    """Every goal that these rows say something about."""
    found = [
        Goal(
            row=f"{label}, {pieces} cuts",
            goal=f"proven in the middle ≤ {most_s:g} s",
            measured=f"{seconds(row['median_s'])}, {row['proven']} of {row['lists']} proven",
            is_met=row["median_s"] <= most_s and 2 * row["proven"] > row["lists"],
        )
        for label, pieces, most_s in MEDIANS
        for row in rows
        if (row["label"], row["pieces"]) == (label, pieces)
    ]
    found += _proven([row for row in rows if row["label"] == ONE])
    found += [_faster(row) for row in rows if "times_faster" in row]
    found += [_published(row) for row in rows if row["label"] in PUBLISHED]
    found += [_textbook(row) for row in rows if row["label"] == TEXTBOOK]
    return found


def _proven(rows: Sequence[CutRow]) -> Iterable[Goal]:
    if not rows:
        return ()
    proven, lists = sum(row["proven"] for row in rows), sum(row["lists"] for row in rows)
    goal = f"≥ {100 * PROVEN:g} % of the lists proven"
    measured = f"{proven} of {lists}, worst gap {percent(max(row['most_gap_pct'] for row in rows))}"
    return [Goal(row=ONE, goal=goal, measured=measured, is_met=proven >= PROVEN * lists)]


def peer(row: CutRow) -> str:
    """The assignment model beside us."""
    if "times_faster" not in row:
        return ""
    proven = f"{row['peer_proven']} of {row['peer_lists']} proven"
    return f"{seconds(row['peer_median_s'])}, {proven}, {_times(row)}"


def _times(row: CutRow) -> str:
    at_least = "at least " if row["peer_proven"] < row["peer_lists"] else ""
    return f"{at_least}{row['times_faster']:.0f} ×"


def _faster(row: CutRow) -> Goal:
    return Goal(
        row=f"{row['label']}, {row['pieces']} cuts",
        goal=f"≥ {FASTER:g} × as fast as HiGHS by assignment",
        measured=_times(row),
        is_met=row["times_faster"] >= FASTER,
    )


def _published(row: CutRow) -> Goal:
    return Goal(
        row=f"{row['label']}, {row['pieces']} items",
        goal=f"every one proven ≤ {PUBLISHED_S:g} s",
        measured=f"{seconds(row['most_s'])} at most, {row['proven']} of {row['lists']} proven",
        is_met=row["proven"] == row["lists"] and row["most_s"] <= PUBLISHED_S,
    )


def _textbook(row: CutRow) -> Goal:
    return Goal(
        row=TEXTBOOK,
        goal=f"{ROLLS} rolls, proven",
        measured=f"{row['rolls']} rolls in {seconds(row['median_s'])}",
        is_met=row["proven"] == row["lists"] and row["rolls"] == ROLLS,
    )
