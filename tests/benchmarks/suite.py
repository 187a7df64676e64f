"""What `make bench` runs: seeded jobs of every size, each planned by the product, its peer and the careful person."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.benchmarks.jobs import SIZES_OF_JOBS, Size
from tests.optimizer.cases import NUMBERS, case

Task = dict[str, Any]
Measure = Callable[[Task], dict[str, Any]]
IRRELEVANT = 20_000
MOST_CASE_LOADS = 6


@dataclass(frozen=True, kw_only=True)
class Group:
    """Jobs that one row of the table is about."""

    key: str
    label: str
    jobs: tuple[list[Any], ...]  # as child.job_of reads them
    limit_s: float  # for the product
    plain_limit_s: float  # for the peer with every feed; 0: not run
    pruned_limit_s: float  # for the peer with the feeds that the product left; 0: not run
    loads: int | None = None  # where all jobs have as many, for the plot


# seeds, limit of the product, of the peer with every feed and with the product's [s]: the peer gets ten times the
# product's goal where that is the goal. A job of 12 loads has millions of feeds, more than a program can hold.
FULL = {
    **{4: (5, 20, 20, 20), 6: (5, 20, 60, 20), 12: (3, 30, 0, 100)},
    **{24: (2, 62, 0, 30), 50: (2, 62, 0, 30), 200: (1, 60, 0, 0)},
}
QUICK = {4: (1, 10, 10, 10), 6: (1, 10, 20, 10), 12: (1, 20, 0, 20)}


def groups(*, quick: bool) -> Iterator[Group]:
    """Cases first, then made-up jobs by size."""
    plan = QUICK if quick else FULL
    numbers = [n for n in NUMBERS if len(case(n).job.loads) <= MOST_CASE_LOADS]
    yield Group(
        key="cases",
        label=f"the cases of tests/cases, up to {MOST_CASE_LOADS} loads",
        jobs=tuple(["case", number] for number in (numbers[:4] if quick else numbers)),
        limit_s=20,
        plain_limit_s=10 if quick else 20,
        pruned_limit_s=10 if quick else 20,
    )
    yield Group(
        key="safer 6/3",
        label="6 loads, 3 places, seed catalogue and safer limits",
        jobs=tuple(["safer", 6, 3, seed] for seed in ((1,) if quick else (1, 2, 3))),
        limit_s=20,
        plain_limit_s=0,  # the peer leaves the safer limits out
        pruned_limit_s=0,
    )
    for size in SIZES_OF_JOBS:
        if size.loads in plan:
            yield _made_up(size, *plan[size.loads])


def _made_up(size: Size, seeds: int, limit_s: float, plain_limit_s: float, pruned_limit_s: float) -> Group:
    return Group(
        key=f"{size.loads}/{size.places}",
        label=f"{size.label}, {size.parts} parts",
        jobs=tuple(["made-up", *size, seed] for seed in range(1, seeds + 1)),
        limit_s=limit_s,
        plain_limit_s=plain_limit_s,
        pruned_limit_s=pruned_limit_s,
        loads=size.loads,
    )


def run_group(group: Group, measure: Measure, say: Callable[[str], None]) -> list[dict[str, Any]]:
    """Every job of a group by everybody, one after another."""
    records = []
    for job in group.jobs:
        kinds = [
            *(("thriftloom", group.limit_s), ("hand", 20.0)),
            *(("plain", group.plain_limit_s), ("pruned", group.pruned_limit_s)),
        ]
        for kind, limit_s in kinds:
            if limit_s:
                record = measure({"kind": kind, "job": job, "limit_s": limit_s})
                records.append({**record, "group": group.key})
                say(f"{group.label}: {_in_short(record)}")
    return records


def run_irrelevant(measure: Measure, say: Callable[[str], None], *, quick: bool) -> list[dict[str, Any]]:
    """The 6-load jobs with and without offers that no feed of theirs can use, in turn."""
    records = []
    size = next(size for size in SIZES_OF_JOBS if size.loads == 6)
    for seed in (1,) if quick else (1, 2, 3):
        for count in (0, IRRELEVANT):
            task = {"kind": "thriftloom", "job": ["made-up", *size, seed], "limit_s": 30.0, "irrelevant": count}
            records.append({**measure(task), "group": "irrelevant"})
            say(f"{size.label} with {count} irrelevant offers: {_in_short(records[-1])}")
    return records


def _in_short(record: dict[str, Any]) -> str:
    total = record.get("total_cents")
    price = "no total" if total is None else f"{total / 100:.2f}"
    return f"{record['kind']} {record['job'][-1]}: {record['status']}, {price}, {record.get('seconds', 0):.2f} s"
