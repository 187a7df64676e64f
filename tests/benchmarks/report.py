"""The report of a run: tables, goals, machine and versions, as Markdown and JSON; and the same table in the README."""

from __future__ import annotations

import json
import os
import platform
import re
import subprocess
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from tests.benchmarks import cutting_figures, figures
from tests.benchmarks.cutting_figures import CutRow
from tests.benchmarks.figures import Goal, Record
from tests.benchmarks.suite import Group

BEGIN, END = "<!-- bench:begin -->", "<!-- bench:end -->"
Rows = list[list[str]]


def surroundings() -> dict[str, str]:
    """Machine, versions and commit of this run."""
    return {
        "date": datetime.now(UTC).date().isoformat(),
        "commit": _git("rev-parse", "--short", "HEAD") + ("+" if _git("status", "--porcelain", "-uno") else ""),
        "processor": _processor(),
        "cores": str(os.cpu_count()),
        "system": f"{platform.system()} {platform.machine()}",
        "python": platform.python_version(),
        "ortools": version("ortools"),
        "highspy": version("highspy"),
        "load_before": " ".join(f"{load:.1f}" for load in os.getloadavg()),
    }


def _git(*arguments: str) -> str:
    done = subprocess.run(["git", *arguments], capture_output=True, text=True, check=False)
    return done.stdout.strip() or ("unknown" if "rev-parse" in arguments else "")


def _processor() -> str:
    try:
        found = re.search(r"model name\s*:\s*(.+)", Path("/proc/cpuinfo").read_text(encoding="utf-8"))
    except OSError:
        found = None
    return found.group(1).strip() if found else platform.processor() or "unknown"


# -- tables -------------------------------------------------------------------------------------------------------


def planning_rows(groups: Sequence[Group], records: Sequence[Record]) -> Rows:
    """One row for each group: times, gap, the peer and the careful person."""
    rows = []
    for group in groups:
        mine = [r for r in records if r["group"] == group.key and r["kind"] == "thriftloom"]
        if mine:
            rows.append(_planning_row(group, mine, [r for r in records if r["group"] == group.key]))
    return rows


def _planning_row(group: Group, mine: list[Record], of_group: list[Record]) -> list[str]:
    found = [r for r in mine if r["status"] != "infeasible"]
    proven = sum(r["status"] in ("optimal", "infeasible") for r in mine)
    saved = [figures.saved_pct(a, b) for a, b in figures.pairs(of_group, "thriftloom", "hand")]
    cents = [
        b["total_cents"] - a["total_cents"]
        for a, b in figures.pairs(of_group, "thriftloom", "hand")
        if figures.saved_pct(a, b) is not None
    ]
    return [
        group.label,
        str(len(mine)),
        figures.spread([figures.first_s(r) for r in found], figures.seconds),
        figures.spread([figures.within_s(r, 0.01) for r in found], figures.seconds),
        f"{figures.spread([figures.proven_s(r) for r in mine], figures.seconds)}, {proven} of {len(mine)}",
        figures.spread([figures.gap_pct(r) for r in found], figures.percent),
        _peer(of_group, "plain"),
        _peer(of_group, "pruned"),
        figures.spread([x for x in saved if x is not None], figures.percent),
        figures.spread([float(x) for x in cents], lambda x: f"{x / 100:.2f}"),
    ]


def _peer(of_group: list[Record], kind: str) -> str:
    peers = [r for r in of_group if r["kind"] == kind]
    if not peers:
        return "not run"
    proven = sum(r["status"] in ("optimal", "infeasible") for r in peers)
    times = figures.spread([figures.proven_s(r) for r in peers], figures.seconds)
    limit = f" in {peers[0]['limit_s']:g} s" if proven < len(peers) else ""
    return f"{times}, {proven} of {len(peers)}{limit}"


PLANNING_HEAD = [
    "jobs",
    "how many",
    "first plan",
    "within 1 %",
    "proven",
    "gap at the end",
    "plain HiGHS proven",
    "plain HiGHS proven with our feeds",
    "saved against the careful person",
    "the same in money",
]
GOALS_HEAD = ["jobs", "goal", "measured", "met"]
CUTTING_HEAD = [
    *("lists", "cuts", "proven", "median", "nine of ten within", "longest", "worst gap"),
    *("first-fit dearer", "best-fit dearer", "HiGHS by assignment"),
]
CUTTING_NOTE = (
    "Seconds of one thread's processor time. First-fit and best-fit: decreasing, medians of what they cost more. HiGHS "
    "by assignment: the median of the lists it was given, and how many times as long it took."
)


def cutting_rows(lists: Sequence[CutRow]) -> Rows:
    """One row for each family of cut lists."""
    return [
        [
            *(row["label"], str(row["pieces"]), f"{row['proven']} of {row['lists']}"),
            *(figures.seconds(row[key]) for key in ("median_s", "p90_s", "most_s")),
            figures.percent(row["most_gap_pct"]),
            *(figures.percent(row[key]) if key in row else "" for key in ("ffd_over_pct", "bfd_over_pct")),
            cutting_figures.peer(row),
        ]
        for row in lists
    ]


def goal_rows(goals: Sequence[Goal]) -> Rows:
    return [[goal.row, goal.goal, goal.measured, "yes" if goal.is_met else "**no**"] for goal in goals]


def table(head: Sequence[str], rows: Rows) -> str:
    """A Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)


# -- documents ----------------------------------------------------------------------------------------------------


def markdown(
    groups: Sequence[Group],
    records: Sequence[Record],
    about: dict[str, str],
    lists: Sequence[CutRow] = (),
) -> str:
    """The report of one run; `lists`: of cut lists."""
    wrong = figures.disagreements(records)
    goals = [*figures.goals(records), *cutting_figures.goals(lists)]
    parts = [
        f"# Benchmark of {about['date']}",
        _about(about),
        "## Goals",
        table(GOALS_HEAD, goal_rows(goals)),
        "## Planning",
        _how_measured(about),
        table(PLANNING_HEAD, planning_rows(groups, records)),
        "## What must never be",
        "\n".join(f"- {line}" for line in wrong)
        or "Nothing found: every plan passed every check, and totals proven by both agree.",
    ]
    if lists:
        parts += ["## Cut lists", table(CUTTING_HEAD, cutting_rows(lists)), CUTTING_NOTE]
    return "\n\n".join(parts) + "\n"


def _about(about: dict[str, str]) -> str:
    return (
        f"Commit {about['commit']}, {about['processor']}, {about['cores']} cores, {about['system']}, "
        f"Python {about['python']}, OR-Tools {about['ortools']}, HiGHS {about['highspy']}; "
        f"load of the machine before the run {about['load_before']}."
    )


def _seconds(about: dict[str, str]) -> str:
    if about["seconds"] == "wall":
        return "Wall seconds"
    return f"Seconds of the processor (other work shared the machine, load {about['load_before']}; slower than alone)"


def _how_measured(about: dict[str, str]) -> str:
    return (
        f"{_seconds(about)} in a process of its own, one after another, documents already read. Median, with the "
        "smallest and the largest in brackets. Thriftloom's time is that of the whole call, candidates, checks and "
        "tie-breaks included. The peer, plain HiGHS, chooses from every feed that obeys the rules, and beside that "
        "from the feeds that Thriftloom's comparisons left; listing them and writing the program down is not counted; "
        "it has prices to minimise and no tie-breaks (so the price alone, candidates included, is compared as "
        "well). A job of 12 loads has millions of feeds: there it runs with ours alone. "
        "The careful person works line by line with first-fit-decreasing cutting, and the cheaper of two ways to "
        "choose sellers counts."
    )


def as_json(groups: Sequence[Group], records: Sequence[Record], about: dict[str, str], lists: Sequence[CutRow]) -> str:
    """Everything measured, step by step."""
    every = [*figures.goals(records), *cutting_figures.goals(lists)]
    goals = [{"jobs": g.row, "goal": g.goal, "measured": g.measured, "met": g.is_met} for g in every]
    document = {
        "about": about,
        "goals": goals,
        "groups": [{"key": g.key, "label": g.label, "limit_s": g.limit_s} for g in groups],
        "records": list(records),
        "cutting": list(lists),
    }
    return json.dumps(document, indent=1) + "\n"


def readme_section(
    groups: Sequence[Group], records: Sequence[Record], about: dict[str, str], lists: Sequence[CutRow] = ()
) -> str:
    """What the README shows: the tables, the goals, when and on what."""
    cut = ["Cut lists alone (`thriftloom cut`):", table(CUTTING_HEAD, cutting_rows(lists)), CUTTING_NOTE]
    return "\n\n".join(
        [
            _measured_on(about),
            "![Time against the number of loads](docs/bench.svg)",
            table(PLANNING_HEAD, planning_rows(groups, records)),
            *(cut if lists else ()),
            table(GOALS_HEAD, goal_rows([*figures.goals(records), *cutting_figures.goals(lists)])),
        ]
    )


def _measured_on(about: dict[str, str]) -> str:
    scope = "a short run: few jobs of each size" if about["scope"] == "quick" else "the whole suite"
    return (
        f"Measured on {about['date']} with `make bench` ({scope}), {about['cores']} cores, {about['processor']}. "
        f"{_seconds(about)}; median, with the smallest and the largest in brackets."
    )


def rewrite_readme(readme: Path, section: str) -> bool:
    """Puts the section between the two marks; False, and nothing written, where the marks are not there."""
    text = readme.read_text(encoding="utf-8")
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        return False
    readme.write_text(f"{before}{BEGIN}\n\n{section}\n\n{END}{after}", encoding="utf-8")
    return True
